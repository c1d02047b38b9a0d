//! Full and read-only disks keep what is on them.

use super::*;

/// Runs a shell line in a folder with a small disk of its own under `disk`, mounted with the options; what was on the
/// disk before and after is copied to `seen-before` and `seen-after`. `None` where the system lets nobody mount.
fn on_disk(dir: &Path, options: &str, fill: &str, line: &str) -> Option<Output> {
    for folder in ["disk", "seen-before", "seen-after", "tmp"] {
        fs::create_dir_all(dir.join(folder)).unwrap();
    }
    let script = format!(
        "mount -t tmpfs -o size=400k none disk || exit 99\n\
         mkdir disk/thesis && echo years > disk/thesis/chapter.txt\n{fill}\n{options}\n\
         cp -r disk/. seen-before\n{line}\ncode=$?\ncp -r disk/. seen-after\nexit $code"
    );
    let output = Command::new("unshare")
        .current_dir(dir)
        .args(["-rm", "sh", "-c", &script])
        .env("TMPDIR", dir.join("tmp"))
        .output()
        .ok()?;
    match output.status.code() {
        Some(99) | None => None,
        Some(1) if String::from_utf8_lossy(&output.stderr).contains("unshare") => None,
        _ => Some(output),
    }
}

/// Every command that writes, where its disk is full or may not be written.
#[test]
fn full_and_read_only_disks_keep_what_is_on_them() {
    let program = assert_cmd::cargo::cargo_bin("pouchcast");
    let full = "dd if=/dev/zero of=disk/ballast bs=1k count=390 2>/dev/null";
    let locked = "mount -o remount,ro disk";
    for (options, fill) in [("", full), (locked, "")] {
        for arguments in WRITERS {
            let dir = prepared();
            let quick: Vec<String> = arguments
                .iter()
                .map(|word| match *word {
                    "out" => "disk/out".to_owned(),
                    "400" | "60" | "20" | "10" => "2".to_owned(),
                    "90 % on time" => "\"90 % on time\"".to_owned(),
                    word => word.to_owned(),
                })
                .collect();
            let line = format!("{} {} -q", program.display(), quick.join(" "));
            let Some(output) = on_disk(dir.path(), options, fill, &line) else {
                eprintln!("not tried: this system lets nobody mount a disk");
                return;
            };
            let err = String::from_utf8_lossy(&output.stderr).into_owned();
            assert_eq!(output.status.code(), Some(5), "{line}: {err}");
            assert!(err.contains("disk/out"), "{line}: {err}");
            let after = files(&dir.path().join("seen-after"));
            assert_eq!(
                after,
                files(&dir.path().join("seen-before")),
                "{line}: {err}"
            );
            // Found before the work, or the results are kept elsewhere and the message says where.
            let kept = files(&dir.path().join("tmp"));
            if err.contains("instead") {
                assert!(
                    whole(&kept, "out") && err.contains("tmp/out`"),
                    "{line}: {err}"
                );
            } else {
                assert!(kept.is_empty() && output.stdout.is_empty(), "{line}: {err}");
            }
        }
    }
}
