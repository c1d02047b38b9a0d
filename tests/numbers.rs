//! Every number on a page is the one in the results for other programs, to the digits shown.
//!
//! A page says of each number where it comes from (`data-from`, a JSON pointer, RFC 6901). Here the page is read
//! back: what stands under a pointer is parsed by rules written down here, not by the program's own, and compared
//! with the number in the JSON file; digits that stand nowhere under a pointer are an error. Left out are: names
//! and heads (headings, captions, row and column heads, labels), drawings, the method with the scenario in full,
//! and lists of class `scenario`, which quote the scenario.

use std::fs;
use std::path::Path;

use assert_cmd::Command;
use jiff::ToSpan;
use jiff::civil::DateTime;
use serde_json::Value;
use tempfile::TempDir;

/// What is not looked at: elements by name, and by `class` or `id`.
const SKIPPED: [&str; 10] = [
    "svg", "script", "h1", "h2", "h3", "th", "caption", "dt", "pre", "thead",
];
const SKIPPED_CLASSES: [&str; 1] = ["scenario"];

/// Phrases of the language that have digits in them.
const PHRASES: [&str; 2] = ["9 of 10", "19 of 20"];

/// An element or a piece of text.
enum Node {
    Text(String),
    Element {
        name: String,
        attributes: String,
        children: Vec<Node>,
    },
}

impl Node {
    fn attribute(&self, wanted: &str) -> Option<String> {
        let Node::Element { attributes, .. } = self else {
            return None;
        };
        let start = attributes.find(&format!(" {wanted}=\""))? + wanted.len() + 3;
        let end = attributes[start..].find('"')? + start;
        Some(unescaped(&attributes[start..end]))
    }

    /// The text, that of elements of class `but` left out.
    fn text(&self, but: &str) -> String {
        match self {
            Node::Text(text) => text.clone(),
            _ if !but.is_empty() && self.attribute("class").as_deref() == Some(but) => {
                String::new()
            }
            Node::Element { children, .. } => children.iter().map(|c| c.text(but)).collect(),
        }
    }

    fn is_skipped(&self) -> bool {
        let Node::Element { name, .. } = self else {
            return false;
        };
        let class = self.attribute("class").unwrap_or_default();
        SKIPPED.contains(&name.as_str())
            || SKIPPED_CLASSES.contains(&class.as_str())
            || self.attribute("aria-labelledby").as_deref() == Some("method-h")
    }
}

fn unescaped(text: &str) -> String {
    let text = text.replace("&lt;", "<").replace("&gt;", ">");
    let text = text.replace("&quot;", "\"").replace("&#39;", "'");
    text.replace("&amp;", "&")
}

/// Reads well-formed HTML; every element of our pages but these is closed.
fn parse(html: &str) -> Vec<Node> {
    fn level(rest: &mut &str, inside: &str) -> Vec<Node> {
        let mut nodes = Vec::new();
        loop {
            let Some(start) = rest.find('<') else {
                nodes.push(Node::Text(unescaped(rest)));
                *rest = "";
                return nodes;
            };
            nodes.push(Node::Text(unescaped(&rest[..start])));
            let end = rest[start..].find('>').unwrap() + start;
            let tag = &rest[start + 1..end];
            *rest = &rest[end + 1..];
            if let Some(name) = tag.strip_prefix('/') {
                assert_eq!(name, inside, "elements are closed in their order");
                return nodes;
            }
            let name = tag.split([' ', '\n', '/']).next().unwrap().to_owned();
            let attributes = tag[name.len()..].to_owned();
            if tag.ends_with('/') || tag.starts_with('!') || name == "meta" {
                continue;
            }
            let children = match name.as_str() {
                // Not HTML inside.
                "script" | "style" => {
                    let close = format!("</{name}>");
                    let end = rest.find(&close).unwrap();
                    *rest = &rest[end + close.len()..];
                    Vec::new()
                }
                _ => level(rest, &name),
            };
            nodes.push(Node::Element {
                name,
                attributes,
                children,
            });
        }
    }
    level(&mut &html[..], "")
}

/// A number as it is shown: its value in the unit of the file, and half a unit of its last digit.
#[derive(Debug, Clone, Copy)]
struct Shown {
    value: f64,
    half: f64,
}

/// Numbers and their units, one after the other: `7 d 15 h to 7 d 19 h` has two, each in minutes.
fn numbers(text: &str, unit: &str) -> Vec<Shown> {
    let text = text.replace(['\u{202f}'], "").replace('\u{a0}', " ");
    let is_signed = text.trim_start().starts_with(['+', '-']);
    let mut found: Vec<(f64, f64, String)> = Vec::new();
    let mut words = text.split(' ').peekable();
    while let Some(word) = words.next() {
        let word = word.trim_matches(|c: char| "(),;*".contains(c));
        let Ok(value) = word.trim_start_matches('+').parse::<f64>() else {
            continue;
        };
        let places = word.split_once('.').map_or(0, |(_, places)| places.len());
        let after = words
            .peek()
            .map_or("", |next| next.trim_matches(|c: char| "(),;*".contains(c)));
        found.push((value, 0.5 * 0.1f64.powi(places as i32), after.to_owned()));
    }
    // Days and hours are one number.
    let mut joined: Vec<(f64, f64, String)> = Vec::new();
    for (value, half, after) in found {
        match joined.last_mut() {
            Some(last) if last.2 == "d" && after == "h" => {
                let sign = if last.0.is_sign_negative() { -1.0 } else { 1.0 };
                *last = (last.0 * 24.0 + sign * value, half, "h".to_owned());
            }
            _ => joined.push((value, half, after)),
        }
    }
    // A unit that is said once, at the end of a range.
    let last = joined.last().map_or(String::new(), |last| last.2.clone());
    joined
        .into_iter()
        .map(|(value, half, own)| {
            let shown = if scale(&own, unit).is_some() {
                own
            } else {
                last.clone()
            };
            let scale = scale(&shown, unit).unwrap_or(1.0);
            Shown {
                value: value * scale,
                // Whole days without hours were rounded to the hour, differences in days to a tenth.
                half: match shown.as_str() {
                    "d" if half == 0.5 && is_signed => 72.0,
                    "d" if half == 0.5 => 30.0,
                    _ => half * scale,
                },
            }
        })
        .collect()
}

/// What one of a shown unit is in the unit of the file.
fn scale(shown: &str, unit: &str) -> Option<f64> {
    Some(match (shown, unit) {
        ("s", "min") => 1.0 / 60.0,
        ("min", "min") => 1.0,
        ("h", "min") => 60.0,
        ("d", "min") => 1440.0,
        ("h", _) => 1.0,
        ("%" | "pt", _) => 0.01,
        ("ft", _) => 0.3048,
        ("ft²", _) => 0.3048 * 0.3048,
        ("lb", _) => 0.453_592_37,
        ("m" | "m²" | "kg" | "years", _) => 1.0,
        _ => return None,
    })
}

/// A moment of a page (`Mon 8 Feb 20:31`) in the file (`2027-02-08T20:30:12`): rounded up to the minute; the end of
/// a day may be 24:00.
fn same_moment(shown: &str, file: &str) -> bool {
    const MONTHS: [&str; 12] = [
        "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
    ];
    let words: Vec<&str> = shown.split_whitespace().collect();
    let [_, day, month, time] = words.as_slice() else {
        return false;
    };
    let month = MONTHS.iter().position(|m| m == month).map_or(0, |m| m + 1);
    let day: u32 = day.parse().unwrap_or(0);
    let moment: DateTime = file.parse().unwrap();
    let up = moment.checked_add(59.seconds()).unwrap();
    let (of, clock) = (up.date(), up.strftime("%H:%M").to_string());
    let (of, clock) = match *time {
        "24:00" if clock == "00:00" => (of.yesterday().unwrap(), "24:00".to_owned()),
        _ => (of, clock),
    };
    (of.month() as usize, of.day() as u32) == (month, day) && clock == *time
}

struct Checked<'a> {
    page: &'a str,
    json: &'a Value,
    numbers: usize,
    sentences: usize,
    problems: Vec<String>,
}

impl Checked<'_> {
    fn wrong(&mut self, pointer: &str, shown: &str, file: &Value) {
        let file = file.to_string();
        let file: String = file.chars().take(200).collect();
        self.problems.push(format!(
            "{}: `{shown}` is not what stands at {pointer}: {file}",
            self.page
        ));
    }

    /// The unit that stands beside the number in the file, or beside what it belongs to.
    fn unit(&self, pointer: &str) -> String {
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

    fn same(&self, shown: Shown, file: f64, pointer: &str) -> bool {
        // Rounded up to two digits, so that nobody takes it for exact.
        if pointer.ends_with("replications_needed") {
            return shown.value >= file && shown.value <= file * 1.1 + 1.0;
        }
        (shown.value - file).abs() <= shown.half * (1.0 + 1e-9) + 1e-9 * file.abs()
    }

    fn check(&mut self, node: &Node, pointer: &str) {
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
    fn range_of_moments(&mut self, pointer: &str, value: &str, interval: &str, file: &Value) {
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

    fn compare(
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
        let wanted = &claimed[..];
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

    fn walk(&mut self, node: &Node) {
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
fn check<'a>(page: &'a str, html: &str, json: &'a Value) -> Checked<'a> {
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

/// Runs a command in the repository and reads its page and its results.
fn made(folder: &Path, json: &str, arguments: &[&str]) -> (String, Value) {
    let out = folder.join(arguments[0]);
    let mut all = arguments.to_vec();
    let place = out.to_string_lossy().into_owned();
    all.extend(["-q", "--replace", "-o", &place]);
    Command::cargo_bin("pouchcast")
        .unwrap()
        .args(&all)
        .assert()
        .success();
    let read = |name: &str| fs::read_to_string(out.join(name)).unwrap();
    (
        read("report.html"),
        serde_json::from_str(&read(json)).unwrap(),
    )
}

#[test]
fn every_number_of_every_page_comes_from_the_results() {
    let dir = TempDir::new().unwrap();
    for (arguments, json, least) in [
        (
            &["run", "scenarios/owner.yaml", "-n", "5"][..],
            "summary.json",
            400,
        ),
        (
            &["run", "scenarios/planner.yaml", "-n", "5"],
            "summary.json",
            400,
        ),
        (
            &["run", "scenarios/consultant.yaml", "-n", "2"],
            "summary.json",
            400,
        ),
        (
            &["compare", "scenarios/owner.yaml", "-n", "6"],
            "compare.json",
            400,
        ),
        (
            &["compare", "scenarios/planner.yaml", "-n", "5"],
            "compare.json",
            400,
        ),
        (
            &[
                "sweep",
                "scenarios/owner.yaml",
                "-n",
                "5",
                "--set",
                "demand=0.9,1,1.2",
            ],
            "sweep.json",
            50,
        ),
        (
            &[
                "limit",
                "scenarios/owner.yaml",
                "-n",
                "10",
                "--promise",
                "95 % on time",
            ],
            "limit.json",
            6,
        ),
        (
            &["choose", "scenarios/owner.yaml", "--effort", "80"],
            "choose.json",
            6,
        ),
        (
            &["promise", "scenarios/planner-monday.yaml", "-n", "60"],
            "promise.json",
            200,
        ),
        (
            &[
                "promise",
                "scenarios/planner-monday.yaml",
                "-n",
                "60",
                "--quote",
                "snack_metal",
                "--quantity",
                "4000",
                "--class",
                "standard",
            ],
            "promise.json",
            220,
        ),
        (
            &[
                "sensitivity",
                "scenarios/owner.yaml",
                "-n",
                "6",
                "--set",
                "demand",
                "--set",
                "people.operators.absence",
            ],
            "sensitivity.json",
            20,
        ),
    ] {
        let (html, json) = made(dir.path(), json, arguments);
        let checked = check(arguments[1], &html, &json);
        assert!(
            checked.problems.is_empty(),
            "{arguments:?}: {} problems\n{}",
            checked.problems.len(),
            checked.problems[..checked.problems.len().min(30)].join("\n")
        );
        assert!(
            checked.numbers >= least,
            "{arguments:?}: {} numbers",
            checked.numbers
        );
        assert!(
            checked.sentences > 0 || arguments[0] == "sweep",
            "{arguments:?}: no sentence"
        );
    }
}

/// An inch reader's page, and one of a cell that cannot keep up.
#[test]
fn other_units_and_missing_values_are_the_same_numbers_too() {
    let dir = TempDir::new().unwrap();
    let starter = pouchcast::scenario::starter().replace("measure: 26 weeks", "measure: 8 weeks");
    for (name, text) in [
        (
            "inch",
            starter.replace("\nrun:", "\nreader: { units: inch }\nrun:"),
        ),
        ("over", starter.replace("per_week: 4", "per_week: 40")),
    ] {
        let file = dir.path().join(format!("{name}.yaml"));
        fs::write(&file, text).unwrap();
        let file = file.to_string_lossy().into_owned();
        let (html, json) = made(dir.path(), "summary.json", &["run", &file, "-n", "5"]);
        let checked = check(name, &html, &json);
        assert!(
            checked.problems.is_empty(),
            "{}",
            checked.problems.join("\n")
        );
        assert!(checked.numbers > 60, "{name}: {}", checked.numbers);
    }
}

/// The check sees a number that is wrong by one in its last digit, a missing source, and a changed sentence.
#[test]
fn a_changed_number_is_seen() {
    let dir = TempDir::new().unwrap();
    let (html, json) = made(
        dir.path(),
        "summary.json",
        &["run", "scenarios/owner.yaml", "-n", "5"],
    );
    assert!(check("page", &html, &json).problems.is_empty());
    let start = html.find("data-from=\"/figures/on_time").unwrap();
    let percent = html[start..].find('%').unwrap() + start;
    let digit = html[..percent].rfind(|c: char| c.is_ascii_digit()).unwrap();
    let other = if &html[digit..=digit] == "5" {
        "6"
    } else {
        "5"
    };
    let mut wrong = html.clone();
    wrong.replace_range(digit..=digit, other);
    assert_eq!(check("page", &wrong, &json).problems.len(), 1, "a digit");
    let bare = html.replacen(
        " data-from=\"/figures/on_time",
        " data-of=\"/figures/on_time",
        1,
    );
    assert!(
        !check("page", &bare, &json).problems.is_empty(),
        "no source"
    );
    let said = html.replacen("The cell keeps up", "The cell nearly keeps up", 1);
    assert_eq!(check("page", &said, &json).problems.len(), 1, "a sentence");
    let shown = numbers("7 d 15 h to 7 d 19 h", "min");
    assert_eq!([shown[0].value, shown[1].value], [10_980.0, 11_220.0]);
    let shown = numbers("-5 to +19.2 pt", "share");
    assert!((shown[0].value + 0.05).abs() < 1e-12 && (shown[1].half - 0.0005).abs() < 1e-12);
}
