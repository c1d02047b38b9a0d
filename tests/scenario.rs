//! The reader of scenarios as its users meet it: the starter, bad files and their messages, noise.

use std::fs;
use std::path::{Path, PathBuf};

use pouchcast::scenario;
use proptest::prelude::*;

fn bad() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad")
}

/// What the reader says about a file, errors or warnings; order books stand beside the bad files.
fn said(name: &str, bytes: &[u8]) -> String {
    let mut beside = |book: &str| match fs::read(bad().join(book)) {
        // The words of the system are not the same on every machine.
        Err(error) => Err(std::io::Error::from(error.kind())),
        found => found,
    };
    match scenario::read_study(name, bytes, &mut beside) {
        Ok(study) => study.base.warnings.render(false, 120) + &study.warnings.render(false, 120),
        Err(report) => report.render(false, 120),
    }
}

#[test]
fn the_starter_reads_without_warnings() {
    assert_eq!(said("starter.yaml", scenario::starter().as_bytes()), "");
}

/// Warnings beyond those that are shown are warnings still.
#[test]
fn warnings_without_end_are_no_errors() {
    let unused: String = (0..150).map(|n| format!("  unused{n}: {{}}\n")).collect();
    let text = format!(
        "format: 2\nname: unused\nrun: {{ warm_up: 0 min }}\nproducts:\n  a: {{}}\n{unused}stations:\n  \
         s: {{ work: bench, time: 1 min, machines: {{ m: {{}} }} }}\n\
         orders: [{{ name: x, every: 1 h, products: {{ a: 100 % }} }}]\n"
    );
    let study = scenario::read("unused.yaml", text.as_bytes()).unwrap();
    assert_eq!(study.warnings.errors(), 0);
    let told = study.warnings.render(false, 120);
    assert!(told.contains("150 warnings, the first 100 shown"), "{told}");
}

/// Every bad file says what its neighbour `.txt` says. To see new wording in a diff, run with
/// `REWRITE_MESSAGES=1` and read every change as a stranger would.
#[test]
fn bad_files_say_what_is_wrong() {
    let mut files: Vec<PathBuf> = fs::read_dir(bad())
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    files.retain(|path| {
        path.extension()
            .is_some_and(|extension| extension == "yaml")
    });
    files.sort();
    assert!(files.len() >= 30, "{} bad files", files.len());
    let mut wrong = Vec::new();
    for path in files {
        let name = path.file_name().unwrap().to_str().unwrap().to_string();
        let found = said(&name, &fs::read(&path).unwrap());
        assert!(!found.is_empty(), "{name} is not bad");
        assert!(
            found.chars().all(|c| c == '\n' || !c.is_control()),
            "{name}: a control character gets through"
        );
        let expected_path = path.with_extension("txt");
        if std::env::var_os("REWRITE_MESSAGES").is_some() {
            fs::write(&expected_path, &found).unwrap();
        }
        let expected = fs::read_to_string(&expected_path).unwrap_or_default();
        if found != expected {
            wrong.push(format!("{name}: expected\n{expected}\nfound\n{found}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}

/// The reference page is the one the program writes; rewrite it with `REWRITE_MESSAGES=1`.
#[test]
fn the_reference_page_is_true() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/reference/scenario.md");
    let page = scenario::reference();
    if std::env::var_os("REWRITE_MESSAGES").is_some() {
        fs::create_dir_all(path.parent().unwrap()).unwrap();
        fs::write(&path, &page).unwrap();
    }
    assert_eq!(fs::read_to_string(&path).unwrap_or_default(), page);
}

/// The figures of the starter arrive in base units: width 130 mm, gusset 40 mm developed to
/// 2 x (210 + 40) mm, by hand from the file.
#[test]
fn the_starter_arrives_in_base_units() {
    let plant = scenario::read("starter.yaml", scenario::starter().as_bytes())
        .unwrap()
        .plant;
    let nuts = &plant.products[0];
    assert_eq!(
        (nuts.width_mm, nuts.developed_mm, nuts.pitch_mm, nuts.lanes),
        (130.0, 500.0, 130.0, 1)
    );
    assert_eq!(
        nuts.route,
        [0, 0, 1, 2, 3],
        "two passes, then slitting, pouching, packing"
    );
    assert_eq!(
        plant.products[1].lanes, 2,
        "740 mm between the trims, 300 mm a lane"
    );
    assert_eq!(plant.adhesives[0].ambient.ship.mean(), 7.0 * 1440.0);
    assert_eq!(plant.run.start_weekday(), 0);
    // 8 h less 20 and 30 min of breaks, five days: 2150 min a week for 4 orders.
    assert!((plant.arrivals[0].gap.mean() - 2150.0 / 4.0).abs() < 1e-9);
}

/// Many problems in a large file are reported at once, in the order of the file, and in time.
#[test]
fn a_thousand_problems_are_counted() {
    let report = with_a_thousand("100a");
    assert_eq!(report.errors(), 1000);
    let told = report.render(false, 100);
    assert!(
        told.ends_with("large.yaml: 1000 errors, the first 100 shown\n"),
        "{told}"
    );
    let lines: Vec<usize> = report
        .problems
        .iter()
        .filter_map(|found| Some(found.spot.as_ref()?.line))
        .collect();
    assert!(lines.len() == 100 && lines.is_sorted());
}

/// One mistake in a thousand places is told once, with where they are.
#[test]
fn one_mistake_in_many_places_is_told_once() {
    let report = with_a_thousand("100");
    assert_eq!((report.problems.len(), report.errors()), (1, 1000));
    let first = report.problems[0].spot.as_ref().unwrap().line;
    let told = report.render(false, 300);
    let lines = format!(
        "the same in 999 other places, on lines {}, {}, ",
        first + 1,
        first + 2
    );
    assert!(told.contains(&lines), "{told}");
    assert!(told.ends_with("large.yaml: 1000 errors\n"), "{told}");
}

/// The starter with a thousand products of a wrong width; `100a` is followed by the number of the product.
fn with_a_thousand(width: &str) -> Box<scenario::Report> {
    let mut text = scenario::starter().replace("\nstations:", "\n#here\nstations:");
    let mut products = String::new();
    for number in 0..1000 {
        let width = width.replace('a', &number.to_string());
        products.push_str(&format!("  p{number}: {{ format: three_side, width: {width}, height: 10 mm, laminate: clear, web: 760 mm }}\n"));
    }
    text = text.replace("\n#here\n", &format!("\n{products}"));
    scenario::read("large.yaml", text.as_bytes()).unwrap_err()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn noise_is_refused_without_a_panic(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        said("noise", &bytes);
    }

    /// The starter cut off, or with a piece of it copied somewhere else.
    #[test]
    fn a_spliced_starter_is_read_or_refused_without_a_panic(
        from in any::<prop::sample::Index>(),
        length in 0usize..80,
        to in any::<prop::sample::Index>(),
        drop in 0usize..80,
        cut in any::<prop::sample::Index>(),
        cut_it in any::<bool>(),
    ) {
        let mut bytes = scenario::starter().as_bytes().to_vec();
        let from = from.index(bytes.len());
        let piece: Vec<u8> = bytes.iter().skip(from).take(length).copied().collect();
        let to = to.index(bytes.len());
        let end = (to + drop).min(bytes.len());
        bytes.splice(to..end, piece);
        if cut_it && !bytes.is_empty() {
            bytes.truncate(cut.index(bytes.len()));
        }
        said("spliced", &bytes);
    }

    /// One scalar of the starter replaced by another text.
    #[test]
    fn a_replaced_value_is_read_or_refused_without_a_panic(
        line in any::<prop::sample::Index>(),
        text in prop::sample::select(vec![
            "", "0", "-1", "1e999", "nan", "[]", "{}", "~", "true", "9999999999999999999999", "0 mm", "1e300 m",
            "exponential, mean 0 h", "any", "always", "'", "\"", "&a *a", "!t x", "2027-01-01", "0 %", "100 %", "- - -",
        ]),
    ) {
        let lines: Vec<&str> = scenario::starter().lines().collect();
        let line = line.index(lines.len());
        let mut mutated = String::new();
        for (number, old) in lines.iter().enumerate() {
            match old.split_once(": ") {
                Some((key, _)) if number == line => mutated.push_str(&format!("{key}: {text}\n")),
                _ => mutated.push_str(&format!("{old}\n")),
            }
        }
        said("replaced", mutated.as_bytes());
    }
}

/// A byte order mark, as some editors write it, is no part of the text.
#[test]
fn a_byte_order_mark_is_taken_off() {
    let text = format!("\u{feff}{}", scenario::starter());
    assert_eq!(said("starter.yaml", text.as_bytes()), "");
}
