//! Commands that run nothing or look at one order: check, new, schema, keys, explain, story, help, completions.

use super::*;

#[test]
fn a_file_that_is_not_there() {
    let bench = Bench::new();
    for command in ["run", "check", "explain", "story"] {
        let (out, err) = bench.ends(2, &[command, "nowhere.yaml"]);
        assert!(
            out.is_empty() && err.contains("nowhere.yaml") && err.contains("help:"),
            "{err}"
        );
    }
    let (_, err) = bench.ends(2, &["check", "."]);
    assert!(err.contains("folder"), "{err}");
}

#[test]
fn problems_of_a_scenario_are_all_told_with_their_lines() {
    let bench = Bench::new();
    let text = fs::read_to_string(bench.path("cell.yaml")).unwrap();
    let bad = text
        .replace("web: 760 mm", "web: 760")
        .replace("first_come", "x")
        .replace("rate: 70 /min", "rate: 70 m");
    fs::write(bench.path("bad.yaml"), bad).unwrap();
    for command in ["run", "check", "explain", "story"] {
        let (out, err) = bench.ends(3, &[command, "bad.yaml"]);
        assert!(out.is_empty());
        assert!(err.matches("bad.yaml:").count() >= 3, "{err}");
        assert!(
            !err.contains('\u{1b}') && !err.contains("panicked"),
            "{err}"
        );
    }
    assert!(!bench.path("results").exists());
    fs::write(bench.path("noise.yaml"), [0_u8, 159, 146, 150]).unwrap();
    bench.ends(3, &["run", "noise.yaml"]);
}

#[test]
fn check_says_that_all_is_well() {
    let bench = Bench::new();
    let (out, err) = bench.ends(0, &["check", "cell.yaml"]);
    assert!(
        out.contains("no problems") && out.contains("3 products"),
        "{out}"
    );
    assert_eq!(err, "");
    assert_eq!(bench.files("").len(), 1);
}

#[test]
fn new_writes_a_scenario_that_checks_and_touches_nothing_that_is_there() {
    let bench = Bench::new();
    bench.ends(0, &["new", "mine.yaml"]);
    bench.ends(0, &["check", "mine.yaml"]);
    let (schema, _) = bench.ends(0, &["schema"]);
    assert_eq!(
        fs::read_to_string(bench.path("scenario.schema.json")).unwrap(),
        schema
    );
    assert!(
        fs::read_to_string(bench.path("mine.yaml"))
            .unwrap()
            .contains("$schema=scenario.schema.json")
    );
    fs::write(bench.path("mine.yaml"), "my work").unwrap();
    let (_, err) = bench.ends(5, &["new", "mine.yaml"]);
    assert!(err.contains("there already"), "{err}");
    assert_eq!(
        fs::read_to_string(bench.path("mine.yaml")).unwrap(),
        "my work"
    );
    // Another schema under that name is somebody's too.
    fs::write(bench.path("scenario.schema.json"), "{}").unwrap();
    let (_, err) = bench.ends(0, &["new", "second.yaml"]);
    assert!(err.contains("not touched"), "{err}");
    assert_eq!(
        fs::read_to_string(bench.path("scenario.schema.json")).unwrap(),
        "{}"
    );
    bench.ends(5, &["new", "no/such/folder/x.yaml"]);
}

#[test]
fn schema_is_json_and_keys_is_text() {
    let bench = Bench::new();
    let (schema, _) = bench.ends(0, &["schema"]);
    let schema: serde_json::Value = serde_json::from_str(&schema).unwrap();
    assert_eq!(schema["title"], "Scenario");
    let (_, err) = bench.ends(0, &["keys"]);
    assert_eq!(err, "");
    let (some, _) = bench.ends(0, &["keys", "start_waste"]);
    assert!(
        some.contains("| `start_waste` |") && some.lines().count() < 40,
        "{some}"
    );
    let (_, err) = bench.ends(2, &["keys", "start_wast"]);
    assert!(err.contains("did you mean `start_waste`?"), "{err}");
}

#[test]
fn explain_names_every_step() {
    let bench = Bench::new();
    let (out, _) = bench.ends(0, &["explain", "cell.yaml", "--quantity", "10000"]);
    for word in [
        "2 x 210 + 2 x 40 = 500 mm",
        "laminator",
        "slitter",
        "pouch_machine",
        "packing_table",
        "touch time",
        "may ship",
    ] {
        assert!(out.contains(word), "{word} is not in\n{out}");
    }
    let (one, _) = bench.ends(0, &["explain", "cell.yaml", "--product", "sachet_100"]);
    let (all, _) = bench.ends(0, &["explain", "cell.yaml", "--all"]);
    assert!(all.contains(one.trim_end()));
    let (_, err) = bench.ends(2, &["explain", "cell.yaml", "--product", "sachet"]);
    assert!(err.contains("sachet_100"), "{err}");
    assert_eq!(bench.files("").len(), 1);
}

/// The order book's own numbers: in the list of orders, and to ask for a story by.
#[test]
fn booked_orders_keep_their_names() {
    let bench = Bench::new();
    let here = Path::new(env!("CARGO_MANIFEST_DIR")).join("scenarios/planner-monday.yaml");
    let file = here.to_str().unwrap();
    bench.ends(
        0,
        &[
            "run",
            file,
            "--replications",
            "2",
            "--quiet",
            "--out",
            "monday",
        ],
    );
    let orders = fs::read_to_string(bench.path("monday/orders.csv")).unwrap();
    let mut lines = orders.lines();
    assert!(
        lines
            .next()
            .unwrap()
            .starts_with("order,name,class,product,")
    );
    let named = lines
        .find(|line| line.split(',').nth(1) == Some("4115"))
        .unwrap();
    let number = named.split(',').next().unwrap();
    let (by_name, _) = bench.ends(0, &["story", file, "--order", "4115"]);
    assert!(
        by_name.starts_with(&format!("Order {number} (4115) of replication 0")),
        "{by_name}"
    );
    let (_, err) = bench.ends(2, &["story", file, "--order", "4115x"]);
    assert!(err.contains("`4115` is in the order book"), "{err}");
}

#[test]
fn story_finds_its_order() {
    let bench = Bench::new();
    let (out, _) = bench.ends(0, &["story", "cell.yaml", "--order", "3"]);
    assert!(
        out.starts_with("Order 3 of replication 0") && out.contains("lead time"),
        "{out}"
    );
    let (last, _) = bench.ends(0, &["story", "cell.yaml"]);
    assert_ne!(last, out);
    let (other, _) = bench.ends(
        0,
        &["story", "cell.yaml", "--order", "3", "--replication", "1"],
    );
    assert_ne!(other, out);
    let (_, err) = bench.ends(2, &["story", "cell.yaml", "--order", "999999"]);
    assert!(err.contains("its orders are 0 to"), "{err}");
    // A promise that nothing can keep: the last late order is the last order.
    let text = fs::read_to_string(bench.path("cell.yaml")).unwrap();
    fs::write(
        bench.path("late.yaml"),
        text.replace("10 working days of day", "1 h")
            .replace("7 working days of day", "1 h"),
    )
    .unwrap();
    let (late, _) = bench.ends(0, &["story", "late.yaml", "--late"]);
    assert!(late.contains(" late\n"), "{late}");
    assert_eq!(bench.files("").len(), 2);
}

#[test]
fn help_and_mistakes_on_the_command_line() {
    let bench = Bench::new();
    let (help, err) = bench.ends(0, &["--help"]);
    assert!(help.contains("Exit codes") && err.is_empty(), "{help}");
    bench.ends(0, &["run", "--help"]);
    bench.ends(0, &["--version"]);
    bench.ends(2, &[]);
    bench.ends(2, &["fly"]);
    bench.ends(2, &["run"]);
    bench.ends(2, &["run", "cell.yaml", "--threads", "0"]);
    bench.ends(2, &["run", "cell.yaml", "--no-files", "--out", "x"]);
}

/// The same figures as in docs/verification.md, which a test of its own holds to be right.
#[test]
fn verify_prints_published_beside_simulated_values() {
    let bench = Bench::new();
    let (out, err) = bench.ends(0, &["verify", "--quiet"]);
    assert_eq!(err, "");
    assert!(out.lines().all(|line| line.chars().count() <= 80), "{out}");
    let values = out.lines().filter(|line| line.ends_with(" holds")).count();
    assert!(values >= 80, "{values} in {out}");
    assert!(!out.contains("MISSES") && !out.contains("VAGUE"), "{out}");
    let last = out.lines().last().unwrap_or_default();
    assert!(last.contains("published values hold"), "{last}");
    let page =
        fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/verification.md"))
            .unwrap();
    // One value of chance, as it stands on the page.
    let row = out
        .lines()
        .find(|line| line.contains("mean wait, min"))
        .unwrap();
    let simulated = row.split_whitespace().nth(3).unwrap();
    assert!(page.contains(&format!("| {simulated} |")), "{row}");
}

/// Every order of which a story can be told, and those alone that are late.
#[test]
fn story_lists_its_orders() {
    let bench = Bench::new();
    let (all, _) = bench.ends(0, &["story", "cell.yaml", "--orders"]);
    let (late, _) = bench.ends(0, &["story", "cell.yaml", "--orders", "--late"]);
    let rows: Vec<&str> = all.lines().skip(1).collect();
    assert!(rows.len() > 5, "{all}");
    for word in ["order", "product", "class", "released", "due", "done"] {
        assert!(all.lines().next().unwrap().contains(word), "{all}");
    }
    // Each number is one that `--order` takes; the last is told.
    let number = rows[rows.len() - 1].split_whitespace().next().unwrap();
    let (story, _) = bench.ends(0, &["story", "cell.yaml", "--order", number]);
    assert!(story.contains(&format!("Order {number} ")), "{story}");
    let wanted = |row: &&&str| row.contains("  late") || row.contains("  not done");
    let count = rows.iter().filter(wanted).count();
    assert_eq!(late.lines().count(), 1 + count, "{late}");
}

/// Completions and manual pages know every command and every long option that `--help` tells.
#[test]
fn completions_and_manual_pages_are_made_from_the_arguments() {
    let bench = Bench::new();
    let (help, _) = bench.ends(0, &["--help"]);
    let commands: Vec<&str> = help
        .lines()
        .skip_while(|line| !line.starts_with("Commands:"))
        .skip(1)
        .take_while(|line| line.starts_with("  "))
        .filter_map(|line| line.strip_prefix("  ")?.split_whitespace().next())
        .filter(|name| name.chars().all(|c| c.is_ascii_lowercase()) && *name != "help")
        .filter(|name| help.contains(&format!("\n  {name} ")))
        .collect();
    assert!(commands.len() >= 15, "{commands:?}");
    let (page, _) = bench.ends(0, &["man"]);
    let (bash, _) = bench.ends(0, &["completions", "bash"]);
    for name in &commands {
        assert!(page.contains(name) && bash.contains(name), "{name}");
        let (page, _) = bench.ends(0, &["man", name]);
        assert!(page.contains(&format!(".TH pouchcast-{name} 1")), "{page}");
        let (help, _) = bench.ends(0, &[name, "--help"]);
        for option in help.split_whitespace().filter(|w| w.starts_with("--")) {
            let option = option.trim_matches(|c: char| !c.is_ascii_lowercase());
            let option = option.split(['=', ',']).next().unwrap();
            assert!(
                page.contains(&option.replace('-', "\\-")),
                "{name} {option}"
            );
        }
    }
    for shell in ["zsh", "fish", "elvish", "powershell"] {
        let (text, _) = bench.ends(0, &["completions", shell]);
        assert!(text.contains("replications"), "{shell}");
    }
    let (_, err) = bench.ends(2, &["man", "comparr"]);
    assert!(err.contains("did you mean `compare`"), "{err}");
}
