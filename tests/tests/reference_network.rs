//! The ring network's forward pass against PyTorch with the same weights, on a
//! strip given by a formula. Its values and versions are in
//! `tests/reference/rings.json`, made by `tests/reference/make_sight.py`.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use acceptance::root;
use ndarray::Array3;
use serde_json::Value;
use sight::{StripView, see_places};
use std::f64::consts::TAU;
use wood::WoodClass;

/// Wavy rings about nine courses wide, seen on all but a sixteenth of the circle.
fn strip() -> StripView {
    let channels = Array3::from_shape_fn((6, 256, 160), |(channel, row, course)| {
        let (row, course) = (row as f64, course as f64);
        let seen = row < 240.0;
        let phase = (course + 1.5 * (TAU * row / 256.0).sin()) / 9.0;
        let ring = phase - phase.floor();
        let value = match channel {
            0 => 1.2 - 2.4 * ring.powi(3),
            1 => 0.2 + 0.1 * (row * 0.7 + course * 0.3).cos(),
            2 => 1.0,
            3 => 0.3 - 0.5 * ring.powi(3),
            4 => 0.8,
            _ => 0.7,
        };
        if seen { value as f32 } else { 0.0 }
    });
    StripView {
        channels,
        circle_share: 1.0,
    }
}

fn numbers(values: &Value) -> Vec<f64> {
    let list = values.as_array().unwrap();
    list.iter().map(|v| v.as_f64().unwrap()).collect()
}

/// 0.01 of log odds and of chances, 0.2 % of spacing: the same weights in 16
/// bits on both sides, the sums in single precision in another order.
#[test]
fn the_ring_network_agrees_with_pytorch() {
    let text = std::fs::read_to_string(root().join("tests/reference/rings.json")).unwrap();
    let expected: Value = serde_json::from_str(&text).unwrap();
    let places = see_places(&strip(), 1);
    let seen = places.rings(None, None);
    let near = |what: &str, found: f64, expected: f64, within: f64| {
        assert!(
            (found - expected).abs() <= within,
            "{what}: {found}, PyTorch has {expected}"
        );
    };
    for (course, log) in numbers(&expected["courses"]).into_iter().enumerate() {
        near(
            &format!("course {course}"),
            f64::from(seen.courses[course]),
            log,
            0.01,
        );
    }
    let given = places.rings(None, Some(WoodClass::RingPorous));
    let of_class = numbers(&expected["courses_given_ring_porous"]);
    for (course, log) in of_class.into_iter().enumerate() {
        let found = f64::from(given.courses[course]);
        near(&format!("course {course}, class given"), found, log, 0.01);
    }
    assert_ne!(
        given.courses, seen.courses,
        "the class given changes nothing"
    );
    for (course, spacing) in numbers(&expected["spacing"]).into_iter().enumerate() {
        let found = f64::from(seen.spacing[course]);
        near(
            &format!("spacing at {course}"),
            found,
            spacing,
            0.002 * spacing,
        );
    }
    for (kind, log) in numbers(&expected["kinds"]).into_iter().enumerate() {
        near(
            &format!("class {kind}"),
            f64::from(seen.kinds[kind]),
            log,
            0.01,
        );
    }
    let at = expected["ends_at"].as_array().unwrap();
    for (place, chance) in at.iter().zip(numbers(&expected["ends"])) {
        let at = numbers(place);
        let found = f64::from(seen.ends[[at[0] as usize, at[1] as usize]]);
        near(&format!("place {at:?}"), found, chance, 0.01);
    }
}
