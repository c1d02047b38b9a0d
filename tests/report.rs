//! The reports as their readers meet them: they fit, agree with each other, and are safe to open.

use std::collections::BTreeMap;
use std::sync::atomic::AtomicBool;

use pouchcast::report::words::width;
use pouchcast::units::{Dimension, parse_quantity};
use pouchcast::{model, observe, replicate, report, scenario, summary};

struct Made {
    text: String,
    files: BTreeMap<String, Vec<u8>>,
}

impl Made {
    fn file(&self, name: &str) -> &str {
        std::str::from_utf8(&self.files[name]).expect("UTF-8")
    }

    fn json(&self) -> serde_json::Value {
        serde_json::from_str(self.file("summary.json")).expect("JSON")
    }
}

fn make(yaml: &str, replications: u32) -> Made {
    let loaded = match scenario::read("cell.yaml", yaml.as_bytes()) {
        Ok(loaded) => loaded,
        Err(problems) => panic!("{}", problems.render(false, 100)),
    };
    let model = model::compile(loaded.plant);
    let layout = observe::Layout::new(&model);
    let experiment = replicate::many(
        &model,
        &layout,
        replications,
        &AtomicBool::new(false),
        &|_| {},
    );
    let summary = summary::Summary::new(&model, &layout, &experiment);
    let (_, trace, _) = replicate::traced(&model, &layout, 0);
    let provenance = report::Provenance {
        file_name: "cell.yaml".into(),
        sha256: "0123456789abcdef".repeat(4),
        version: "0.1.0",
        scenario_text: yaml.into(),
    };
    Made {
        text: report::text(&model, &summary, &provenance),
        files: report::files(&model, &summary, &trace, &provenance)
            .into_iter()
            .collect(),
    }
}

/// The starter with fewer orders and two shifts, which it can keep up with.
fn steady() -> String {
    scenario::starter().replace("06:00-14:00", "06:00-22:00")
}

/// The starter with far more orders than one pouch machine can make.
fn overloaded() -> String {
    scenario::starter().replace("per_week: 4", "per_week: 40")
}

fn bench() -> String {
    "format: 2\nname: Bench only\nrun: { warm_up: 2 weeks, measure: 8 weeks }\nproducts: { piece: {} }\n\
     stations:\n  table:\n    work: bench\n    time: \"exponential, mean 20 min\"\n    machines: { table_a: {} }\n\
     orders:\n  - { name: desk, per_week: 300, products: { piece: 100 % } }\n"
        .to_owned()
}

fn inch() -> String {
    steady().replace("\nrun:", "\nreader: { units: inch }\nrun:")
}

/// Names that try to leave every format they are put into.
fn hostile() -> String {
    steady()
        .replace(
            "name: Starter cell, one pouch machine",
            "name: \"</title><script>alert(1)</script> ' &amp;\"",
        )
        .replace(
            "pouch_machine:",
            "\"<b onload='x'>&=cmd|a very long machine name 宽宽宽\":",
        )
        .replace("nuts_130", "\"]]>' nuts, <img src=x onerror=alert(1)>\"")
        .replace("standard", "\"=1+1</script>\"")
}

#[test]
fn the_text_fits_eighty_columns() {
    for (name, yaml) in [
        ("steady", steady()),
        ("overloaded", overloaded()),
        ("bench", bench()),
        ("hostile", hostile()),
        ("inch", inch()),
    ] {
        for replications in [1, 12] {
            let text = make(&yaml, replications).text;
            for line in text.lines() {
                assert!(width(line) <= 80, "{name}: {} columns: {line}", width(line));
                assert!(
                    !line.contains('\u{1b}') && !line.contains("NaN") && !line.contains("inf"),
                    "{name}: {line}"
                );
            }
        }
    }
}

#[test]
fn an_inch_reader_gets_feet() {
    let (inch, metric) = (make(&inch(), 3).text, make(&steady(), 3).text);
    let figure = |text: &str| {
        text.lines()
            .find(|l| l.contains("web handed over"))
            .map(str::to_owned)
            .expect("web")
    };
    assert!(
        figure(&inch).contains("ft²") && figure(&metric).contains("m²"),
        "{}",
        figure(&inch)
    );
}

#[test]
fn an_overloaded_cell_is_named_and_gets_no_lead_time() {
    let made = make(&overloaded(), 8);
    assert!(made.text.contains("cannot keep up"), "{}", made.text);
    for words in [
        "half of the orders within",
        "9 of 10 within",
        "19 of 20 within",
        "all orders",
    ] {
        let line = made.text.lines().find(|l| l.contains(words)).expect(words);
        assert!(line.trim_end().ends_with("not steady"), "{line}");
    }
    assert_eq!(made.json()["answers"]["keeps_up"], false);
}

#[test]
fn a_cell_without_pouches_does_not_speak_of_them() {
    let made = make(&bench(), 5);
    let text = made.text.replace("pouchcast", "");
    assert!(!text.to_lowercase().contains("pouch"), "{text}");
    let markdown = made
        .file("report.md")
        .replace("pouchcast", "")
        .to_lowercase();
    let before_cautions = markdown.split("## cautions").next().unwrap_or_default();
    assert!(!before_cautions.contains("pouch"), "{before_cautions}");
}

/// The number that follows `words` in the text, in the base unit of `dimension`.
fn told(text: &str, words: &str, dimension: Dimension) -> f64 {
    let line = text.lines().find(|l| l.contains(words)).expect(words);
    let after = line.split(words).nth(1).expect("a figure");
    let value = after.split('(').next().expect("a value").trim();
    parse_quantity(value, dimension).unwrap_or_else(|e| panic!("{value}: {e:?}"))
}

#[test]
fn text_and_json_tell_the_same_numbers() {
    let made = make(&steady(), 10);
    let json = made.json();
    let mean = |key: &str| json["figures"][key]["mean"].as_f64().expect(key);
    let close =
        |a: f64, b: f64, half_digit: f64| assert!((a - b).abs() <= half_digit, "{a} against {b}");
    // Half a unit of the last digit that is printed: 0.5 h from two days up, 0.05 %, 0.005 or 0.5.
    close(
        told(&made.text, "half of the orders within", Dimension::Duration),
        mean("lead_done/all/p50"),
        30.0,
    );
    close(
        told(&made.text, "9 of 10 within", Dimension::Duration),
        mean("lead_done/all/p90"),
        30.0,
    );
    close(
        told(&made.text, "19 of 20 within", Dimension::Duration),
        mean("lead_done/all/p95"),
        30.0,
    );
    close(
        told(&made.text, "On time       all orders", Dimension::Share),
        mean("on_time/all"),
        0.0005,
    );
    close(
        told(&made.text, "orders done a week", Dimension::Count),
        mean("orders/all"),
        0.005,
    );
    close(
        told(&made.text, "good pouches a week", Dimension::Count),
        mean("pouches/all"),
        0.5,
    );
    assert_eq!(json["run"]["replications_done"], 10);
    assert_eq!(json["scenario"]["sha256"].as_str().map(str::len), Some(64));
}

/// Thousandths from decimal text, without going through a float.
fn thousandths(text: &str) -> i64 {
    let (whole, part) = text.split_once('.').expect("three decimals");
    assert_eq!(part.len(), 3);
    let sign = if whole.starts_with('-') { -1 } else { 1 };
    whole.parse::<i64>().expect("number") * 1000 + sign * part.parse::<i64>().expect("number")
}

#[test]
fn every_order_s_time_adds_up_to_the_last_digit() {
    let made = make(&steady(), 2);
    let mut reader = csv::Reader::from_reader(made.files["orders.csv"].as_slice());
    let head = reader.headers().expect("head").clone();
    let lead = head.iter().position(|h| h == "lead_min").expect("lead_min");
    let mut orders = 0;
    for row in reader.records() {
        let row = row.expect("row");
        assert_eq!(row.len(), head.len());
        if !row[lead].is_empty() {
            let parts: i64 = row.iter().skip(lead + 1).map(thousandths).sum();
            assert_eq!(parts, thousandths(&row[lead]), "order {}", &row[0]);
            orders += 1;
        }
    }
    assert!(orders > 50, "{orders}");
}

#[test]
fn a_machine_s_states_fill_its_time() {
    let made = make(&steady(), 3);
    let mut sums: BTreeMap<String, f64> = BTreeMap::new();
    let mut reader = csv::Reader::from_reader(made.files["machines.csv"].as_slice());
    for row in reader.records() {
        let row = row.expect("row");
        *sums.entry(row[1].to_owned()).or_default() += row[3].parse::<f64>().expect("share");
    }
    assert_eq!(sums.len(), 4);
    // Eleven states printed to six decimals.
    assert!(
        sums.values().all(|s| (s - 1.0).abs() < 11.0 * 0.5e-6),
        "{sums:?}"
    );
}

/// Checks what XML 1.0 asks: one root, nested elements that are closed, quoted attributes, no stray `<` or `&`.
fn well_formed(xml: &str) -> Result<(), String> {
    let mut open: Vec<String> = Vec::new();
    let mut rest = xml.trim();
    let mut roots = 0;
    while let Some(at) = rest.find('<') {
        text_is_plain(&rest[..at])?;
        let end = rest[at..].find('>').ok_or("a tag without end")? + at;
        let tag = &rest[at + 1..end];
        if let Some(name) = tag.strip_prefix('/') {
            if open.pop().as_deref() != Some(name) {
                return Err(format!("</{name}> closes nothing"));
            }
        } else {
            let name = tag
                .split_whitespace()
                .next()
                .ok_or("an empty tag")?
                .trim_end_matches('/');
            if !name.chars().all(char::is_alphanumeric) {
                return Err(format!("odd element {name}"));
            }
            let quotes = tag.matches('"').count();
            if quotes % 2 == 1 || quotes / 2 != tag.matches("=\"").count() || tag.contains('<') {
                return Err(format!("odd attributes: {tag}"));
            }
            text_is_plain(tag)?;
            roots += usize::from(open.is_empty());
            if !tag.ends_with('/') {
                open.push(name.to_owned());
            }
        }
        rest = &rest[end + 1..];
    }
    if roots == 1 && open.is_empty() && rest.trim().is_empty() {
        Ok(())
    } else {
        Err(format!("{roots} roots, open {open:?}"))
    }
}

fn text_is_plain(text: &str) -> Result<(), String> {
    if let Some(c) = text.chars().find(|c| c.is_control() && *c != '\n') {
        return Err(format!("control character {c:?}"));
    }
    for after in text.split('&').skip(1) {
        let entity = after.split(';').next().unwrap_or_default();
        if !["lt", "gt", "amp", "quot", "apos", "#39"].contains(&entity) {
            return Err(format!("stray & before {after}"));
        }
    }
    Ok(())
}

#[test]
fn charts_are_well_formed_and_refer_to_nothing() {
    for yaml in [steady(), overloaded(), bench(), hostile()] {
        let made = make(&yaml, 4);
        let charts: Vec<&String> = made.files.keys().filter(|k| k.ends_with(".svg")).collect();
        assert!(charts.len() >= 4, "{charts:?}");
        for name in charts {
            let picture = &made.files[&name.replace(".svg", ".png")];
            assert!(picture.starts_with(b"\x89PNG"), "{name} has a picture");
            let svg = made.file(name);
            if let Err(problem) = well_formed(svg) {
                panic!("{name}: {problem}");
            }
            let svg = svg.replacen("xmlns=\"http://www.w3.org/2000/svg\"", "", 1);
            for word in [
                "http",
                "href",
                "url(",
                "<script",
                "<image",
                "<foreignObject",
            ] {
                assert!(!svg.contains(word), "{name} contains {word}");
            }
        }
    }
}

#[test]
fn the_page_loads_nothing_and_runs_only_its_own_script() {
    for yaml in [steady(), hostile(), bench(), overloaded()] {
        let made = make(&yaml, 4);
        let page = made.file("report.html");
        assert!(page.contains("default-src 'none'"));
        assert_eq!(
            page.matches("<script").count(),
            page.matches("</script>").count()
        );
        assert!(
            page.matches("<script").count() <= 2,
            "only the data and the timeline"
        );
        for word in [
            "<img",
            "<b onload",
            "<link",
            "src=\"",
            "@import",
            "<iframe",
            "href=\"http",
        ] {
            assert!(!page.contains(word), "{word}");
        }
        if let Some(data) = page
            .split("id=\"timeline-data\">")
            .nth(1)
            .and_then(|t| t.split("</script>").next())
        {
            let data: serde_json::Value = serde_json::from_str(data).expect("data");
            assert!(data["rows"].as_array().is_some_and(|r| !r.is_empty()));
        }
    }
    let made = make(&hostile(), 4);
    assert!(
        made.file("orders.csv").contains("'=1+1"),
        "no formula from a name"
    );
    assert!(!made.file("report.md").contains("<script"));
}

#[test]
fn the_same_run_gives_the_same_bytes() {
    let (a, b) = (make(&steady(), 6), make(&steady(), 6));
    assert_eq!(a.text, b.text);
    assert_eq!(a.files, b.files);
}
