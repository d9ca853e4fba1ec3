//! Files of every earlier form open, and those of later versions are refused
//! whole, with advice (tests/data/old/README.md).

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use acceptance::{Schema, check, folder, root, stumpbook};
use serde_json::{Value, json};
use std::fs;
use std::path::{Path, PathBuf};

fn old(start: &str, ending: &str) -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = fs::read_dir(root().join("tests/data/old"))
        .unwrap()
        .map(|file| file.unwrap().path())
        .filter(|path| {
            let name = path.file_name().unwrap().to_string_lossy();
            name.starts_with(start) && name.ends_with(ending)
        })
        .collect();
    files.sort();
    assert!(!files.is_empty(), "no {start}*{ending}");
    files
}

fn copied(from: &Path, into: &Path) -> PathBuf {
    let to = into.join(from.file_name().unwrap());
    fs::copy(from, &to).unwrap();
    to
}

/// What the program prints, and on stderr, of words and a last one.
fn run(words: &[&str], last: &Path) -> (Option<i32>, String, String) {
    let output = stumpbook().args(words).arg(last).output().unwrap();
    let text = |bytes| String::from_utf8(bytes).unwrap();
    (
        output.status.code(),
        text(output.stdout),
        text(output.stderr),
    )
}

fn read(path: &Path) -> Value {
    serde_json::from_slice(&fs::read(path).unwrap()).unwrap()
}

fn schema() -> Schema {
    let text = |name: &str| fs::read_to_string(root().join("docs").join(name)).unwrap();
    Schema::parse(&text("entry.schema.json"))
        .unwrap()
        .beside("reading.schema.json", &text("reading.schema.json"))
        .unwrap()
}

#[test]
fn entries_of_every_form_open_and_stay_as_they_are() {
    for original in old("entry-", ".stump.json") {
        let place = folder();
        let entry = copied(&original, place.path());
        let (code, printed, stderr) = run(&["export", "--format", "json"], &entry);
        assert_eq!(code, Some(0), "{}: {stderr}", original.display());
        let exported: Value = serde_json::from_str(&printed).unwrap();
        let (was, is) = (read(&original), &exported["stumps"][0]["stump"]);
        for part in ["facts", "marks"] {
            for (name, value) in was[part].as_object().unwrap() {
                let now = is[part].get(name).unwrap_or(&Value::Null);
                assert_eq!(now, value, "{}: {name}", original.display());
            }
        }
        assert_eq!(is["reading"], was["reading"], "{}", original.display());
        for words in [&["facts"][..], &["sheet"][..]] {
            let (code, _, stderr) = run(words, &entry);
            assert_eq!(code, Some(0), "{words:?} {}: {stderr}", original.display());
        }
        assert_eq!(fs::read(&entry).unwrap(), fs::read(&original).unwrap());
    }
}

#[test]
fn entries_of_every_form_fit_the_published_schema() {
    for original in old("entry-", ".stump.json") {
        let wrong = check(&schema(), &read(&original));
        assert!(wrong.is_empty(), "{}: {wrong:#?}", original.display());
    }
    let mut newer = read(&old("entry-", ".stump.json")[0]);
    newer["facts"]["moon"] = json!("full");
    assert_eq!(check(&schema(), &newer).len(), 1);
}

/// The entry as it is written today, with every fact and mark.
#[test]
fn an_entry_of_today_fits_the_published_schema() {
    let place = folder();
    let photo = copied(&root().join("samples/walnut-house.jpg"), place.path());
    for marks in old("marks-", ".json") {
        let output = stumpbook()
            .args(["count", "--species", "black walnut", "--felled", "2025-11"])
            .args([
                "--cut-height",
                "12in",
                "--across",
                "11in",
                "--hollow",
                "1in",
            ])
            .args([
                "--card-bar",
                "99mm",
                "--tag",
                "17",
                "--owner",
                "a",
                "--place",
                "b",
            ])
            .args(["--counted-by", "c", "--note", "d", "--remember", "1991=e"])
            .args(["--marks", &marks.to_string_lossy()])
            .arg(&photo)
            .output()
            .unwrap();
        let stderr = String::from_utf8_lossy(&output.stderr);
        assert_ne!(output.status.code(), Some(1), "{stderr}");
        assert_ne!(output.status.code(), Some(2), "{stderr}");
        let entry = read(&place.path().join("walnut-house.stump.json"));
        let wrong = check(&schema(), &entry);
        assert!(wrong.is_empty(), "{wrong:#?}");
        let marked = read(&marks);
        for place in marked["rings"].as_array().unwrap() {
            let kept = entry["marks"]["rings"].as_array().unwrap();
            assert!(kept.contains(place), "{place} of {}", marks.display());
        }
    }
}

#[test]
fn books_of_every_format_open_and_a_copy_is_kept() {
    let books = old("book-", ".book");
    for (nth, original) in books.iter().enumerate() {
        let place = folder();
        let book = copied(original, place.path());
        let (code, printed, stderr) = run(&["woodlot", "list", "--json"], &book);
        assert_eq!(code, Some(0), "{}: {stderr}", original.display());
        let names: Vec<String> = printed
            .lines()
            .map(|line| serde_json::from_str::<Value>(line).unwrap()["name"].to_string())
            .collect();
        assert_eq!(names, ["\"ash-wall\"", "\"oak-line\""], "{printed}");
        let copy = place
            .path()
            .join(format!("book-{0}.format-{0}.book", nth + 1));
        let newest = nth + 1 == books.len();
        assert_eq!(copy.exists(), !newest, "{}", copy.display());
        if !newest {
            assert_eq!(fs::read(copy).unwrap(), fs::read(original).unwrap());
        }
    }
}

/// A later version may add facts that this one does not know: the number of the
/// format is looked at before anything else.
#[test]
fn an_entry_of_a_later_version_is_refused_with_advice() {
    let place = folder();
    let photo = copied(&root().join("samples/walnut-house.jpg"), place.path());
    let entry = place.path().join("walnut-house.stump.json");
    let mut newer = read(&old("entry-", ".stump.json")[0]);
    newer["format"] = json!(2);
    newer["facts"]["moon"] = json!("full");
    newer["reading"] = json!("kept elsewhere");
    let bytes = newer.to_string();
    fs::write(&entry, &bytes).unwrap();
    let book = copied(&old("book-3", ".book")[0], place.path());
    let book = book.to_string_lossy().into_owned();
    for (words, last) in [
        (&["count"][..], &photo),
        (&["facts"], &entry),
        (&["sheet"], &entry),
        (&["export"], &entry),
        (&["woodlot", "add", book.as_str()], &entry),
    ] {
        let (code, printed, stderr) = run(words, last);
        assert_eq!(code, Some(1), "{words:?}: {stderr}");
        assert!(stderr.contains("newer"), "{words:?}: {stderr}");
        assert!(
            stderr.contains("try: use that newer version"),
            "{words:?}: {stderr}"
        );
        assert!(!printed.contains("Rings"), "{words:?}: {printed}");
        assert_eq!(fs::read_to_string(&entry).unwrap(), bytes, "{words:?}");
    }
}
