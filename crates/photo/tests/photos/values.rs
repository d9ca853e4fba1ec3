//! Values made by other programs: see `tests/data/make.py`.

use crate::{data, open};

pub(crate) fn lines(kind: &str) -> Vec<Vec<String>> {
    let text = String::from_utf8(data("reference.txt")).unwrap();
    let found: Vec<Vec<String>> = text
        .lines()
        .filter(|line| line.starts_with(kind))
        .map(|line| line.split(' ').skip(1).map(str::to_owned).collect())
        .collect();
    assert!(!found.is_empty());
    found
}

/// scikit-image gives the luminance shares with six digits and not with four;
/// for saturated blue that makes 0.01 in lightness.
#[test]
fn lightness_agrees_with_scikit_image() {
    for fields in lines("lightness ") {
        let rgb = [0, 1, 2].map(|i| fields[i].parse::<u8>().unwrap());
        let expected: f64 = fields[3].parse().unwrap();
        let ours = f64::from(photo::lightness(rgb));
        assert!(
            (ours - expected).abs() < 0.015,
            "{rgb:?}: {ours} and not {expected}"
        );
    }
}

/// Pillow rounds at other places in the transform and smooths chroma in
/// another way, so JPEG and lossy WebP may differ by a few steps.
#[test]
fn colors_agree_with_pillow() {
    for fields in lines("pixel ") {
        let name = fields[0].as_str();
        let [x, y] = [1, 2].map(|i| fields[i].parse::<u32>().unwrap());
        let expected = [3, 4, 5].map(|i| fields[i].parse::<u8>().unwrap());
        let ours = open(name).unwrap().rgb.get_pixel(x, y).0;
        let off = if name == "lossless.webp" { 0 } else { 4 };
        assert!(
            ours.iter()
                .zip(expected)
                .all(|(&a, b)| a.abs_diff(b) <= off),
            "{name} at ({x}, {y}): {ours:?} and not {expected:?}"
        );
    }
}
