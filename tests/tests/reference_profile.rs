//! Unrolling, ring directions, spacing, smoothing and shrinking against
//! what NumPy, SciPy, scikit-image and OpenCV give for the same input. Their
//! values and versions are in `tests/reference/values.json`, made by
//! `tests/reference/make.py`. The inputs are formulas that stand here and there.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use acceptance::root;
use ndarray::Array2;
use photo::{Face, Lightness, RgbImage, shrink};
use profile::{
    Directions, Edge, Fineness, SpacingParams, Span, blur_across, blur_down, blur_line,
    local_spacing, unroll,
};
use serde_json::Value;
use std::f64::consts::{PI, TAU};
use wood::{Point, Px};

/// A picture of a formula, in pixel centers.
fn picture(width: usize, height: usize, value: impl Fn(f64, f64) -> f64) -> Array2<f32> {
    Array2::from_shape_fn((height, width), |(y, x)| value(x as f64, y as f64) as f32)
}

/// Round rings about a pith off the center, on a slope of light.
fn rings(width: usize, height: usize, pith: Point, period: f64) -> Array2<f32> {
    picture(width, height, |x, y| {
        let d = pith.distance(Point::new(x, y)).0;
        55.0 + 20.0 * (TAU * d / period).cos() + 0.04 * x - 0.03 * y
    })
}

/// Two gratings at right angles; the strong one's normal points along `turn`.
fn crossing(width: usize, height: usize, period: f64, turn: f64) -> Array2<f32> {
    picture(width, height, |x, y| {
        let u = x * turn.cos() + y * turn.sin();
        let v = -x * turn.sin() + y * turn.cos();
        50.0 + 20.0 * (TAU * u / period).cos() + 10.0 * (TAU * v / period).cos()
    })
}

/// A profile whose rings widen from 8 to 24 courses, with an overtone.
fn widening(n: usize) -> Vec<f32> {
    let slope = 16.0 / n as f64;
    let phase = |r: usize| TAU * (slope * r as f64 / 8.0).ln_1p() / slope;
    (0..n)
        .map(|r| (phase(r).cos() + 0.3 * (2.0 * phase(r)).cos()) as f32)
        .collect()
}

/// Lightness of every pixel.
fn whole(values: Array2<f32>) -> Lightness {
    Lightness {
        values,
        square_px: 1,
    }
}

/// A face of which only the lightness is looked at.
fn face(lightness: Array2<f32>) -> Face {
    let (height, width) = lightness.dim();
    Face {
        rgb: RgbImage::new(width as u32, height as u32),
        lightness: whole(lightness),
        sha256: String::new(),
        taken: None,
        place: None,
    }
}

/// The values of one group, by the name of the library's function.
fn reference(group: &str) -> Value {
    let text = std::fs::read_to_string(root().join("tests/reference/values.json")).unwrap();
    let all: Value = serde_json::from_str(&text).unwrap();
    all[group].clone()
}

/// A list of numbers; `NaN` where the library gives none.
fn numbers(values: &Value) -> Vec<f64> {
    let list = values.as_array().unwrap();
    assert!(!list.is_empty());
    list.iter()
        .map(|value| value.as_f64().unwrap_or(f64::NAN))
        .collect()
}

#[track_caller]
fn near(what: &str, found: &[f64], expected: &[f64], tolerance: f64) {
    assert_eq!(found.len(), expected.len(), "{what}");
    for (at, (found, expected)) in found.iter().zip(expected).enumerate() {
        assert!(
            (found - expected).abs() <= tolerance,
            "{what}, value {at}: found {found}, expected {expected} within {tolerance}"
        );
    }
}

/// Tolerance 0.2 of lightness, 0.6 for OpenCV (the rings span 40): all four take cubic
/// curves between pixels, but not the same ones: ours Catmull and Rom's, SciPy
/// and scikit-image the B-spline, OpenCV one with a steeper slope. What SciPy
/// calls outside the picture is not seen, nor is its outermost pixel.
#[test]
fn unrolling_agrees_with_scipy_scikit_image_and_opencv() {
    let values = reference("unrolling");
    let pith = Point::new(117.3, 84.6);
    let unrolled = unroll(
        &face(rings(260, 200, pith, 17.0)),
        pith,
        Some(Px(180.0)),
        Span::CIRCLE,
        Fineness::FULL,
        &|_| false,
    );
    assert_eq!(unrolled.angles(), 1024);
    assert!((unrolled.step_px - 1.0).abs() < 1e-12, "one step is 1 px");
    let number = |name: &str| values[name].as_u64().unwrap() as usize;
    let (row_step, column_step) = (number("row_step"), number("column_step"));
    for (library, tolerance) in [
        ("scipy_map_coordinates", 0.2),
        ("skimage_warp_polar", 0.2),
        ("opencv_warp_polar", 0.6),
    ] {
        let mut compared = 0;
        for (i, expected) in numbers(&values[library]).into_iter().enumerate() {
            let at = [
                i / number("columns") * row_step,
                i % number("columns") * column_step,
            ];
            let found = f64::from(unrolled.lightness[at]);
            let seen = unrolled.seen[at] > 0.5;
            assert!(!seen || !expected.is_nan(), "{library}: seen at {at:?}");
            if seen {
                near(
                    &format!("{library} at {at:?}"),
                    &[found],
                    &[expected],
                    tolerance,
                );
                compared += 1;
            }
        }
        assert!(compared > 500, "{library}: {compared}");
    }
}

/// Normals: 0.01 rad (0.6 degrees) on the axis. Ours takes plain differences
/// between neighbors, the libraries Sobel's, and at 17 to 20 px a ring the two
/// turn a slanted gradient by some thousandths; the windows have one spread but
/// not one shape. Coherence: 0.005, for the window's sake; the crossing's is
/// 0.6 by the formula (a^2 - b^2) / (a^2 + b^2) of its amplitudes 20 and 10.
#[test]
fn ring_directions_agree_with_scikit_image_and_opencv() {
    let values = reference("directions");
    let turn = 0.6;
    let pictures = [
        ("rings", rings(300, 240, Point::new(117.3, 84.6), 20.0)),
        ("crossing", crossing(300, 240, 17.0, turn)),
    ];
    for (name, lightness) in pictures {
        let directions = Directions::of(&whole(lightness));
        let finest = &directions.scales[0];
        let cell = |px: &Value| (px.as_f64().unwrap() / finest.cell_px) as usize;
        let places: Vec<(usize, usize)> = values[name]["places"]
            .as_array()
            .unwrap()
            .iter()
            .map(|place| (cell(&place[1]), cell(&place[0])))
            .collect();
        assert!(places.len() >= 30);
        for library in ["skimage", "opencv"] {
            let expected = numbers(&values[name][format!("{library}_normal")]);
            let turned: Vec<f64> = places
                .iter()
                .zip(&expected)
                .map(|(&(row, column), expected)| {
                    // An axis: half a turn is no turn.
                    let off = f64::from(finest.normal(row, column)) - expected;
                    (off + PI / 2.0).rem_euclid(PI) - PI / 2.0
                })
                .collect();
            let none = vec![0.0; turned.len()];
            near(&format!("{name}: normal, {library}"), &turned, &none, 0.01);
            let coherence: Vec<f64> = places
                .iter()
                .map(|&(row, column)| f64::from(finest.coherence(row, column)))
                .collect();
            near(
                &format!("{name}: coherence, {library}"),
                &coherence,
                &numbers(&values[name][format!("{library}_coherence")]),
                0.005,
            );
        }
    }
}

/// 4 %: spacings are tried at twelve to the doubling, so the nearest is up to
/// 2.9 % off, and rings widen by 3 % from one to the next within the window.
#[test]
fn spacing_agrees_with_the_fourier_transforms_of_numpy_and_scipy() {
    let values = reference("spacing");
    let stations: Vec<usize> = numbers(&values["stations"])
        .iter()
        .map(|&station| station as usize)
        .collect();
    let line = widening(1200);
    let weight = vec![1.0; line.len()];
    let found = local_spacing(&line, &weight, &stations, &SpacingParams::default());
    for library in ["numpy_rfft", "scipy_short_time_fft"] {
        let ratios: Vec<f64> = found
            .iter()
            .zip(numbers(&values[library]))
            .map(|(&found, expected)| f64::from(found) / expected)
            .collect();
        near(library, &ratios, &vec![1.0; stations.len()], 0.04);
    }
}

/// 1e-4 on values of 0 to 10: the same kernel, ours in single precision.
#[test]
fn smoothing_agrees_with_scipy() {
    let values = reference("blur");
    let line: Vec<f32> = numbers(&values["line"])
        .iter()
        .map(|&value| value as f32)
        .collect();
    let field = Array2::from_shape_vec((1, line.len()), line.clone()).unwrap();
    for (i, sigma) in numbers(&values["sigmas"]).into_iter().enumerate() {
        for (edge, name) in [(Edge::Repeat, "repeat"), (Edge::Wrap, "wrap")] {
            let expected = numbers(&values[name][i]);
            let what = format!("{name}, sigma {sigma}");
            let sigma = sigma as f32;
            let wide = |values: &[f32]| values.iter().map(|&v| f64::from(v)).collect::<Vec<_>>();
            near(
                &what,
                &wide(&blur_line(&line, sigma, edge)),
                &expected,
                1e-4,
            );
            let along = blur_across(field.clone(), sigma, edge);
            near(&what, &wide(&along.row(0).to_vec()), &expected, 1e-4);
            let down = blur_down(&field.t().to_owned(), sigma, edge);
            near(&what, &wide(&down.column(0).to_vec()), &expected, 1e-4);
        }
    }
}

/// 0.001 of lightness: the same means; OpenCV adds in single precision, as we do.
#[test]
fn shrinking_agrees_with_scikit_image_and_opencv() {
    let values = reference("shrinking");
    // Two columns and two rows are left over, and dropped.
    let small = shrink(&rings(35, 26, Point::new(11.2, 9.7), 5.0), 3);
    assert_eq!(small.dim(), (8, 11));
    let found: Vec<f64> = small.iter().map(|&v| f64::from(v)).collect();
    for library in ["skimage_block_reduce", "opencv_resize_area"] {
        near(library, &found, &numbers(&values[library]), 1e-3);
    }
}
