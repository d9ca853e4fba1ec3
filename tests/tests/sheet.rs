//! `stumpbook sheet` and `stumpbook card` as a person uses them.

use acceptance::{folder, root, stumpbook};
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

/// A sample counted in a fresh folder; the path of its entry.
fn counted(place: &Path, name: &str, facts: &[&str]) -> PathBuf {
    let photo = place.join(format!("{name}.jpg"));
    std::fs::copy(root().join(format!("samples/{name}.jpg")), &photo).expect("a copy");
    stumpbook()
        .arg("count")
        .arg(&photo)
        .args(facts)
        .output()
        .expect("count runs");
    place.join(format!("{name}.stump.json"))
}

/// The text of a PDF; `None`, with a message, where the tool for it is missing.
fn text_of(pdf: &Path) -> Option<String> {
    match Command::new("pdftotext")
        .arg("-layout")
        .arg(pdf)
        .arg("-")
        .output()
    {
        Ok(output) => Some(String::from_utf8_lossy(&output.stdout).into_owned()),
        Err(_) => {
            say_what_is_skipped();
            None
        }
    }
}

#[expect(clippy::print_stderr, reason = "a test that holds less must say so")]
fn say_what_is_skipped() {
    eprintln!(
        "not run: pdftotext is not installed, so the PDF's text is not compared with the reading"
    );
}

#[test]
fn a_sheet_has_the_figures_of_its_reading() {
    let place = folder();
    let entry = counted(
        place.path(),
        "ash-landing",
        &[
            "--species",
            "white ash",
            "--felled",
            "2025-11-08",
            "--across",
            "41.3cm",
        ],
    );
    let stump: Value = serde_json::from_slice(&std::fs::read(&entry).unwrap()).unwrap();
    for (paper, units) in [("letter", "inch"), ("a4", "metric")] {
        let out = place.path().join(paper);
        let started = Instant::now();
        stumpbook()
            .arg("sheet")
            .arg(&entry)
            .args([
                "--paper",
                paper,
                "--units",
                units,
                "--title",
                "The ash, Cold Hollow (invented)",
            ])
            .arg("--out")
            .arg(&out)
            .assert()
            .code(0)
            .stderr("");
        // The must is 2 seconds; a machine that runs all tests at once gets more.
        assert!(
            started.elapsed() < Duration::from_secs(8),
            "{:?}",
            started.elapsed()
        );
        let html = std::fs::read_to_string(out.join("ash-landing-sheet.html")).unwrap();
        let age = &stump["reading"]["age"];
        let headline = format!("about {} years", age["best"]);
        let range = format!("between {} and {}", age["low"], age["high"]);
        assert!(html.contains(&headline) && html.contains(&range));
        if let Some(text) = text_of(&out.join("ash-landing-sheet.pdf")) {
            let count = &stump["reading"]["count"];
            let counted = format!(
                "{}, likely {} to {}",
                count["best"], count["low"], count["high"]
            );
            for said in [
                headline.as_str(),
                &range,
                &counted,
                "White ash",
                "November 8, 2025",
                "Check it on the stump",
                "not a survey",
                "Growth charts",
                "Every ring",
                "Age at breast height",
            ] {
                assert!(text.contains(said), "{said} is not in the PDF:\n{text}");
            }
            // The table has a line for each ring, and no caption of a chart is
            // hidden under another text.
            let (_, table) = text.split_once("From the outermost ring inward").unwrap();
            for ring in stump["reading"]["rings"].as_array().unwrap() {
                let year = ring["year"].to_string();
                assert!(table.contains(&year), "{year}");
            }
            for caption in ["Height: ", "above the line at 1", "The best value is"] {
                assert!(!text.contains(caption), "{caption}: {text}");
            }
        }
    }
}

#[test]
fn without_its_photo_a_sheet_is_made_and_says_so() {
    let place = folder();
    let entry = counted(place.path(), "spruce-saw", &[]);
    std::fs::remove_file(place.path().join("spruce-saw.jpg")).unwrap();
    let output = stumpbook().arg("sheet").arg(&entry).output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    let talk = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(
        talk.contains("is not there") && talk.contains("try: "),
        "{talk}"
    );
    let html = std::fs::read_to_string(place.path().join("spruce-saw-sheet.html")).unwrap();
    assert!(html.contains("its rings are not shown"));
    // Another photo under that name is as good as none.
    std::fs::copy(
        root().join("samples/ash-landing.jpg"),
        place.path().join("spruce-saw.jpg"),
    )
    .unwrap();
    let output = stumpbook().arg("sheet").arg(&entry).output().unwrap();
    assert!(String::from_utf8_lossy(&output.stderr).contains("is not the photo that was read"));
}

#[test]
fn a_face_that_was_refused_has_a_page_without_an_age_and_exit_code_3() {
    let place = folder();
    let entry = counted(place.path(), "oak-blurred", &["--species", "red oak"]);
    stumpbook().arg("sheet").arg(&entry).assert().code(3);
    let html = std::fs::read_to_string(place.path().join("oak-blurred-sheet.html")).unwrap();
    assert!(html.contains("No age can be given from this photo"));
    assert!(!html.contains("about "));
}

#[test]
fn what_is_no_entry_is_reported_and_the_others_get_their_sheets() {
    let place = folder();
    let entry = counted(place.path(), "walnut-house", &[]);
    let bad = place.path().join("bad.stump.json");
    std::fs::write(&bad, "{\"format\": 1, \"facts\": 7}").unwrap();
    let output = stumpbook()
        .arg("sheet")
        .arg(&bad)
        .arg(&entry)
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(1));
    let talk = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(
        talk.contains("bad.stump.json") && talk.contains("try: "),
        "{talk}"
    );
    assert!(place.path().join("walnut-house-sheet.pdf").is_file());
    let newer = place.path().join("newer.stump.json");
    std::fs::write(&newer, "{\"format\": 99}").unwrap();
    let output = stumpbook().arg("sheet").arg(&newer).output().unwrap();
    assert!(String::from_utf8_lossy(&output.stderr).contains("newer Stumpbook"));
    // One title for two trees makes no sense.
    stumpbook()
        .args(["sheet", "--title", "Oak"])
        .arg(&entry)
        .arg(&bad)
        .assert()
        .code(2);
}

#[test]
fn the_card_is_a_page_of_its_true_size() {
    let place = folder();
    for (paper, size) in [("letter", "612 x 792 pts"), ("a4", "595.276 x 841.89 pts")] {
        let pdf = place.path().join(format!("{paper}.pdf"));
        stumpbook()
            .args(["card", "--paper", paper, "--out"])
            .arg(&pdf)
            .assert()
            .code(0);
        if let Some(text) = text_of(&pdf) {
            assert!(
                text.contains("100 mm") && text.contains("3 15/16 in"),
                "{text}"
            );
        }
        let Ok(info) = Command::new("pdfinfo").arg(&pdf).output() else {
            continue;
        };
        let info = String::from_utf8_lossy(&info.stdout).into_owned();
        assert!(info.contains(size), "{info}");
    }
    stumpbook()
        .args(["count", "x.jpg", "--card-bar", "7mm"])
        .assert()
        .code(2);
}

/// Makes the sheet of a sample under a title, in a folder; what is said on stderr.
fn messages_for_title(title: &str, to: &std::path::Path) -> String {
    let output = stumpbook()
        .arg("sheet")
        .arg(root().join("samples/cold-hollow/oak-line.stump.json"))
        .args(["--title", title, "--out"])
        .arg(to)
        .output()
        .expect("the program is started");
    assert_eq!(output.status.code(), Some(0));
    String::from_utf8(output.stderr).expect("messages are UTF-8")
}

#[test]
fn letters_that_the_font_lacks_are_named() {
    let place = folder();
    let talk = messages_for_title("\u{6a39} by the wall \u{1f332}\u{fe0f}", place.path());
    assert!(
        talk.contains("title: \u{6a39} (U+6A39), \u{1f332} (U+1F332)") && talk.contains("try: "),
        "{talk}"
    );
    let html = std::fs::read_to_string(place.path().join("oak-line-sheet.html")).unwrap();
    assert!(html.contains("\u{6a39} by the wall"));
    if let Some(text) = text_of(&place.path().join("oak-line-sheet.pdf")) {
        assert!(text.contains("? by the wall ?"), "{text}");
    }
}

/// The same for each fact, by the name that it has on the sheet.
#[test]
fn letters_that_the_font_lacks_are_named_with_their_fact() {
    let place = folder();
    let entry = place.path().join("oak-line.stump.json");
    let kept = root().join("samples/cold-hollow/oak-line.stump.json");
    let mut stump: Value = serde_json::from_slice(&std::fs::read(kept).unwrap()).unwrap();
    let facts = &mut stump["facts"];
    for (name, text) in [
        ("owner", "\u{738b}"),
        ("note", "by the \u{677e}"),
        ("place", "\u{c6}blegr\u{f8}d"),
    ] {
        facts[name] = text.into();
    }
    facts["remembered"] = serde_json::json!([{ "year": 1991, "what": "\u{1f332}" }]);
    std::fs::write(&entry, stump.to_string()).unwrap();
    let output = stumpbook().arg("sheet").arg(&entry).output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    let talk = String::from_utf8(output.stderr).unwrap();
    for named in [
        "owner: \u{738b} (U+738B)",
        "note: \u{677e} (U+677E)",
        "remembered: \u{1f332} (U+1F332)",
    ] {
        assert!(talk.contains(named), "{named} is not in: {talk}");
    }
    assert!(
        !talk.contains("place: ") && !talk.contains("title: "),
        "{talk}"
    );
    // With letters that the font has, nothing is said.
    let talk = messages_for_title("\u{c6}blegr\u{f8}d, 3\u{bd} ft", place.path());
    assert!(!talk.contains("font"), "{talk}");
}
