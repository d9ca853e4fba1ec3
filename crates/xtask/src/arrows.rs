//! The arrows between our crates, checked against one table.

use crate::metadata::Metadata;
use std::collections::BTreeMap;

/// Which of our crates each may import. An arrow that is not here is a
/// decision and not a detail: explain it in DEVELOPERS.md when adding it.
const ARROWS: &[(&str, &[&str])] = &[
    ("wood", &[]),
    ("photo", &["wood"]),
    ("profile", &["wood", "photo"]),
    ("sight", &["wood", "photo", "profile"]),
    ("boundary", &["sight"]),
    ("growth", &["wood"]),
    ("chart", &["wood", "growth"]),
    (
        "reader",
        &["wood", "photo", "profile", "sight", "boundary", "growth"],
    ),
    ("join", &["wood"]),
    ("practice", &["wood"]),
    ("exchange", &["wood", "growth"]),
    ("woodlot", &["wood", "growth"]),
    ("report", &["wood", "growth", "chart"]),
    ("entry", &["wood"]),
    (
        "desk",
        &[
            "wood", "photo", "reader", "growth", "chart", "entry", "report", "exchange",
        ],
    ),
    (
        "stumpbook",
        &[
            "wood", "photo", "reader", "growth", "chart", "practice", "exchange", "woodlot",
            "report", "entry", "desk", "join",
        ],
    ),
    ("bench", &["practice", "wood"]),
    (
        "fuzz",
        &["desk", "exchange", "photo", "practice", "reader", "wood"],
    ),
    (
        "xtask",
        &[
            "wood", "photo", "profile", "sight", "reader", "practice", "bench", "join",
        ],
    ),
    ("acceptance", &[]),
];

/// What any crate's tests may import besides its own arrows: known truth.
const IN_TESTS: &[&str] = &["wood", "practice"];
/// The crates that test and measure all others; in that they may look at everything.
const SEE_ALL: &[&str] = &["acceptance", "bench"];

/// Every arrow that the table does not have, and every crate missing from it.
pub(crate) fn wrong(metadata: &Metadata) -> Vec<String> {
    let table: BTreeMap<&str, &[&str]> = ARROWS.iter().copied().collect();
    let mut wrong = Vec::new();
    for package in metadata.packages.iter().filter(|p| p.source.is_none()) {
        let Some(allowed) = table.get(package.name.as_str()) else {
            wrong.push(format!("{} is not in the table of arrows", package.name));
            continue;
        };
        for dependency in package.dependencies.iter().filter(|d| d.path.is_some()) {
            let name = dependency.name.as_str();
            let in_tests = dependency.kind.as_deref() == Some("dev")
                && (IN_TESTS.contains(&name) || SEE_ALL.contains(&package.name.as_str()));
            if !allowed.contains(&name) && !in_tests {
                wrong.push(format!("{} may not import {name}", package.name));
            }
        }
    }
    wrong
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::metadata::{Dependency, Package};

    fn check(from: &str, to: &str, kind: Option<&str>) -> usize {
        let package = Package {
            name: from.into(),
            version: "0.1.0".into(),
            license: None,
            authors: Vec::new(),
            manifest_path: "/there/Cargo.toml".into(),
            source: None,
            dependencies: vec![Dependency {
                name: to.into(),
                kind: kind.map(Into::into),
                path: Some("/there".into()),
            }],
        };
        wrong(&Metadata {
            packages: vec![package],
            workspace_root: "/".into(),
            target_directory: "/target".into(),
        })
        .len()
    }

    #[test]
    fn an_arrow_against_the_flow_is_found() {
        assert_eq!(check("reader", "profile", None), 0);
        assert_eq!(check("wood", "photo", None), 1);
        assert_eq!(check("photo", "profile", None), 1);
        assert_eq!(check("photo", "practice", Some("dev")), 0);
        assert_eq!(check("photo", "practice", None), 1);
        assert_eq!(check("novelty", "wood", None), 1);
    }

    #[test]
    fn the_table_has_no_circle() {
        let table: BTreeMap<&str, &[&str]> = ARROWS.iter().copied().collect();
        // Taking away, again and again, what imports nothing that is left must end with nothing.
        let mut left: Vec<&str> = table.keys().copied().collect();
        while !left.is_empty() {
            let before = left.len();
            let still = left.clone();
            left.retain(|name| table[name].iter().any(|to| still.contains(to)));
            assert!(left.len() < before, "a circle among {left:?}");
        }
    }
}
