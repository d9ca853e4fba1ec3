//! From bytes to text.

use crate::{ExchangeError, Format, Place};

/// The text without a byte order mark.
///
/// # Errors
/// When the bytes are not UTF-8; the place of the first that is not.
pub(crate) fn text(bytes: &[u8], format: Format) -> Result<&str, ExchangeError> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    std::str::from_utf8(bytes).map_err(|error| {
        let good = std::str::from_utf8(&bytes[..error.valid_up_to()]).unwrap_or_default();
        ExchangeError::Malformed {
            format,
            place: Place::of_byte(good, good.len()),
            problem: "this is not text in UTF-8".to_owned(),
        }
    })
}

/// The text of a file that may be older than UTF-8: what is no UTF-8 is taken
/// byte by byte as ISO 8859-1.
pub(crate) fn old_text(bytes: &[u8]) -> String {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    match std::str::from_utf8(bytes) {
        Ok(text) => text.to_owned(),
        Err(_) => bytes.iter().copied().map(char::from).collect(),
    }
}
