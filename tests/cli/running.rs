//! Runs: their summaries, folders, threads, precision, interruptions.

use super::*;

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
    assert!(files.contains_key("summary.json"));
    assert_eq!(
        files["scenario.yaml"],
        fs::read(bench.path("cell.yaml")).unwrap()
    );
    // Nothing else, and nothing hidden, is left behind.
    let all: Vec<String> = bench.files("").into_keys().collect();
    assert!(
        all.iter()
            .all(|file| file == "cell.yaml" || file.starts_with("results/cell-seed1")),
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
    assert!(text(&files["summary.json"]).contains("partial"));
    assert_eq!(
        bench.files("").len(),
        files.len() + 1,
        "nothing half-written is left"
    );
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

/// What is counted does not depend on the cores, writes nothing, and a run cannot be drawn from fewer replications than
/// it has.
#[test]
fn certify_counts_the_same_on_any_number_of_cores() {
    let bench = Bench::new();
    let text = fs::read_to_string(bench.path("cell.yaml")).unwrap();
    let many = text.replace("per_week: 4\n", "per_week: 60\n");
    fs::write(bench.path("many.yaml"), many).unwrap();
    let one = text.replace("replications: 6", "replications: 1");
    fs::write(bench.path("one.yaml"), one).unwrap();
    let before = bench.files("");
    let certify = |cell: &str, threads: &str| {
        let asked = format!("certify {cell} -n 20 --pool 100 --runs 100 -q -t {threads}");
        bench.ends(0, &asked.split(' ').collect::<Vec<_>>()).0
    };
    let told = certify("cell.yaml", "1");
    assert_eq!(told, certify("cell.yaml", "2"));
    assert!(
        told.contains("100 runs of 20 replications") && told.contains("wrong"),
        "{told}"
    );
    assert!(told.lines().all(|line| line.chars().count() <= 80));
    // What drowns is said before any interval.
    let told = certify("many.yaml", "1");
    assert!(told.contains("does not keep up"), "{told}");
    for usage in [
        ["certify", "cell.yaml", "-n", "200", "--pool", "900"],
        ["certify", "one.yaml", "--runs", "100", "--pool", "100"],
    ] {
        let (_, err) = bench.ends(2, &usage);
        assert!(err.contains("help:"), "{err}");
    }
    assert_eq!(before, bench.files(""));
}
