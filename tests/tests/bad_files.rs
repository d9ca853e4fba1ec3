//! Files that are no photos, or broken ones: exit 1, what is wrong, what to do.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use acceptance::{folder, stumpbook};
use practice::Recipe;
use std::fs;
use std::path::Path;

/// A small but real photo of a face.
fn photo() -> Vec<u8> {
    let face = practice::render(&Recipe {
        width_px: 400,
        height_px: 320,
        rings: 12,
        ..Recipe::default()
    });
    practice::jpeg(&face.rgb, 85)
}

/// A PNG header that claims a size, without the pixels.
fn claims(width: u32, height: u32) -> Vec<u8> {
    let mut bytes = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR".to_vec();
    bytes.extend(width.to_be_bytes());
    bytes.extend(height.to_be_bytes());
    bytes.extend([8, 2, 0, 0, 0]);
    let checksum = crc(&bytes[12..]);
    bytes.extend(checksum.to_be_bytes());
    bytes.extend(b"\0\0\0\0IDAT\x35\xaf\x06\x1e");
    bytes
}

/// The checksum of PNG chunks (PNG specification, annex D).
fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |sum, byte| {
        (0..8).fold(sum ^ u32::from(*byte), |sum, _| {
            if sum & 1 == 1 {
                (sum >> 1) ^ 0xedb8_8320
            } else {
                sum >> 1
            }
        })
    })
}

/// Exit 1, nothing on stdout, and stderr names the file, says `says` and ends
/// with a line that begins `try: ` and has something after it.
fn check(name: &str, bytes: &[u8], says: &str) {
    let place = folder();
    let path = place.path().join(name);
    fs::write(&path, bytes).unwrap();
    let output = stumpbook().arg("count").arg(&path).output().unwrap();
    let stderr = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(1), "{name}: {stderr}");
    assert!(output.stdout.is_empty(), "{name}");
    let lines: Vec<&str> = stderr.lines().collect();
    assert_eq!(lines.len(), 2, "{name}: {stderr}");
    assert!(
        lines[0].contains(&*path.to_string_lossy()),
        "{name}: {stderr}"
    );
    assert!(lines[0].contains(says), "{name}: {stderr}");
    assert!(
        lines[1].starts_with("try: ") && lines[1].len() > 10,
        "{name}: {stderr}"
    );
    assert_eq!(names(place.path()), [name], "nothing is left behind");
}

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

#[test]
fn an_empty_file_is_named_as_such() {
    check("empty.jpg", b"", "empty");
}

#[test]
fn a_text_file_named_jpg_is_not_a_photo() {
    check(
        "letter.jpg",
        b"Dear neighbor,\nthe oak is down.\n",
        "not a photo",
    );
}

#[test]
fn a_photo_cut_off_in_the_middle_is_reported_from_a_whole_one() {
    let whole = photo();
    check("cut.jpg", &whole[..whole.len() / 2], "cut off");
}

#[test]
fn random_bytes_after_a_jpeg_start_are_refused() {
    let mut bytes = vec![0xff, 0xd8, 0xff];
    bytes.extend((0..4000_u32).map(|n| (n.wrapping_mul(2_654_435_761) >> 24) as u8));
    check("noise.jpg", &bytes, "cannot read");
}

#[test]
fn a_heic_without_a_picture_is_refused() {
    let mut bytes = b"\0\0\0\x18ftypheic\0\0\0\0mif1heic".to_vec();
    bytes.extend([0; 64]);
    check("phone.heic", &bytes, "cannot read");
}

#[test]
fn a_picture_that_claims_to_be_huge_is_refused_before_memory_is_taken() {
    check("huge.png", &claims(60_000, 60_000), "60000 by 60000");
}

#[test]
fn the_limit_of_pixels_can_be_lowered_and_is_named_with_its_option() {
    let place = folder();
    let path = place.path().join("oak.jpg");
    fs::write(&path, photo()).unwrap();
    let output = stumpbook()
        .args(["count", "--max-pixels", "100K"])
        .arg(&path)
        .output()
        .unwrap();
    let stderr = String::from_utf8(output.stderr).unwrap();
    assert_eq!(output.status.code(), Some(1), "{stderr}");
    assert!(stderr.contains("400 by 320"), "{stderr}");
    assert!(stderr.contains("--max-pixels"), "{stderr}");
}

#[test]
fn an_exif_block_full_of_nonsense_does_not_keep_a_photo_from_being_opened() {
    let whole = photo();
    let nonsense: Vec<u8> = (0..300_u32).map(|n| (n * 37 % 251) as u8).collect();
    let mut bytes = vec![0xff, 0xd8, 0xff, 0xe1];
    bytes.extend(u16::try_from(nonsense.len() + 8).unwrap().to_be_bytes());
    bytes.extend(b"Exif\0\0");
    bytes.extend(&nonsense);
    bytes.extend(&whole[2..]);
    let place = folder();
    let path = place.path().join("oak.jpg");
    fs::write(&path, bytes).unwrap();
    let output = stumpbook()
        .args(["count", "--json"])
        .arg(&path)
        .output()
        .unwrap();
    // Opened: it is read or refused as a face, but not as a file.
    assert!(
        matches!(output.status.code(), Some(0 | 3)),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
}

#[test]
fn what_is_not_there_is_reported_with_its_path_and_what_was_looked_for() {
    let place = folder();
    let missing = place.path().join("no-such.jpg");
    let empty = place.path().join("empty");
    let others = place.path().join("others");
    fs::create_dir(&empty).unwrap();
    fs::create_dir(&others).unwrap();
    fs::write(others.join("notes.txt"), "oak").unwrap();
    fs::write(others.join("oak-ringmap.png"), "ours").unwrap();
    for (path, says) in [(missing, "no such file"), (empty, ".jpg"), (others, ".jpg")] {
        let output = stumpbook().arg("count").arg(&path).output().unwrap();
        let stderr = String::from_utf8(output.stderr).unwrap();
        assert_eq!(output.status.code(), Some(1), "{stderr}");
        assert!(stderr.contains(&*path.to_string_lossy()), "{stderr}");
        assert!(stderr.contains(says), "{stderr}");
        assert!(stderr.contains("\ntry: "), "{stderr}");
        assert!(output.stdout.is_empty());
    }
}
