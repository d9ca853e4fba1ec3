//! The names that people use lead to the tree they mean.

#![allow(
    clippy::unwrap_used,
    reason = "a test that cannot go on fails, and says so"
)]

use wood::find_species;

#[test]
fn three_hundred_names_lead_to_the_tree_that_is_meant() {
    let mut tried = 0;
    let mut wrong = Vec::new();
    for line in include_str!("names.txt").lines() {
        if line.starts_with('#') {
            continue;
        }
        let (tree, names) = line.split_once(':').unwrap();
        let (latin, class) = tree.rsplit_once(' ').unwrap();
        for name in names.split(';').map(str::trim) {
            tried += 1;
            match find_species(name) {
                Ok(found) if found.latin == latin && found.class.name() == class => {}
                Ok(found) => wrong.push(format!(
                    "{name}: {} ({}, {})",
                    found.name, found.latin, found.class
                )),
                Err(unknown) => wrong.push(unknown.to_string()),
            }
        }
    }
    assert!(tried >= 300, "only {tried} names");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
