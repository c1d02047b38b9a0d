//! The command as its users meet it: what is printed where, which codes come back, what is written.

mod common;

use std::collections::BTreeMap;
use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::Stdio;

use tempfile::TempDir;

/// A folder with a small scenario in it.
struct Bench {
    dir: TempDir,
}

impl Bench {
    /// The starter scenario, cut down to run in a moment.
    fn new() -> Self {
        let bench = Self {
            dir: TempDir::new().unwrap(),
        };
        let text = pouchcast::scenario::starter()
            .replace("replications: 100", "replications: 6")
            .replace("warm_up: 4 weeks", "warm_up: 1 week")
            .replace("measure: 26 weeks", "measure: 3 weeks");
        fs::write(bench.path("cell.yaml"), text).unwrap();
        bench
    }

    fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    /// Output of a command that must end with `code`.
    fn ends(&self, code: i32, arguments: &[&str]) -> (String, String) {
        common::ends(self.dir.path(), code, arguments)
    }

    /// Every file under the folder, by its path, with its bytes.
    fn files(&self, under: &str) -> BTreeMap<PathBuf, Vec<u8>> {
        fn walk(folder: &Path, root: &Path, into: &mut BTreeMap<PathBuf, Vec<u8>>) {
            for entry in fs::read_dir(folder).unwrap() {
                let path = entry.unwrap().path();
                if path.is_dir() {
                    walk(&path, root, into);
                } else {
                    into.insert(
                        path.strip_prefix(root).unwrap().to_path_buf(),
                        fs::read(&path).unwrap(),
                    );
                }
            }
        }
        let mut files = BTreeMap::new();
        let root = self.path(under);
        walk(&root, &root, &mut files);
        files
    }
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

#[test]
fn run_prints_a_summary_and_writes_one_folder_only() {
    let bench = Bench::new();
    let (out, err) = bench.ends(0, &["run", "cell.yaml"]);
    assert!(out.contains("Starter cell"), "{out}");
    assert!(out.lines().all(|line| line.chars().count() <= 80), "{out}");
    assert!(err.contains("results/cell-seed1"), "{err}");
    assert!(
        !out.contains('\u{1b}') && !err.contains('\u{1b}'),
        "no colour into a pipe"
    );
    let files = bench.files("results/cell-seed1");
    assert!(files.contains_key(Path::new("summary.json")));
    assert_eq!(
        files[Path::new("scenario.yaml")],
        fs::read(bench.path("cell.yaml")).unwrap()
    );
    // Nothing else, and nothing hidden, is left behind.
    let all: Vec<PathBuf> = bench.files("").into_keys().collect();
    assert!(
        all.iter()
            .all(|file| file == Path::new("cell.yaml") || file.starts_with("results/cell-seed1")),
        "{all:?}"
    );
    assert_eq!(fs::read_dir(bench.path("results")).unwrap().count(), 1);
}

#[test]
fn results_are_never_overwritten_unless_asked() {
    let bench = Bench::new();
    bench.ends(0, &["run", "cell.yaml", "--out", "mine", "-n", "2"]);
    let before = bench.files("mine");
    let (out, err) = bench.ends(5, &["run", "cell.yaml", "--out", "mine", "-n", "3"]);
    assert!(out.is_empty() && err.contains("--replace"), "{err}");
    assert_eq!(bench.files("mine"), before);
    bench.ends(
        0,
        &["run", "cell.yaml", "--out", "mine", "-n", "3", "--replace"],
    );
    assert_ne!(bench.files("mine"), before);
    // A folder that holds something else is not replaced by any option.
    fs::create_dir(bench.path("thesis")).unwrap();
    fs::write(bench.path("thesis/chapter.txt"), "years").unwrap();
    let (_, err) = bench.ends(5, &["run", "cell.yaml", "--out", "thesis", "--replace"]);
    assert!(err.contains("not a results folder"), "{err}");
    assert_eq!(
        fs::read_to_string(bench.path("thesis/chapter.txt")).unwrap(),
        "years"
    );
}

#[test]
fn threads_do_not_change_a_byte() {
    let bench = Bench::new();
    let (one, _) = bench.ends(
        0,
        &[
            "run",
            "cell.yaml",
            "--threads",
            "1",
            "--out",
            "one",
            "--quiet",
        ],
    );
    let (four, _) = bench.ends(
        0,
        &[
            "run",
            "cell.yaml",
            "--threads",
            "4",
            "--out",
            "four",
            "--quiet",
        ],
    );
    assert_eq!(one, four);
    assert!(bench.files("one").len() > 3);
    assert!(bench.files("one") == bench.files("four"));
}

#[test]
fn seed_and_replications_of_the_command_line_count_and_are_told() {
    let bench = Bench::new();
    let (file, _) = bench.ends(0, &["run", "cell.yaml", "--no-files"]);
    let (other, _) = bench.ends(
        0,
        &[
            "run",
            "cell.yaml",
            "--no-files",
            "--seed",
            "77",
            "--replications",
            "2",
        ],
    );
    assert_ne!(file, other);
    let told = other.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("--seed 77 --replications 2"), "{other}");
    assert!(!file.contains("--seed"), "{file}");
    assert_eq!(bench.files("").len(), 1, "--no-files writes nothing");
    // One replication is few, and it is allowed and said.
    let (single, _) = bench.ends(0, &["run", "cell.yaml", "--no-files", "-n", "1"]);
    assert!(single.contains("Only 1 replication"), "{single}");
    bench.ends(2, &["run", "cell.yaml", "--no-files", "-n", "0"]);
}

#[test]
fn quiet_says_nothing_but_data() {
    let bench = Bench::new();
    let (out, err) = bench.ends(0, &["run", "cell.yaml", "--quiet"]);
    assert!(!out.is_empty());
    assert_eq!(err, "");
}

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

#[test]
fn a_folder_that_cannot_be_written() {
    let bench = Bench::new();
    fs::write(bench.path("plain"), "a file, not a folder").unwrap();
    let (_, err) = bench.ends(
        5,
        &["run", "cell.yaml", "--out", "plain/results", "-n", "1"],
    );
    assert!(err.contains("plain/results"), "{err}");
    assert_eq!(bench.files("").len(), 2);
}

/// A reader that has seen enough is no error.
#[test]
#[cfg(unix)]
fn broken_pipe_is_success() {
    let bench = Bench::new();
    for arguments in [
        &["schema"][..],
        &["run", "cell.yaml", "--no-files"],
        &["explain", "cell.yaml", "--all"],
    ] {
        let mut child = spawn(&bench, arguments);
        // Closed before anything is written.
        drop(child.stdout.take());
        let mut err = String::new();
        child
            .stderr
            .take()
            .unwrap()
            .read_to_string(&mut err)
            .unwrap();
        assert_eq!(
            child.wait().unwrap().code(),
            Some(0),
            "{arguments:?}\n{err}"
        );
        assert_eq!(err, "");
    }
}

#[cfg(unix)]
fn spawn(bench: &Bench, arguments: &[&str]) -> std::process::Child {
    std::process::Command::new(assert_cmd::cargo::cargo_bin("pouchcast"))
        .current_dir(bench.dir.path())
        .args(arguments)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap()
}

/// Ctrl-C: what is done is kept, and marked.
#[test]
#[cfg(unix)]
fn an_interrupted_run_keeps_what_it_has_and_says_so() {
    let bench = Bench::new();
    let child = spawn(
        &bench,
        &[
            "run",
            "cell.yaml",
            "--out",
            "part",
            "--replications",
            "1000000",
        ],
    );
    std::thread::sleep(std::time::Duration::from_secs(3));
    let sent = std::process::Command::new("kill")
        .args(["-INT", &child.id().to_string()])
        .status()
        .unwrap();
    assert!(sent.success());
    let output = child.wait_with_output().unwrap();
    let (out, err) = (text(&output.stdout), text(&output.stderr));
    assert_eq!(output.status.code(), Some(4), "{out}\n{err}");
    assert!(err.contains("marked partial"), "{err}");
    assert!(out.contains("Interrupted"), "{out}");
    let files = bench.files("part");
    assert!(text(&files[Path::new("summary.json")]).contains("partial"));
    assert_eq!(
        bench.files("").len(),
        files.len() + 1,
        "nothing half-written is left"
    );
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

#[test]
fn a_precision_is_said_and_kept() {
    let bench = Bench::new();
    let (out, _) = bench.ends(
        0,
        &[
            "run",
            "cell.yaml",
            "--quiet",
            "--no-files",
            "--precision",
            "30%",
        ],
    );
    // Few orders, and lead times that a few bad weeks decide: as many as allowed, and said so.
    assert!(out.contains("replications."), "{out}");
    assert!(!out.contains("inf"), "{out}");
    assert!(out.contains("--precision 30"), "{out}");
    let (_, err) = bench.ends(2, &["run", "cell.yaml", "--precision", "80 %"]);
    assert!(err.contains("from 0.1 % to 50 %"), "{err}");
}

#[test]
fn a_warm_up_left_open_is_chosen_and_said() {
    let bench = Bench::new();
    let text = fs::read_to_string(bench.path("cell.yaml")).unwrap();
    let open = text.replace("warm_up: 1 week", "warm_up: auto");
    assert_ne!(open, text);
    fs::write(bench.path("open.yaml"), open).unwrap();
    let ask = |threads: &str| {
        bench
            .ends(
                0,
                &[
                    "run",
                    "open.yaml",
                    "-q",
                    "--no-files",
                    "-n",
                    "30",
                    "-t",
                    threads,
                ],
            )
            .0
    };
    let out = ask("1");
    let words: Vec<&str> = out.split_whitespace().collect();
    assert!(words.join(" ").contains("of warm-up (chosen)"), "{out}");
    assert_eq!(out, ask("3"), "on any number of threads");
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

/// What a run will take is said by `check`; what no machine can do is refused by whatever would run it.
#[test]
fn the_effort_is_told_before_the_work() {
    let bench = Bench::new();
    let (out, _) = bench.ends(0, &["check", "cell.yaml"]);
    assert!(
        out.contains("a run: about") && out.contains("events"),
        "{out}"
    );
    let text = fs::read_to_string(bench.path("cell.yaml")).unwrap();
    let long = text
        .replace("measure: 3 weeks", "measure: 520 weeks")
        .replace("replications: 6", "replications: 1000000");
    fs::write(bench.path("long.yaml"), long).unwrap();
    let (_, err) = bench.ends(0, &["check", "long.yaml"]);
    assert!(err.contains("the run will take long"), "{err}");
    let endless = text
        .replace("measure: 3 weeks", "measure: 520 weeks")
        .replace("per_week: 4\n", "per_week: 1000000\n");
    fs::write(bench.path("endless.yaml"), endless).unwrap();
    for command in ["check", "run", "explain", "story", "compare"] {
        let begun = std::time::Instant::now();
        let (out, err) = bench.ends(3, &[command, "endless.yaml"]);
        assert!(
            out.is_empty() && err.contains("one replication would take"),
            "{err}"
        );
        assert!(begun.elapsed().as_secs() < 10, "{command}");
    }
}
