//! The results folder on a real disk: before and after.

use super::*;
use tempfile::TempDir;

fn files(text: &str) -> Vec<(String, Vec<u8>)> {
    vec![
        ("summary.json".to_string(), text.as_bytes().to_vec()),
        ("a/b.txt".to_string(), vec![1]),
    ]
}

fn place(folder: &Path, replace: bool) -> Place {
    Place::new(folder.to_owned(), replace).unwrap_or_else(|f| panic!("{}", f.message()))
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

fn summary(folder: &Path) -> String {
    fs::read_to_string(folder.join("summary.json")).unwrap()
}

#[test]
fn a_folder_appears_whole_and_alone() {
    let dir = TempDir::new().unwrap();
    let folder = dir.path().join("deep/er");
    let shown = place(&folder, false).write(&files("one"), true).unwrap();
    assert_eq!(shown, folder);
    assert_eq!(fs::read(folder.join("a/b.txt")).unwrap(), [1]);
    assert_eq!(
        names(&dir.path().join("deep")),
        ["er"],
        "nothing hidden is left"
    );
}

#[test]
fn what_is_there_is_kept_unless_it_is_ours_and_may_go() {
    let dir = TempDir::new().unwrap();
    let folder = dir.path().join("out");
    place(&folder, false).write(&files("one"), true).unwrap();
    let refused = Place::new(folder.clone(), false).err().unwrap();
    assert_eq!(refused.exit(), Exit::Output);
    place(&folder, true).write(&files("two"), true).unwrap();
    assert_eq!(summary(&folder), "two");
    // A folder of somebody else's is never replaced, whatever it is called within, nor is a file.
    let foreign = dir.path().join("thesis");
    fs::create_dir(&foreign).unwrap();
    fs::write(foreign.join("summary.json"), "years of work").unwrap();
    assert!(Place::new(foreign.clone(), true).is_err());
    assert!(Place::new(foreign.join("summary.json"), true).is_err());
    assert_eq!(summary(&foreign), "years of work");
    // Nor is one of ours in which somebody has left a file.
    fs::write(folder.join("note.txt"), "mine").unwrap();
    let refused = Place::new(folder.clone(), true).err().unwrap();
    assert!(
        refused.message().contains("`note.txt`"),
        "{}",
        refused.message()
    );
    assert_eq!(names(dir.path()), ["out", "thesis"]);
}

#[test]
fn an_interrupted_run_never_takes_the_place_of_a_complete_one() {
    let dir = TempDir::new().unwrap();
    let folder = dir.path().join("out");
    place(&folder, false).write(&files("half"), false).unwrap();
    place(&folder, true).write(&files("more"), false).unwrap();
    place(&folder, true).write(&files("whole"), true).unwrap();
    let told = place(&folder, true)
        .write(&files("less"), false)
        .unwrap_err();
    assert_eq!(told.exit(), Exit::Partial);
    assert!(told.message().contains("out-2`"), "{}", told.message());
    assert_eq!(summary(&folder), "whole");
    assert_eq!(summary(&dir.path().join("out-2")), "less");
    assert_eq!(names(dir.path()), ["out", "out-2"]);
}

/// Places taken by others between the first look and the last step.
#[test]
fn whoever_comes_second_stands_beside() {
    for replace in [false, true] {
        let dir = TempDir::new().unwrap();
        let folder = dir.path().join("out");
        if replace {
            place(&folder, false).write(&files("old"), true).unwrap();
        }
        let places: Vec<Place> = (0..4).map(|_| place(&folder, replace)).collect();
        for (number, place) in places.iter().enumerate() {
            // The same bytes, too: a run that ends later does not know that it is the same.
            let written = place.write(&files("new"), true);
            assert_eq!(written.is_ok(), number == 0);
        }
        assert_eq!(names(dir.path()), ["out", "out-2", "out-3", "out-4"]);
    }
}

#[test]
fn a_change_while_the_run_is_at_work_is_kept() {
    let dir = TempDir::new().unwrap();
    let folder = dir.path().join("out");
    place(&folder, false).write(&files("old"), true).unwrap();
    let later = place(&folder, true);
    fs::write(folder.join("summary.json"), "corrected by hand").unwrap();
    let told = later.write(&files("new"), true).unwrap_err();
    assert_eq!(told.exit(), Exit::Output);
    assert_eq!(summary(&folder), "corrected by hand");
    assert_eq!(summary(&dir.path().join("out-2")), "new");
}

#[test]
fn a_place_that_cannot_be_written_is_found_at_once() {
    let dir = TempDir::new().unwrap();
    fs::write(dir.path().join("file"), "x").unwrap();
    let place = Place::new(dir.path().join("file/deep/out"), false);
    assert_eq!(place.err().unwrap().exit(), Exit::Output);
    assert!(Place::new(dir.path().join("a/b/out"), false).is_ok());
    assert_eq!(names(dir.path()), ["file"], "nothing is left");
}

#[test]
fn what_the_disk_refuses_goes_elsewhere() {
    let dir = TempDir::new().unwrap();
    let late = place(&dir.path().join("deep/out"), false);
    // The folder above becomes a file while the run is at work.
    fs::write(dir.path().join("deep"), "x").unwrap();
    let told = late.write(&files("one"), true).unwrap_err();
    assert_eq!(told.exit(), Exit::Output);
    let at = told.message().split('`').rev().nth(1).unwrap().to_owned();
    assert_eq!(summary(Path::new(&at)), "one", "{}", told.message());
    fs::remove_dir_all(at).unwrap();
    assert_eq!(names(dir.path()), ["deep"]);
}

#[test]
fn a_failure_leaves_nothing() {
    let dir = TempDir::new().unwrap();
    // A file name twice cannot be written.
    let twice = vec![("x".to_string(), vec![1]), ("x".to_string(), vec![2])];
    let told = place(&dir.path().join("out"), false).write(&twice, true);
    assert_eq!(told.unwrap_err().exit(), Exit::Output);
    assert!(names(dir.path()).is_empty());
}
