//! The licenses and sources of everything that is built in. The same list
//! stands in `deny.toml`, for those who have cargo-deny; building that tool
//! takes longer than all our tests, so the chore looks for itself.

use crate::metadata::Metadata;

/// Licenses that a package may come under.
const ALLOWED: &[&str] = &[
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "ISC",
    "MIT",
    "MIT-0",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

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
        None => ALLOWED.contains(&text),
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
