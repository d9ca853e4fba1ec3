//! What a built program asks of the system it runs on, read from its bytes.

/// What a Linux program needs of the machine besides the kernel.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum Needs {
    /// No library at all.
    Nothing,
    /// The GNU C library, of this version or newer.
    Glibc(u32, u32),
    /// Some other library, or the file is no Linux program.
    Other,
}

/// What the program needs: a static one names no loader; one for the GNU C
/// library names the versions of that library's functions that it uses.
pub(super) fn needs(program: &[u8]) -> Needs {
    if !program.starts_with(b"\x7fELF") {
        return Needs::Other;
    }
    if !names_a_loader(program) {
        return Needs::Nothing;
    }
    const MARK: &[u8] = b"GLIBC_";
    program
        .windows(MARK.len())
        .enumerate()
        .filter(|(_, window)| *window == MARK)
        .filter_map(|(at, _)| version(&program[at + MARK.len()..]))
        .max()
        .map_or(Needs::Other, |(major, minor)| Needs::Glibc(major, minor))
}

/// Two numbers with a dot between them, and the end of the word.
fn version(bytes: &[u8]) -> Option<(u32, u32)> {
    let end = bytes.iter().take(12).position(|&byte| byte == 0)?;
    let text = std::str::from_utf8(&bytes[..end]).ok()?;
    let mut parts = text.split('.');
    Some((parts.next()?.parse().ok()?, parts.next()?.parse().ok()?))
}

/// Whether a 64-bit little-endian ELF file has a program header of the kind
/// that names a loader (`PT_INTERP`, ELF-64 object file format, section 7).
fn names_a_loader(program: &[u8]) -> bool {
    const INTERP: u64 = 3;
    let number = |at: usize, bytes: usize| {
        program.get(at..at + bytes).map_or(0, |field| {
            field
                .iter()
                .rev()
                .fold(0_u64, |sum, &byte| sum << 8 | u64::from(byte))
        })
    };
    let (start, size, count) = (number(32, 8), number(54, 2), number(56, 2));
    (0..count).any(|nth| {
        usize::try_from(start + nth * size).is_ok_and(|header| number(header, 4) == INTERP)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_program_tells_what_it_needs() {
        assert_eq!(needs(b"MZ"), Needs::Other);
        let mut elf = vec![0; 64 + 56];
        elf[..4].copy_from_slice(b"\x7fELF");
        elf[32] = 64;
        elf[54] = 56;
        elf[56] = 1;
        elf[64] = 1;
        assert_eq!(needs(&elf), Needs::Nothing);
        elf[64] = 3;
        elf.extend_from_slice(b"GLIBC_2.2.5\0GLIBC_2.34\0GLIBC_2.9\0GLIBC_PRIVATE\0");
        assert_eq!(needs(&elf), Needs::Glibc(2, 34));
    }

    /// The tests' own program was linked by the system's compiler.
    #[test]
    #[cfg(all(target_os = "linux", target_env = "gnu"))]
    fn this_program_needs_a_glibc() {
        let own = std::fs::read(std::env::current_exe().unwrap()).unwrap();
        assert!(matches!(needs(&own), Needs::Glibc(2, _)));
    }
}
