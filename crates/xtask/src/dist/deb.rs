//! The Debian package: where each file goes on the system, and what the package
//! says of itself.

use super::{File, archive};
use std::path::Path;

/// Debian's name of the processor, where a package is made for it: for static
/// programs alone, which need nothing of the system.
pub(super) fn architecture(target: &str) -> Option<&'static str> {
    match target {
        "x86_64-unknown-linux-musl" => Some("amd64"),
        "aarch64-unknown-linux-musl" => Some("arm64"),
        _ => None,
    }
}

/// The files of the archive at their places on the system, with the entry for
/// the desktop's menu and its picture.
///
/// # Errors
/// Never in memory.
pub(super) fn installed(files: &[File]) -> anyhow::Result<Vec<File>> {
    let mut placed = Vec::new();
    for file in files {
        let name = Path::new(&file.path)
            .file_name()
            .unwrap_or_default()
            .to_string_lossy();
        let at = |path: String, bytes: Vec<u8>| File {
            path,
            bytes,
            program: file.program,
        };
        let same = || file.bytes.clone();
        placed.push(match file.path.split('/').next().unwrap_or_default() {
            "stumpbook" => at("usr/bin/stumpbook".to_owned(), same()),
            "man" => at(
                format!("usr/share/man/man1/{name}.gz"),
                archive::gz(&file.bytes)?,
            ),
            "completions" => match shell_folder(&name) {
                Some((folder, name)) => at(format!("usr/share/{folder}/{name}"), same()),
                None => continue,
            },
            "docs" => at(
                file.path
                    .replacen("docs", "usr/share/doc/stumpbook/html", 1),
                same(),
            ),
            // Debian keeps the licenses under this name.
            "LICENSES-OF-PACKAGES.txt" => at("usr/share/doc/stumpbook/copyright".into(), same()),
            "CHANGELOG.md" => at(
                "usr/share/doc/stumpbook/changelog.gz".into(),
                archive::gz(&file.bytes)?,
            ),
            _ => continue,
        });
    }
    placed.push(File::new(
        "usr/share/applications/stumpbook.desktop",
        include_bytes!("stumpbook.desktop").to_vec(),
    ));
    placed.push(File::new(
        "usr/share/icons/hicolor/scalable/apps/stumpbook.svg",
        include_bytes!("../../../desk/src/assets/stump.svg").to_vec(),
    ));
    Ok(placed)
}

/// Where a shell looks for completions, and under which name.
fn shell_folder(name: &str) -> Option<(&'static str, &str)> {
    match name {
        "stumpbook.bash" => Some(("bash-completion/completions", "stumpbook")),
        "_stumpbook" => Some(("zsh/vendor-completions", name)),
        "stumpbook.fish" => Some(("fish/vendor_completions.d", name)),
        _ => None,
    }
}

/// The text that names the package, its version and its size.
pub(super) fn control(version: &str, architecture: &str, installed: &[File]) -> String {
    let bytes: usize = installed.iter().map(|file| file.bytes.len()).sum();
    format!(
        "Package: stumpbook
Version: {version}
Architecture: {architecture}
Maintainer: The makers of Stumpbook <stumpbook@example.org>
Installed-Size: {}
Section: science
Priority: optional
Recommends: xdg-utils
Description: tree rings from a photo of a sawn stump
 Counts and dates the rings on a photo of a sawn stump, estimates the age of
 the tree with a range, shows its growth by decade, and prints a sheet for the
 landowner. A page on this machine is for checking and correcting. It needs no
 network.
",
        bytes.div_ceil(1024)
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_file_goes_where_a_system_looks_for_it() {
        let files = [
            File::program("stumpbook", b"code".to_vec()),
            File::new("README.txt", Vec::new()),
            File::new("LICENSES-OF-PACKAGES.txt", Vec::new()),
            File::new("man/stumpbook-count.1", Vec::new()),
            File::new("completions/_stumpbook", Vec::new()),
            File::new("completions/stumpbook.ps1", Vec::new()),
            File::new("docs/desk/index.html", Vec::new()),
        ];
        let placed = installed(&files).unwrap();
        let paths: Vec<&str> = placed.iter().map(|file| file.path.as_str()).collect();
        assert_eq!(
            paths,
            [
                "usr/bin/stumpbook",
                "usr/share/doc/stumpbook/copyright",
                "usr/share/man/man1/stumpbook-count.1.gz",
                "usr/share/zsh/vendor-completions/_stumpbook",
                "usr/share/doc/stumpbook/html/desk/index.html",
                "usr/share/applications/stumpbook.desktop",
                "usr/share/icons/hicolor/scalable/apps/stumpbook.svg",
            ]
        );
        assert!(placed[0].program && !placed[1].program);
    }
}
