//! The licenses and sources of everything that is built in, by the list in `deny.toml`.
//! Building cargo-deny, which reads that file too, takes longer than all our tests, so
//! the chore looks for itself.

use crate::metadata::Metadata;

/// The settings of cargo-deny; the allowed licenses are a list of strings in it.
const DENY: &str = include_str!("../../../deny.toml");

/// Licenses that a package may come under.
fn allowed_licenses() -> impl Iterator<Item = &'static str> {
    let list = DENY
        .split_once("allow = [")
        .and_then(|(_, rest)| rest.split_once(']'));
    let list = list.map_or("", |(list, _)| list);
    list.split('"').skip(1).step_by(2)
}

/// Where packages may come from.
const REGISTRY: &str = "registry+https://github.com/rust-lang/crates.io-index";

/// Every package whose license or source is not on the lists.
pub(crate) fn wrong(metadata: &Metadata) -> Vec<String> {
    let mut wrong = Vec::new();
    for package in &metadata.packages {
        let Some(source) = &package.source else {
            continue;
        };
        let name = format!("{} {}", package.name, package.version);
        if source != REGISTRY {
            wrong.push(format!("{name} comes from {source}"));
        }
        match &package.license {
            None => wrong.push(format!("{name} states no license")),
            Some(license) if !allowed(license) => {
                wrong.push(format!("{name} is under {license}"));
            }
            Some(_) => {}
        }
    }
    wrong
}

/// Whether a license expression can be met: of alternatives one, of sums all.
/// The old form `MIT/Apache-2.0` is an alternative.
fn allowed(expression: &str) -> bool {
    let spaced = expression.replace('/', " OR ");
    let text = spaced.trim();
    if let Some(parts) = split(text, " OR ") {
        return parts.iter().any(|part| allowed(part));
    }
    if let Some(parts) = split(text, " AND ") {
        return parts.iter().all(|part| allowed(part));
    }
    match text.strip_prefix('(').and_then(|t| t.strip_suffix(')')) {
        Some(inside) => allowed(inside),
        None => allowed_licenses().any(|license| license == text),
    }
}

/// The parts between a word that stands outside brackets; `None` without it.
fn split<'a>(text: &'a str, word: &str) -> Option<Vec<&'a str>> {
    let mut depth = 0_i32;
    let mut start = 0;
    let mut parts = Vec::new();
    for (at, letter) in text.char_indices() {
        match letter {
            '(' => depth += 1,
            ')' => depth -= 1,
            _ => {}
        }
        if depth == 0 && at >= start && text[at..].starts_with(word) {
            parts.push(&text[start..at]);
            start = at + word.len();
        }
    }
    if parts.is_empty() {
        return None;
    }
    parts.push(&text[start..]);
    Some(parts)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_is_that_of_deny_toml() {
        let list: Vec<&str> = allowed_licenses().collect();
        assert_eq!(list.first(), Some(&"0BSD"));
        assert!(list.contains(&"MIT") && list.len() > 8, "{list:?}");
    }

    #[test]
    fn license_expressions_are_met_or_not() {
        for (expression, met) in [
            ("MIT", true),
            ("GPL-3.0-only", false),
            ("MIT/Apache-2.0", true),
            ("GPL-2.0 OR MIT", true),
            ("MIT AND GPL-2.0", false),
            ("(MIT OR Apache-2.0) AND Unicode-3.0", true),
            ("(MIT OR GPL-2.0) AND (GPL-2.0 OR GPL-3.0)", false),
            ("Apache-2.0 WITH LLVM-exception OR GPL-2.0", true),
        ] {
            assert_eq!(allowed(expression), met, "{expression}");
        }
    }
}
