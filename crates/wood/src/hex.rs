//! Bytes as hexadecimal text.

/// Two lower-case hexadecimal digits for each byte.
#[must_use]
pub fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    #[test]
    fn each_byte_has_two_digits() {
        assert_eq!(super::hex(&[0, 10, 255]), "000aff");
    }
}
