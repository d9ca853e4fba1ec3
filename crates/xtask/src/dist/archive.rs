//! The two forms in which files are handed over: a compressed tar archive, and
//! a Debian package, which is an `ar` archive of two of those (deb(5)).

use super::File;
use flate2::{Compression, write::GzEncoder};
use std::collections::BTreeSet;
use std::io::{self, Write as _};
use std::path::Path;

/// The files as a `.tar.gz`, each path put under `prefix`; all owned by root and
/// dated `time` (seconds since 1970), so that the same files give the same bytes.
///
/// # Errors
/// When a path is too long for a tar archive.
pub(super) fn tar_gz(files: &[File], prefix: &str, time: u64) -> io::Result<Vec<u8>> {
    let mut archive = tar::Builder::new(GzEncoder::new(Vec::new(), Compression::best()));
    let mut made = BTreeSet::new();
    for file in files {
        let path = format!("{prefix}{}", file.path);
        let folders: Vec<&Path> = Path::new(&path).ancestors().skip(1).collect();
        for folder in folders.into_iter().rev() {
            let name = folder.to_string_lossy().into_owned();
            if !matches!(name.as_str(), "" | ".") && made.insert(name.clone()) {
                let mut header = header(time, 0o755, 0);
                header.set_entry_type(tar::EntryType::Directory);
                archive.append_data(&mut header, format!("{name}/"), io::empty())?;
            }
        }
        let mode = if file.program { 0o755 } else { 0o644 };
        let mut header = header(time, mode, file.bytes.len() as u64);
        archive.append_data(&mut header, &path, file.bytes.as_slice())?;
    }
    archive.into_inner()?.finish()
}

fn header(time: u64, mode: u32, bytes: u64) -> tar::Header {
    let mut header = tar::Header::new_gnu();
    header.set_mode(mode);
    header.set_mtime(time);
    header.set_size(bytes);
    header.set_uid(0);
    header.set_gid(0);
    header
}

/// A Debian package of these files (paths from the root, without the first
/// slash) with this `control` text.
///
/// # Errors
/// As [`tar_gz`].
pub(super) fn deb(control: &str, files: &[File], time: u64) -> io::Result<Vec<u8>> {
    let control = [File::new("control", control.as_bytes().to_vec())];
    let mut package = b"!<arch>\n".to_vec();
    for (name, bytes) in [
        ("debian-binary", b"2.0\n".to_vec()),
        ("control.tar.gz", tar_gz(&control, "./", time)?),
        ("data.tar.gz", tar_gz(files, "./", time)?),
    ] {
        // Name, time, owner, group, mode and length, in columns of fixed width.
        writeln!(
            package,
            "{name:<16}{time:<12}{:<6}{:<6}{:<8}{:<10}`",
            0,
            0,
            "100644",
            bytes.len()
        )?;
        package.extend_from_slice(&bytes);
        if bytes.len() % 2 == 1 {
            package.push(b'\n');
        }
    }
    Ok(package)
}

/// Bytes compressed for themselves, as Debian wants man pages.
///
/// # Errors
/// Never in memory; the type says so only because writing can fail elsewhere.
pub(super) fn gz(bytes: &[u8]) -> io::Result<Vec<u8>> {
    let mut gz = GzEncoder::new(Vec::new(), Compression::best());
    gz.write_all(bytes)?;
    gz.finish()
}

#[cfg(test)]
mod tests {
    use super::*;
    use flate2::read::GzDecoder;
    use std::io::Read as _;

    #[test]
    fn what_is_packed_is_unpacked_with_its_folders_and_rights() {
        let files = [
            File::new("a/b/page.txt", b"words".to_vec()),
            File::program("a/run", b"code".to_vec()),
        ];
        let packed = tar_gz(&files, "top/", 7).unwrap();
        assert_eq!(packed, tar_gz(&files, "top/", 7).unwrap());
        let mut archive = tar::Archive::new(GzDecoder::new(packed.as_slice()));
        let found: Vec<(String, u32, String)> = archive
            .entries()
            .unwrap()
            .map(|entry| {
                let mut entry = entry.unwrap();
                let path = entry.path().unwrap().to_string_lossy().into_owned();
                let mode = entry.header().mode().unwrap();
                let mut text = String::new();
                entry.read_to_string(&mut text).unwrap();
                (path, mode, text)
            })
            .collect();
        let is = |path: &str, mode: u32, text: &str| (path.to_owned(), mode, text.to_owned());
        assert_eq!(
            found,
            [
                is("top/", 0o755, ""),
                is("top/a/", 0o755, ""),
                is("top/a/b/", 0o755, ""),
                is("top/a/b/page.txt", 0o644, "words"),
                is("top/a/run", 0o755, "code"),
            ]
        );
    }
}
