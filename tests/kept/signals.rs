//! Signals at any moment leave all or nothing.

use super::*;

/// Commands that only print, or make a new file.
const OTHERS: [&[&str]; 5] = [
    &["new", "fresh.yaml"],
    &["check", "study.yaml"],
    &["story", "cell.yaml"],
    &["explain", "cell.yaml", "--all"],
    &["verify"],
];

/// One signal (or two of them) to one command after so many microseconds; `out` held earlier results.
fn signal(dir: &Path, arguments: &[&str], signals: &[&str], after: Duration, replace: bool) {
    let before = files(dir);
    let mut all = arguments.to_vec();
    all.extend(["-q"].iter().filter(|_| arguments.contains(&"-o")));
    all.extend(replace.then_some("--replace"));
    let mut child = start(dir, &all);
    std::thread::sleep(after);
    for signal in signals {
        kill(&child, signal);
        std::thread::sleep(Duration::from_millis(2));
    }
    let begun = Instant::now();
    let code = loop {
        if let Some(status) = child.try_wait().unwrap() {
            break status.code();
        }
        assert!(
            begun.elapsed() < Duration::from_secs(60),
            "{all:?} goes on after {signals:?}"
        );
        std::thread::sleep(Duration::from_millis(2));
    };
    let mut err = String::new();
    child
        .stderr
        .take()
        .unwrap()
        .read_to_string(&mut err)
        .unwrap();
    assert!(!err.contains("panicked"), "{all:?}: {err}");
    let after = files(dir);
    for (name, bytes) in &before {
        // Only a run that came to its end takes the place of a complete one.
        let replaced = replace && code == Some(0) && name.split('/').next() == Some("out");
        assert!(
            replaced || after.get(name) == Some(bytes),
            "{all:?} {code:?}: `{name}` is lost"
        );
    }
    let killed = signals.contains(&"-KILL");
    for (name, bytes) in &after {
        let top = name.split('/').next().unwrap();
        if before.contains_key(name) && before.get(name) == Some(bytes) {
            continue;
        }
        if top.starts_with('.') {
            assert!(killed, "{all:?} {code:?}: hidden `{name}` is left: {err}");
        } else if top.starts_with("out") && after.contains_key(&format!("{top}/SHA256SUMS")) {
            assert!(whole(&after, top), "{all:?} {code:?}: `{top}` is not whole");
        } else if top.starts_with("out") {
            let text = String::from_utf8_lossy(bytes);
            assert!(
                text.lines().last().is_some_and(|l| l.contains("end_after")),
                "{all:?}: {name}"
            );
        } else {
            let text = String::from_utf8_lossy(bytes);
            let whole = *text == *pouchcast::scenario::starter() || name == "scenario.schema.json";
            assert!(whole, "{all:?} {code:?}: `{name}` is new or changed");
        }
    }
}

/// A folder as it was before.
fn clear(dir: &Path) {
    for entry in fs::read_dir(dir).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if name.starts_with("out") || name.starts_with(".pouchcast-") {
            let _ = fs::remove_dir_all(&path).or_else(|_| fs::remove_file(&path));
        }
    }
    for name in ["fresh.yaml", "scenario.schema.json"] {
        let _ = fs::remove_file(dir.join(name));
    }
}

/// A part that is given up in the middle of its run takes its hidden file with it.
#[test]
fn a_part_given_up_leaves_nothing() {
    let dir = bench();
    let before = files(dir.path());
    let begun = |dir: &Path| {
        let entries = fs::read_dir(dir).unwrap();
        entries
            .flatten()
            .any(|entry| entry.path().join("part").exists())
    };
    for pause in [0, 1, 5, 20, 50] {
        let part = "run cell.yaml -n 4000 --part 1/2 -o out -q";
        let arguments: Vec<&str> = part.split(' ').collect();
        let mut child = start(dir.path(), &arguments);
        let clock = Instant::now();
        while !begun(dir.path()) && clock.elapsed() < Duration::from_secs(30) {
            std::thread::sleep(Duration::from_millis(1));
        }
        std::thread::sleep(Duration::from_millis(pause));
        kill(&child, "-INT");
        kill(&child, "-INT");
        child.wait().unwrap();
        assert_eq!(files(dir.path()), before, "after {pause} ms");
    }
}

fn signals(count: usize, seed: u64) {
    let dir = prepared();
    let mut luck = Luck(seed);
    let all: Vec<&[&str]> = WRITERS.into_iter().chain(OTHERS).collect();
    for number in 0..count {
        clear(dir.path());
        let arguments = all[number % all.len()];
        let writes = arguments.contains(&"-o");
        // Of those that write, half stand before earlier results.
        let replace = writes && luck.below(2) == 0;
        if replace && arguments.contains(&"--part") {
            ends(
                dir.path(),
                0,
                &[
                    "run",
                    "cell.yaml",
                    "-n",
                    "1",
                    "--part",
                    "1/1",
                    "-o",
                    "out",
                    "-q",
                ],
            );
        } else if replace {
            ends(
                dir.path(),
                0,
                &["run", "cell.yaml", "-n", "1", "-o", "out", "-q"],
            );
        }
        let kinds: [&[&str]; 6] = [
            &["-INT"],
            &["-TERM"],
            &["-INT", "-INT"],
            &["-TERM", "-INT"],
            &["-KILL"],
            &["-HUP"],
        ];
        let kind = kinds[luck.below(kinds.len())];
        let most = [20, 200, 1500][luck.below(3)];
        let after = Duration::from_micros(1000 * luck.below(most) as u64 + luck.below(1000) as u64);
        signal(dir.path(), arguments, kind, after, replace);
    }
}

#[test]
fn signals_at_random_moments_leave_all_or_nothing() {
    signals(28, 20_270_104);
}

#[test]
#[ignore = "500 signals over all commands, some minutes; the plain tests take 28"]
fn signals_at_random_moments_leave_all_or_nothing_long() {
    signals(500, 16);
}
