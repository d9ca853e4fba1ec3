//! Promises that the documents make about the house.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use acceptance::root;
use std::fs;

fn text(path: &str) -> String {
    fs::read_to_string(root().join(path)).unwrap()
}

#[test]
fn every_package_we_build_on_is_explained() {
    let manifest = text("Cargo.toml");
    let developers = text("DEVELOPERS.md");
    let packages = manifest
        .lines()
        .skip_while(|line| *line != "[workspace.dependencies]")
        .skip(1)
        .take_while(|line| !line.starts_with('['))
        .filter(|line| !line.starts_with('#') && !line.contains("path ="))
        .filter_map(|line| line.split_once(" = "))
        .map(|(name, _)| name.trim());
    let mut seen = 0;
    for name in packages {
        assert!(
            developers.contains(&format!("`{name}`")),
            "DEVELOPERS.md does not say what {name} is for"
        );
        seen += 1;
    }
    assert!(seen > 10, "the list of packages was not found");
}

#[test]
fn every_crate_is_on_the_map() {
    let developers = text("DEVELOPERS.md");
    for entry in fs::read_dir(root().join("crates")).unwrap() {
        let name = entry.unwrap().file_name().to_string_lossy().into_owned();
        assert!(
            developers.contains(&format!("crates/{name}")),
            "DEVELOPERS.md does not have crates/{name} on its map"
        );
    }
}

#[test]
fn every_crate_forbids_unsafe_code_as_the_workspace_does() {
    assert!(text("Cargo.toml").contains("unsafe_code = \"forbid\""));
    let crates = fs::read_dir(root().join("crates")).unwrap();
    for folder in crates
        .map(|entry| entry.unwrap().path())
        .chain([root().join("tests")])
    {
        let manifest = fs::read_to_string(folder.join("Cargo.toml")).unwrap();
        assert!(
            manifest.contains("[lints]\nworkspace = true"),
            "{} does not take the workspace's lints",
            folder.display()
        );
    }
}

#[test]
fn the_readme_names_pictures_and_files_that_are_there() {
    let readme = text("README.md");
    let links = readme
        .split("](")
        .skip(1)
        .filter_map(|rest| rest.split_once(')'))
        .map(|(link, _)| link)
        .filter(|link| !link.contains("://") && !link.starts_with('#'));
    for link in links {
        let (file, heading) = link.split_once('#').unwrap_or((link, ""));
        assert!(root().join(file).exists(), "README.md points at {link}");
        assert!(
            heading.is_empty() || anchors(file).any(|anchor| anchor == heading),
            "README.md points at {link}"
        );
    }
    assert!(readme.contains("cargo run --release -- count samples/"));
    assert!(readme.contains("cargo xtask test"));
}

/// The addresses of a page's headings, as they are made from their words.
fn anchors(file: &str) -> impl Iterator<Item = String> {
    let headings: Vec<String> = text(file)
        .lines()
        .filter(|line| line.starts_with('#'))
        .map(|line| {
            line.trim_start_matches('#')
                .trim()
                .to_lowercase()
                .chars()
                .filter(|letter| letter.is_alphanumeric() || " -".contains(*letter))
                .map(|letter| if letter == ' ' { '-' } else { letter })
                .collect()
        })
        .collect();
    headings.into_iter()
}
