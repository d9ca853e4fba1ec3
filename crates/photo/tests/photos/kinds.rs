//! The kinds of file and the ways they are packed.

use crate::{assert_quarters, data, open};
use photo::Limits;

#[test]
fn colors_come_out_as_they_went_in() {
    for (name, off) in [
        ("palette.png", 0),
        ("color-16.png", 0),
        ("plain.tif", 0),
        ("deflate.tif", 0),
        ("cmyk.jpg", 6),
        ("ycck.jpg", 8),
    ] {
        assert_quarters(name, &open(name).unwrap().rgb, off);
    }
}

#[test]
fn gray_stays_gray_and_runs_from_black_to_white() {
    for (name, off) in [("gray.png", 0), ("gray-16.png", 1), ("gray.jpg", 6)] {
        let face = open(name).unwrap();
        for (x, _, pixel) in face.rgb.enumerate_pixels() {
            let [red, green, blue] = pixel.0;
            let expected = (f64::from(x) * 255.0 / 47.0).round() as u8;
            assert!(red == green && green == blue, "{name}");
            assert!(red.abs_diff(expected) <= off, "{name}: {red} at {x}");
        }
    }
}

#[test]
fn what_is_see_through_lies_on_white() {
    let face = open("see-through.png").unwrap();
    assert_eq!(face.rgb.get_pixel(3, 3).0, [200, 60, 40]);
    // A fifth of (60, 160, 70) and four fifths of white.
    assert_eq!(face.rgb.get_pixel(40, 3).0, [216, 236, 218]);
}

#[test]
fn the_name_of_the_bytes_is_their_sha_256() {
    let face = open("gray.png").unwrap();
    assert_eq!(face.sha256.len(), 64);
    // Made by Python's hashlib over the same file.
    assert_eq!(face.sha256, include_str!("../data/gray.png.sha256").trim());
}

#[test]
fn a_picture_of_one_pixel_opens() {
    let mut bytes = std::io::Cursor::new(Vec::new());
    photo::RgbImage::from_pixel(1, 1, image::Rgb([255, 255, 255]))
        .write_to(&mut bytes, image::ImageFormat::Png)
        .unwrap();
    let face = photo::open(bytes.get_ref(), &Limits::default()).unwrap();
    assert_eq!(face.lightness.values.dim(), (1, 1));
    assert!((face.lightness.values[[0, 0]] - 100.0).abs() < 1e-3);
}

#[test]
fn the_same_bytes_give_the_same_face() {
    let bytes = data("baseline.jpg");
    let one = photo::open(&bytes, &Limits::default()).unwrap();
    assert_eq!(one, photo::open(&bytes, &Limits::default()).unwrap());
}
