//! A page compared with its results.

use super::*;

pub struct Checked<'a> {
    pub page: &'a str,
    pub json: &'a Value,
    pub numbers: usize,
    pub sentences: usize,
    pub problems: Vec<String>,
}

impl Checked<'_> {
    pub fn wrong(&mut self, pointer: &str, shown: &str, file: &Value) {
        let file = file.to_string();
        let file: String = file.chars().take(200).collect();
        self.problems.push(format!(
            "{}: `{shown}` is not what stands at {pointer}: {file}",
            self.page
        ));
    }

    /// The unit that stands beside the number in the file, or beside what it belongs to.
    pub fn unit(&self, pointer: &str) -> String {
        // The key of a bare number says it.
        if pointer.ends_with("_min") {
            return "min".to_owned();
        }
        let mut at = pointer;
        loop {
            if let Some(unit) = self.json.pointer(at).and_then(|v| v.get("unit")) {
                return unit.as_str().unwrap_or("").to_owned();
            }
            match at.rfind('/') {
                Some(cut) => at = &at[..cut],
                None => break,
            }
        }
        // Figures of `choose` have one unit for all.
        let unit = self
            .json
            .pointer("/figure/unit")
            .filter(|_| pointer.ends_with("/mean") || pointer.ends_with("/behind_best"));
        let unit = unit.and_then(Value::as_str);
        unit.unwrap_or("").to_owned()
    }

    pub fn same(&self, shown: Shown, file: f64, pointer: &str) -> bool {
        // Rounded up to two digits, so that nobody takes it for exact.
        if pointer.ends_with("replications_needed") {
            return shown.value >= file && shown.value <= file * 1.1 + 1.0;
        }
        (shown.value - file).abs() <= shown.half * (1.0 + 1e-9) + 1e-9 * file.abs()
    }

    pub fn check(&mut self, node: &Node, pointer: &str) {
        let Some(file) = self.json.pointer(pointer) else {
            self.problems
                .push(format!("{}: there is no {pointer}", self.page));
            return;
        };
        // A line of figures has its name in it, too.
        let texts =
            |node: &Node, but: &str| node.text(but).replace('\u{a0}', " ").trim().to_owned();
        let (value, interval) = match node {
            Node::Element { name, children, .. } if name == "tr" => {
                let cells: Vec<&Node> = children
                    .iter()
                    .filter(|c| matches!(c, Node::Element { name, .. } if name == "td"))
                    .collect();
                (texts(cells[0], ""), texts(cells[1], ""))
            }
            Node::Element { children, .. } => {
                let small = children
                    .iter()
                    .find(|c| c.attribute("class").as_deref() == Some("interval"));
                let small = small.map_or(String::new(), |small| texts(small, ""));
                (texts(node, "interval"), small)
            }
            Node::Text(_) => return,
        };
        let unit = self.unit(pointer);
        match file {
            Value::String(text) if text.len() == 19 && text.as_bytes()[10] == b'T' => {
                self.numbers += 1;
                if !same_moment(&value, text) {
                    self.wrong(pointer, &value, file);
                }
            }
            Value::String(text) => {
                self.sentences += 1;
                // The page leaves out what cannot be shown.
                if value != text.replace('\u{a0}', " ").trim() {
                    self.wrong(pointer, &value, file);
                }
            }
            _ => {
                let first = |keys: &[&str]| {
                    keys.iter()
                        .find_map(|key| file.get(*key))
                        .and_then(Value::as_f64)
                };
                if file.get("at").is_some_and(|at| !at.is_number()) {
                    self.numbers += 1;
                    let at = file["at"].as_str();
                    let fits = at.map_or(value == "after the end", |at| same_moment(&value, at));
                    if !fits {
                        self.wrong(pointer, &value, file);
                    }
                    self.range_of_moments(pointer, &value, &interval, file);
                    return;
                }
                let (mean, low, high) = match file {
                    Value::Number(number) => (number.as_f64(), None, None),
                    Value::Array(three) => {
                        let at = |i: usize| three.get(i).and_then(Value::as_f64);
                        (at(0), at(1), at(2))
                    }
                    _ => (
                        first(&["mean", "share", "years"]),
                        first(&["low", "soonest"]),
                        first(&["high", "latest"]),
                    ),
                };
                self.compare(pointer, &value, &[mean], &unit, file);
                self.compare(pointer, &interval, &[low, high], &unit, file);
            }
        }
    }

    /// Both ends of a date, with their day or, on the day of the date itself, without.
    pub fn range_of_moments(&mut self, pointer: &str, value: &str, interval: &str, file: &Value) {
        let Some((from, to)) = interval.split_once(" to ") else {
            return;
        };
        self.numbers += 2;
        let day = value.rsplit_once(' ').map_or("", |parts| parts.0);
        for (end, key) in [(from, "from"), (to, "to")] {
            let whole = match end.trim().contains(' ') {
                true => end.trim().to_owned(),
                false => format!("{day} {}", end.trim()),
            };
            let fits = file[key]
                .as_str()
                .map_or(whole == "after the end", |f| same_moment(&whole, f));
            if !fits {
                self.wrong(pointer, interval, file);
            }
        }
    }

    pub fn compare(
        &mut self,
        pointer: &str,
        text: &str,
        wanted: &[Option<f64>],
        unit: &str,
        file: &Value,
    ) {
        // `< 1 %` and `> 99 %` say less than the number.
        if let Some(rest) = text.strip_prefix(['<', '>']) {
            let bound = numbers(rest, unit)[0].value;
            let below = text.starts_with('<');
            self.numbers += 1;
            if !wanted[0].is_some_and(|file| (file < bound) == below && file != bound) {
                self.wrong(pointer, text, file);
            }
            return;
        }
        let shown = numbers(text, unit);
        // Words instead of a number say why there is none.
        if shown.is_empty() && !text.chars().any(|c| c.is_ascii_digit()) {
            return;
        }
        if text.contains("at best, or never") {
            self.numbers += 1;
            let soonest = wanted[0];
            if !soonest.is_some_and(|file| self.same(shown[0], file, pointer)) {
                self.wrong(pointer, text, file);
            }
            return;
        }
        // One end alone: the other is not claimed, and the file has nothing there.
        let one = ["at least", "at most", "at the latest"]
            .iter()
            .any(|words| text.contains(words));
        let claimed: Vec<Option<f64>> = wanted
            .iter()
            .copied()
            .filter(|end| !one || end.is_some())
            .collect();
        let mut wanted = &claimed[..];
        // Two ends that are one: no replication differs.
        if shown.len() == 1 && wanted.len() == 2 && wanted[0] == wanted[1] {
            wanted = &wanted[..1];
        }
        if shown.len() != wanted.len() {
            return self.wrong(pointer, text, file);
        }
        for (shown, wanted) in shown.into_iter().zip(wanted) {
            self.numbers += 1;
            let Some(wanted) = wanted else {
                self.wrong(pointer, text, file);
                continue;
            };
            // Ends of intervals are cut at what is possible: nothing, and for shares all.
            let cut = wanted.clamp(
                0.0,
                if text.contains('%') {
                    1.0
                } else {
                    f64::INFINITY
                },
            );
            if !self.same(shown, *wanted, pointer) && !self.same(shown, cut, pointer) {
                self.wrong(pointer, text, file);
            }
        }
    }

    pub fn walk(&mut self, node: &Node) {
        if node.is_skipped() {
            return;
        }
        if let Some(pointer) = node.attribute("data-from") {
            return self.check(node, &pointer);
        }
        match node {
            Node::Element { children, .. } => children.iter().for_each(|child| self.walk(child)),
            Node::Text(text) => {
                let mut text = text.clone();
                for phrase in PHRASES {
                    text = text.replace(phrase, "");
                }
                if text.chars().any(|c| c.is_ascii_digit()) {
                    self.problems.push(format!(
                        "{}: `{}` comes from nowhere",
                        self.page,
                        text.trim()
                    ));
                }
            }
        }
    }
}

/// Looks at a page; the problems, and how many numbers and sentences were compared.
pub fn check<'a>(page: &'a str, html: &str, json: &'a Value) -> Checked<'a> {
    let mut checked = Checked {
        page,
        json,
        numbers: 0,
        sentences: 0,
        problems: Vec::new(),
    };
    let from = html.find("<main>").unwrap();
    let to = html.find("</main>").unwrap() + "</main>".len();
    parse(&html[from..to])
        .iter()
        .for_each(|node| checked.walk(node));
    checked
}
