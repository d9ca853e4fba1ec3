//! The license of every package in the program, in one text: what those
//! licenses ask of whoever hands the program on.

use crate::metadata::{self, Metadata};
use anyhow::{Context as _, bail};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::fs;
use std::path::Path;
use std::process::Command;

/// How the names of files with license texts begin.
const BEGINNINGS: [&str; 6] = [
    "license",
    "licence",
    "copying",
    "copyright",
    "notice",
    "unlicense",
];

/// The text for the program built for `target`.
///
/// # Errors
/// When cargo does not list the packages, or a package of others has neither
/// a license text nor one of the licenses whose text stands here.
pub(super) fn text(metadata: &Metadata, target: &str) -> anyhow::Result<String> {
    let linked = linked(target)?;
    let root = &metadata.workspace_root;
    let ours = ["LICENSE-MIT", "LICENSE-APACHE"];
    let mut text = String::from(
        "Stumpbook is under the MIT license or the Apache license 2.0, at your choice; both texts\n\
are in this folder. It has in it the packages listed here, each under its own license. Where a\n\
package brings no text of its license, its authors are named and the general text applies.\n\n",
    );
    // One text often serves many packages.
    let mut by_text: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for package in &metadata.packages {
        let key = format!("{} {}", package.name, package.version);
        if package.source.is_none() || !linked.contains(&key) {
            continue;
        }
        let license = package.license.as_deref().unwrap_or("no license stated");
        writeln!(text, "{key}: {license}")?;
        let texts = texts_beside(&package.manifest_path)?;
        if texts.is_empty() {
            if package.authors.is_empty() {
                writeln!(text, "    by the authors of {}", package.name)?;
            } else {
                writeln!(text, "    by {}", package.authors.join(", "))?;
            }
            if !(license.contains("MIT") || license.contains("Apache-2.0")) {
                bail!("{key} brings no text of its license, {license}");
            }
        }
        for license in texts {
            by_text.entry(license).or_default().push(key.clone());
        }
    }
    text.push_str(
        "\nAlso in it: the standard library of Rust (MIT or Apache-2.0), SQLite (in the public\n\
domain), on Linux the C library musl (MIT; Copyright 2005-2020 Rich Felker, et al.), and the fonts\n\
of the charts (SIL Open Font License 1.1, last text below).\n",
    );
    for (license, packages) in &by_text {
        section(&mut text, &packages.join(", "), license)?;
    }
    for name in ours {
        let license = fs::read_to_string(root.join(name))?;
        section(&mut text, &format!("general text, {name}"), &license)?;
    }
    let fonts = fs::read_to_string(root.join("crates/chart/fonts/OFL.txt"))?;
    section(&mut text, "Gentium Basic, the font of the charts", &fonts)?;
    Ok(text)
}

fn section(text: &mut String, heading: &str, body: &str) -> std::fmt::Result {
    writeln!(text, "\n{}\n{heading}\n\n{}", "=".repeat(80), body.trim())
}

/// Name and version of each package that is linked into the program.
fn linked(target: &str) -> anyhow::Result<BTreeSet<String>> {
    let output = Command::new(metadata::cargo())
        .args(["tree", "--locked", "-p", "stumpbook", "--edges", "normal"])
        .args(["--prefix", "none", "--format", "{p}", "--target", target])
        .output()
        .context("cannot start cargo")?;
    if !output.status.success() {
        bail!(
            "cargo tree failed: {}",
            String::from_utf8_lossy(&output.stderr).trim()
        );
    }
    Ok(String::from_utf8_lossy(&output.stdout)
        .lines()
        .filter_map(|line| {
            let mut words = line.split_whitespace();
            let name = words.next()?;
            let version = words.next()?.strip_prefix('v')?;
            Some(format!("{name} {version}"))
        })
        .collect())
}

/// The license texts beside a package's `Cargo.toml`, in the order of their names.
fn texts_beside(manifest: &Path) -> anyhow::Result<Vec<String>> {
    let folder = manifest.parent().context("a package without a folder")?;
    let mut files: Vec<_> = fs::read_dir(folder)
        .with_context(|| format!("cannot list {}", folder.display()))?
        .filter_map(Result::ok)
        .map(|file| file.path())
        .filter(|path| {
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            let name = name.to_ascii_lowercase();
            path.is_file() && BEGINNINGS.iter().any(|start| name.starts_with(start))
        })
        .collect();
    files.sort();
    files
        .iter()
        .map(|file| {
            let bytes =
                fs::read(file).with_context(|| format!("cannot read {}", file.display()))?;
            Ok(String::from_utf8_lossy(&bytes).replace("\r\n", "\n"))
        })
        .collect()
}
