//! Texts in a TIFF file that are said to be longer than the file. The decoder
//! makes room for the length that a text is said to have, and prints a line of
//! its own where that is absurd; such a file is damaged, and is found here first.

/// The type of a field that is text (TIFF 6.0, section 2).
const TEXT: u64 = 2;

/// Whether a field of the first directory is a text longer than the file.
pub(crate) fn too_long(bytes: &[u8]) -> bool {
    looked_through(bytes).unwrap_or(false)
}

/// `None` where the directory does not lie in the file, which the decoder reports.
fn looked_through(bytes: &[u8]) -> Option<bool> {
    let file = File {
        bytes,
        big_endian: bytes.starts_with(b"MM"),
    };
    // A BigTIFF file has the number 43 and wider fields.
    let big = file.number(2, 2)? == 43;
    let (start, width) = if big {
        (file.number(8, 8)?, 8)
    } else {
        (file.number(4, 4)?, 4)
    };
    let start = usize::try_from(start).ok()?;
    let (head, step) = if big { (8, 20) } else { (2, 12) };
    let fields = file.number(start, head)?;
    for nth in 0..usize::try_from(fields).ok()? {
        let field = start
            .checked_add(head)?
            .checked_add(nth.checked_mul(step)?)?;
        let kind = file.number(field.checked_add(2)?, 2)?;
        let length = file.number(field.checked_add(4)?, width)?;
        if kind == TEXT && length > bytes.len() as u64 {
            return Some(true);
        }
    }
    Some(false)
}

struct File<'a> {
    bytes: &'a [u8],
    big_endian: bool,
}

impl File<'_> {
    /// The number of `width` bytes at a place.
    fn number(&self, at: usize, width: usize) -> Option<u64> {
        let field = self.bytes.get(at..at.checked_add(width)?)?;
        let join = |sum: u64, byte: &u8| sum << 8 | u64::from(*byte);
        Some(if self.big_endian {
            field.iter().fold(0, join)
        } else {
            field.iter().rev().fold(0, join)
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A directory of one field: a software name (tag 305) of that length.
    fn file(length: u32) -> Vec<u8> {
        let mut file = b"II\x2a\0\x08\0\0\0\x01\0\x31\x01\x02\0".to_vec();
        file.extend(length.to_le_bytes());
        file.extend([0; 8]);
        file
    }

    #[test]
    fn a_text_longer_than_the_file_is_found() {
        assert!(!too_long(&file(4)));
        assert!(too_long(&file(u32::MAX)));
        let mut turned = b"MM\0\x2a\0\0\0\x08\0\x01\x01\x31\0\x02".to_vec();
        turned.extend(u32::MAX.to_be_bytes());
        assert!(too_long(&turned));
        let mut big =
            b"II\x2b\0\x08\0\0\0\x10\0\0\0\0\0\0\0\x01\0\0\0\0\0\0\0\x31\x01\x02\0".to_vec();
        big.extend(u64::MAX.to_le_bytes());
        assert!(too_long(&big));
        for end in 0..8 {
            assert!(!too_long(&file(4)[..end]), "{end}");
        }
    }
}
