//! Damaged parts of runs: none merges.

use super::*;

/// One damage to a file, never none.
fn damaged(bytes: &[u8], other: &[u8], luck: &mut Luck) -> Vec<u8> {
    let mut new = bytes.to_vec();
    let at = luck.below(bytes.len());
    let to = (at + 1 + luck.below(200)).min(bytes.len());
    let lines: Vec<&[u8]> = bytes.split_inclusive(|b| *b == b'\n').collect();
    match luck.below(10) {
        0 => new[at] ^= 1 << luck.below(8),
        1 => new[at] = b"0123456789.eE-+ \"{}:,\n\r\0"[luck.below(24)],
        2 => drop(new.drain(at..to)),
        3 => new.truncate(at),
        4 => new.insert(at, b"0123456789\n\r "[luck.below(13)]),
        5 => new.extend_from_slice(&bytes[at..to]),
        6 => {
            let (a, b) = (luck.below(lines.len()), luck.below(lines.len()));
            let mut lines = lines.clone();
            lines.swap(a, b);
            new = lines.concat();
        }
        7 => {
            let mut lines = lines.clone();
            lines.insert(luck.below(lines.len()), lines[luck.below(lines.len())]);
            new = lines.concat();
        }
        8 => {
            let mut lines = lines.clone();
            lines.remove(luck.below(lines.len()));
            new = lines.concat();
        }
        // A line of another run of the same scenario, in the same place.
        _ => {
            let others: Vec<&[u8]> = other.split_inclusive(|b| *b == b'\n').collect();
            let mut lines = lines.clone();
            let line = 1 + luck.below(lines.len() - 1);
            lines[line] = others[line];
            new = lines.concat();
        }
    }
    if new == bytes {
        return damaged(bytes, other, luck);
    }
    new
}

/// So many damages of parts: none merges, each says which file.
fn damages(count: usize, seed: u64) {
    let dir = bench();
    for (name, part, seed) in [("a", "1/2", "1"), ("b", "2/2", "1"), ("c", "2/2", "2")] {
        let part = [
            "run",
            "cell.yaml",
            "--part",
            part,
            "-o",
            name,
            "-s",
            seed,
            "-q",
        ];
        ends(dir.path(), 0, &part);
    }
    let merge = ["merge", "cell.yaml", "--no-files", "-q", "a", "d"];
    let (good, other) = (
        fs::read(dir.path().join("b")),
        fs::read(dir.path().join("c")),
    );
    let (good, other) = (good.unwrap(), other.unwrap());
    fs::write(dir.path().join("d"), &good).unwrap();
    ends(dir.path(), 0, &merge);
    let mut luck = Luck(seed);
    for number in 0..count {
        let bad = damaged(&good, &other, &mut luck);
        fs::write(dir.path().join("d"), &bad).unwrap();
        let output = common::output(dir.path(), &merge);
        let err = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(2), "damage {number}: {err}");
        assert!(output.stdout.is_empty(), "damage {number}");
        assert!(err.contains("`d`"), "damage {number}: {err}");
    }
}

#[test]
fn no_damaged_part_merges() {
    damages(40, 20_270_104);
}

#[test]
#[ignore = "400 damages, a minute; the plain tests take 40"]
fn no_damaged_part_merges_long() {
    damages(400, 16);
}
