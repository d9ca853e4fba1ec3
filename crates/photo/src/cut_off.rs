//! Whether a JPEG ends before its end.
//!
//! The decoder is lenient, as browsers are: it paints what is missing gray
//! and says nothing. Rings would then be read from half a face, so the end of
//! the picture is looked for here.

use zune_jpeg::JpegDecoder;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::options::DecoderOptions;

/// Whether a JPEG's picture stops early.
///
/// # Method
/// Follows the segments of the file to the end-of-image marker (ITU-T T.81,
/// annex B). Where there is one, the picture is whole; what comes after it
/// (previews, films, maker's data) does not matter. Where there is none, some
/// writers only forgot it: the picture counts as whole if a strict decoder
/// finds every pixel. Zeros at the end, which a copy leaves that went wrong,
/// are taken off first. Linear in bytes; decodes only if the marker is missing.
/// A cut within the last row of blocks (8 or 16 rows of pixels) may count as
/// whole; a progressive file without its marker always counts as cut off.
pub(crate) fn jpeg_is_cut_off(bytes: &[u8]) -> bool {
    !has_end(bytes) && !decodes_strictly(bytes)
}

/// Whether the end-of-image marker is reached, segment by segment. Previews
/// inside a segment have markers of their own, so that searching for the
/// marker's two bytes would not do.
fn has_end(bytes: &[u8]) -> bool {
    let mut at = 2;
    loop {
        // To the next marker. Behind a scan header stand the coded pixels, in
        // which 0xff is followed by a zero or a restart marker.
        let Some(step) = bytes
            .get(at..)
            .and_then(|rest| rest.iter().position(|&byte| byte == 0xff))
        else {
            return false;
        };
        at += step + 1;
        let Some(&marker) = bytes.get(at) else {
            return false;
        };
        match marker {
            0xff => {}
            0x00 | 0x01 | 0xd0..=0xd8 => at += 1,
            0xd9 => return true,
            _ => {
                let Some(&[high, low]) = bytes.get(at + 1..at + 3) else {
                    return false;
                };
                at += 1 + usize::from(u16::from_be_bytes([high, low])).max(2);
            }
        }
    }
}

fn decodes_strictly(bytes: &[u8]) -> bool {
    let end = bytes
        .iter()
        .rposition(|&byte| byte != 0)
        .map_or(0, |last| last + 1);
    let options = DecoderOptions::default()
        .set_strict_mode(true)
        .set_max_width(usize::MAX)
        .set_max_height(usize::MAX);
    JpegDecoder::new_with_options(ZCursor::new(&bytes[..end]), options)
        .decode()
        .is_ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_end_is_found_behind_previews_and_stuffed_bytes() {
        // Start; a segment that holds a preview's end; a scan header; coded
        // pixels with a stuffed and a restart marker; fill bytes; the end.
        let whole = b"\xff\xd8\xff\xe1\x00\x06\xff\xd9\xff\xd9\xff\xda\x00\x02ab\xff\x00c\xff\xd0d\xff\xff\xd9trailer";
        assert!(has_end(whole));
        let end = whole.len() - b"\xd9trailer".len();
        for cut in 0..=end {
            assert!(!has_end(&whole[..cut]), "cut at {cut}");
        }
    }
}
