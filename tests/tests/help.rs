//! The help texts, word for word: a change in them is a change for people.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use acceptance::stumpbook;

fn help(args: &[&str]) -> String {
    let output = stumpbook()
        .env("COLUMNS", "90")
        .args(args)
        .output()
        .unwrap();
    assert!(output.status.success());
    assert!(output.stderr.is_empty());
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn help_begins_with_two_examples() {
    for args in [
        &["--help"][..],
        &["count", "--help"],
        &["practice", "--help"],
        &["woodlot", "--help"],
        &["woodlot", "standing", "--help"],
        &["export", "--help"],
        &["import", "--help"],
        &["desk", "--help"],
    ] {
        let text = help(args);
        let first: Vec<&str> = text.lines().take(3).collect();
        assert_eq!(first[0], "Examples:", "{args:?}");
        assert!(first[1].trim().starts_with("stumpbook "), "{args:?}");
        assert!(first[2].trim().starts_with("stumpbook "), "{args:?}");
    }
}

#[test]
fn help_of_count() {
    insta::assert_snapshot!(help(&["count", "--help"]));
}

#[test]
fn help_of_sheet() {
    insta::assert_snapshot!(help(&["sheet", "--help"]));
}

#[test]
fn help_of_card() {
    insta::assert_snapshot!(help(&["card", "--help"]));
}

#[test]
fn help_of_desk() {
    insta::assert_snapshot!(help(&["desk", "--help"]));
}

#[test]
fn help_of_all() {
    insta::assert_snapshot!(help(&["--help"]));
}

#[test]
fn version_is_one_line() {
    let text = help(&["--version"]);
    assert_eq!(text.lines().count(), 1);
    assert!(text.starts_with("stumpbook "));
}
