//! Commands that make no sense: exit 2 and the accepted form with an example.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use acceptance::{folder, stumpbook};
use practice::Recipe;
use std::fs;

fn check(args: &[&str], says: &[&str]) {
    let place = folder();
    let path = place.path().join("oak.jpg");
    // Larger than what is refused unread, so that places are checked against it.
    let face = practice::render(&Recipe {
        width_px: 320,
        height_px: 240,
        rings: 9,
        ..Recipe::default()
    });
    fs::write(&path, practice::jpeg(&face.rgb, 85)).unwrap();
    let output = stumpbook()
        .arg("count")
        .args(args)
        .arg(&path)
        .output()
        .unwrap();
    let stderr = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(2), "{args:?}: {stderr}");
    assert!(output.stdout.is_empty(), "{args:?}");
    for says in says {
        assert!(
            stderr.contains(says),
            "{args:?} should say {says}: {stderr}"
        );
    }
    assert!(
        !place.path().join("oak.stump.json").exists(),
        "{args:?} wrote something"
    );
}

#[test]
fn a_length_needs_a_unit_and_more_than_nothing() {
    for length in ["0", "24", "0in", "-3in", "1e9m", "wide"] {
        check(&["--across", length], &["--across", "24in"]);
        // A flush cut is no mistake.
        if length != "0in" {
            check(&["--cut-height", length], &["--cut-height", "8in"]);
        }
        check(&["--hollow", length], &["--hollow", "3in"]);
    }
}

#[test]
fn a_day_that_does_not_exist_is_refused_with_the_accepted_form() {
    for date in ["2031-02-31", "2025-13", "last spring", "25"] {
        check(&["--felled", date], &["--felled", "2025-11-08"]);
    }
}

#[test]
fn a_felling_to_come_is_refused() {
    check(&["--felled", "9999-01-01"], &["still to come", "2025-11"]);
}

#[test]
fn a_pith_far_off_the_face_is_refused_with_the_photos_size() {
    check(
        &["--pith", "99999,99999"],
        &["far off the face", "320 by 240"],
    );
    check(&["--pith", "-5000,100"], &["far off the face"]);
    for place in ["here", "12", "1,2,3", "nan,1"] {
        check(&["--pith", place], &["--pith", "1200,1266"]);
    }
}

#[test]
fn a_species_nobody_knows_is_answered_with_the_nearest_names() {
    check(
        &["--species", "wite oak"],
        &["white oak", "stumpbook species"],
    );
    check(&["--species", ""], &["nearest"]);
}

#[test]
fn a_tape_is_two_places_in_the_photo_and_a_length() {
    for tape in ["1,2,3,4", "1,2=3in", "10,10,12,10=24in", "10,10,300,10=24"] {
        check(&["--tape", tape], &["--tape", "24in"]);
    }
    check(&["--tape", "10,10,3000,10=24in"], &["outside the photo"]);
}

#[test]
fn absurd_lengths_are_refused_with_the_accepted_range() {
    check(&["--cut-height", "300ft"], &["from 0 in to 20 ft"]);
    check(&["--across", "200ft"], &["from 1 in to 30 ft"]);
    check(&["--across", "0.5in"], &["from 1 in to 30 ft"]);
    check(&["--across", "60m"], &["from 2.5 cm to 9.1 m"]);
}

#[test]
fn a_conifer_is_never_answered_with_a_hardwood() {
    check(&["--species", "purple cedar"], &["cedar", "redcedar"]);
    check(&["--species", "big pine"], &["--species \"pine\""]);
}

#[test]
fn a_hollow_must_fit_into_the_face() {
    check(&["--across", "10in", "--hollow", "6in"], &["does not fit"]);
}

#[test]
fn options_that_contradict_each_other_or_do_not_exist_are_refused() {
    check(
        &["--species", "white oak", "--wood", "conifer"],
        &["--wood"],
    );
    check(&["--wood", "oak"], &["ring-porous"]);
    check(&["--units", "cubits"], &["metric"]);
    check(&["--jobs", "0"], &["--jobs 2"]);
    check(&["--jobs", "many"], &["--jobs 2"]);
    check(&["--max-pixels", "lots"], &["200M"]);
    check(&["--no-such-option"], &["--help"]);
}

#[test]
fn no_photo_at_all_is_wrong_usage() {
    stumpbook().arg("count").assert().code(2);
    stumpbook().assert().code(2);
}

#[test]
fn marks_for_several_photos_at_once_make_no_sense() {
    let place = folder();
    for name in ["a.jpg", "b.jpg"] {
        fs::write(place.path().join(name), b"").unwrap();
    }
    let output = stumpbook()
        .args(["count", "--pith", "10,10"])
        .arg(place.path())
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    assert!(String::from_utf8_lossy(&output.stderr).contains("one photo"));
}
