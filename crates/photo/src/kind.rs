//! What a file is, by its first bytes and never by its name.

use image::ImageFormat;

/// What a file is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// A picture that the `image` crate decodes.
    Picture(ImageFormat),
    /// HEIC, HEIF or AVIF.
    Heic,
    /// A camera's raw file.
    Raw,
    /// Something else, said with its article.
    Other(&'static str),
}

/// Brands of the HEIF family in the `ftyp` box (ISO/IEC 23008-12, from memory).
const HEIF_BRANDS: [&[u8; 4]; 14] = [
    b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"hevm", b"hevs", b"mif1", b"mif2",
    b"msf1", b"miaf", b"avif", b"avis",
];

/// First bytes of what people hand over instead of a photo.
const OTHERS: [(&[u8], &str); 9] = [
    (b"GIF8", "a GIF picture"),
    (b"BM", "a BMP picture"),
    (b"%PDF", "a PDF"),
    (b"PK\x03\x04", "a zip archive or an office file"),
    (b"\x1f\x8b", "a packed archive"),
    (b"\xff\x0a", "a JPEG XL picture"),
    (b"\0\0\0\x0cJXL ", "a JPEG XL picture"),
    (b"\0\0\x01\0", "an icon"),
    (b"\x1a\x45\xdf\xa3", "a film"),
];

/// What `bytes` are.
pub(crate) fn kind_of(bytes: &[u8]) -> Kind {
    if bytes.starts_with(b"\xff\xd8\xff") {
        return Kind::Picture(ImageFormat::Jpeg);
    }
    if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        return Kind::Picture(ImageFormat::Png);
    }
    if bytes.starts_with(b"II*\0") || bytes.starts_with(b"MM\0*") {
        // A raw file of one maker says so right behind the TIFF header.
        return match bytes.get(8..10) {
            Some(b"CR") => Kind::Raw,
            _ => Kind::Picture(ImageFormat::Tiff),
        };
    }
    if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP") {
        return Kind::Picture(ImageFormat::WebP);
    }
    if bytes.get(4..8) == Some(b"ftyp") {
        return iso_media(bytes);
    }
    if bytes.starts_with(b"RIFF") {
        return Kind::Other("a film or a sound");
    }
    if let Some((_, what)) = OTHERS.iter().find(|(first, _)| bytes.starts_with(first)) {
        return Kind::Other(what);
    }
    Kind::Other(plain_kind(bytes))
}

/// A file in the ISO media container: a photo of the HEIF family, a raw file
/// or a film, by its brands.
fn iso_media(bytes: &[u8]) -> Kind {
    let length = bytes
        .first_chunk::<4>()
        .map_or(0, |field| u32::from_be_bytes(*field) as usize)
        .clamp(12, 256)
        .min(bytes.len());
    // The box: length, "ftyp", major brand, version, then further brands.
    let mut brands = bytes[..length]
        .chunks_exact(4)
        .enumerate()
        .filter_map(|(index, brand)| (index == 2 || index >= 4).then_some(brand));
    if bytes.get(8..12) == Some(b"crx ") {
        Kind::Raw
    } else if brands.any(|brand| HEIF_BRANDS.iter().any(|heif| brand == heif.as_slice())) {
        Kind::Heic
    } else {
        Kind::Other("a film")
    }
}

/// Kinds that have no first bytes of their own.
fn plain_kind(bytes: &[u8]) -> &'static str {
    let start = &bytes[..bytes.len().min(4096)];
    if start.iter().all(|&byte| byte == 0) {
        return "nothing but zeros, as a failed copy leaves behind";
    }
    let readable = match std::str::from_utf8(start) {
        Ok(text) => Some(text),
        // The 4096 bytes may end inside a letter.
        Err(error) if error.error_len().is_none() => {
            std::str::from_utf8(&start[..error.valid_up_to()]).ok()
        }
        Err(_) => None,
    };
    let Some(text) = readable.filter(|text| {
        !text.is_empty() && text.chars().all(|c| !c.is_control() || c.is_whitespace())
    }) else {
        return "a file of an unknown kind";
    };
    let lower = text.trim_start().to_ascii_lowercase();
    if lower.starts_with("<!doctype html") || lower.starts_with("<html") {
        "a web page"
    } else if lower.starts_with("<svg") || (lower.starts_with("<?xml") && lower.contains("<svg")) {
        "an SVG drawing"
    } else {
        "a text file"
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_known_by_its_first_bytes() {
        for (bytes, kind) in [
            (
                b"\xff\xd8\xff\xe0....".as_slice(),
                Kind::Picture(ImageFormat::Jpeg),
            ),
            (b"\x89PNG\r\n\x1a\n", Kind::Picture(ImageFormat::Png)),
            (b"II*\0\x08\0\0\0\0\0", Kind::Picture(ImageFormat::Tiff)),
            (b"MM\0*\0\0\0\x08\0\0", Kind::Picture(ImageFormat::Tiff)),
            (b"II*\0\x10\0\0\0CR\x02\0", Kind::Raw),
            (b"RIFF\x10\0\0\0WEBPVP8 ", Kind::Picture(ImageFormat::WebP)),
            (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", Kind::Heic),
            (b"\0\0\0\x18ftypmif1\0\0\0\0mif1heic", Kind::Heic),
            (b"\0\0\0\x1cftypavif\0\0\0\0avifmif1miaf", Kind::Heic),
            (b"\0\0\0\x18ftypmp42\0\0\0\0mif1heic", Kind::Heic),
            (b"\0\0\0\x18ftypcrx \0\0\0\x01crx isom", Kind::Raw),
            (b"\0\0\0\x14ftypqt  \0\0\0\0qt  ", Kind::Other("a film")),
            // A brand outside the box does not count.
            (b"\0\0\0\x14ftypqt  \0\0\0\0qt  heic", Kind::Other("a film")),
            (b"\0\0\0\0ftyp", Kind::Other("a film")),
            (b"RIFF\x10\0\0\0AVI ", Kind::Other("a film or a sound")),
            (b"GIF89a", Kind::Other("a GIF picture")),
            (b"%PDF-1.7", Kind::Other("a PDF")),
            (b"just a note\n", Kind::Other("a text file")),
            (
                "na\u{ef}ve \u{2013} text".as_bytes(),
                Kind::Other("a text file"),
            ),
            (b"<!DOCTYPE html><p>", Kind::Other("a web page")),
            (b"<svg xmlns=", Kind::Other("an SVG drawing")),
            (b"\x01\x02\x03", Kind::Other("a file of an unknown kind")),
            (
                &[0; 64],
                Kind::Other("nothing but zeros, as a failed copy leaves behind"),
            ),
        ] {
            assert_eq!(kind_of(bytes), kind, "{}", bytes.escape_ascii());
        }
    }

    #[test]
    fn a_long_text_that_is_split_inside_a_letter_is_still_text() {
        let mut text = "a".repeat(4095);
        text.push('\u{e9}');
        assert_eq!(kind_of(text.as_bytes()), Kind::Other("a text file"));
    }
}
