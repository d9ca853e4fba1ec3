//! The nearest names to one that is not known: first by what the last word
//! names, then by whole words, and only then by spelling.

use super::Species;
use super::table::compact;
use crate::WoodClass;
use std::collections::BTreeSet;

/// More suggestions than this are not read.
const MOST: usize = 6;

/// A likeness of spelling (Jaro-Winkler, 0 to 1) under which a name is no help.
/// Chosen by trying misspelled names.
const LEAST_LIKE: f64 = 0.7;

/// By how much another name may be less like than the best one and still be
/// worth naming. Chosen: "hemlok" is hemlock, and no oak.
const NEARLY_AS_LIKE: f64 = 0.08;

/// The nearest names, best first.
pub(super) fn nearest(name: &str, trees: &'static [Species]) -> Vec<&'static str> {
    let words = words(name);
    let Some(last) = words.last() else {
        return Vec::new();
    };
    // "laurel oak", "wite oak": an oak, whatever the rest means.
    let kind: Vec<&Species> = trees
        .iter()
        .filter(|tree| tree.common_names().any(|name| last_word(name) == *last))
        .collect();
    if !kind.is_empty() {
        let mut names = by_spelling(
            name,
            kind.iter().copied().filter(of_class(class_of(last, &kind))),
        );
        if let Some(genus) = kind.iter().find(|tree| tree.name == last) {
            names.retain(|name| name.0 != genus.name);
            names.truncate(MOST - 1);
            // The best match first, unless it is a bad one.
            let at = usize::from(names.first().is_some_and(|best| best.1 > 0.9));
            names.insert(at, (genus.name, 1.0));
        }
        return first(names, 0.0);
    }
    // "Quercus foo": the genus, and what else it has.
    if let Some(genus) = words.first() {
        let kind = trees.iter().filter(|tree| {
            tree.latin_names()
                .any(|latin| words_of(latin).first() == Some(genus))
        });
        let found = first(by_spelling(name, kind), 0.0);
        if !found.is_empty() {
            return found;
        }
    }
    let shares = trees.iter().filter(|tree| {
        tree.common_names()
            .any(|name| words_of(name).iter().any(|word| words.contains(word)))
    });
    let found = first(by_spelling(name, shares), LEAST_LIKE);
    if !found.is_empty() {
        return found;
    }
    let by_letters = by_spelling(name, trees.iter());
    let best = by_letters.first().map_or(0.0, |name| name.1);
    let found = first(by_letters.clone(), LEAST_LIKE.max(best - NEARLY_AS_LIKE));
    if found.is_empty() {
        by_letters
            .into_iter()
            .take(3)
            .map(|(name, _)| name)
            .collect()
    } else {
        found
    }
}

/// The wood class that a last word means: that of the row of that name, or the
/// one that all its trees share.
fn class_of(last: &str, kind: &[&Species]) -> Option<WoodClass> {
    let named = kind
        .iter()
        .find(|tree| tree.common_names().any(|name| name == last));
    let classes: BTreeSet<WoodClass> = kind.iter().map(|tree| tree.class).collect();
    named
        .map(|tree| tree.class)
        .or_else(|| classes.first().copied().filter(|_| classes.len() == 1))
}

fn of_class(class: Option<WoodClass>) -> impl Fn(&&Species) -> bool {
    move |tree| class.is_none_or(|class| tree.class == class)
}

/// Trees by how like their best name is in spelling, best first, with the
/// likeness.
fn by_spelling<'a>(
    wanted: &str,
    trees: impl Iterator<Item = &'a Species>,
) -> Vec<(&'static str, f64)> {
    let wanted = compact(wanted);
    let mut names: Vec<(&'static str, f64)> = trees
        .map(|tree| {
            let likeness = tree
                .common_names()
                .chain(tree.latin_names())
                .map(|name| strsim::jaro_winkler(&wanted, &compact(name)))
                .fold(0.0, f64::max);
            (tree.name, likeness)
        })
        .collect();
    names.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(b.0)));
    names
}

fn first(names: Vec<(&'static str, f64)>, least: f64) -> Vec<&'static str> {
    names
        .into_iter()
        .take_while(|(_, likeness)| *likeness >= least)
        .take(MOST)
        .map(|(name, _)| name)
        .collect()
}

/// The words of a name, lower case, a plural s taken off the last.
fn words(name: &str) -> Vec<String> {
    let mut words: Vec<String> = words_of(name);
    if let Some(last) = words.last_mut()
        && last.len() > 3
        && last.ends_with('s')
        && last != "cypress"
    {
        last.pop();
    }
    words
}

fn words_of(name: &str) -> Vec<String> {
    name.to_lowercase()
        .split(|letter: char| !letter.is_alphanumeric() && letter != '\'')
        .filter(|word| !word.is_empty())
        .map(str::to_owned)
        .collect()
}

fn last_word(name: &str) -> String {
    words_of(name).pop().unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use crate::{find_species, species_table};

    fn nearest(name: &str) -> Vec<&'static str> {
        find_species(name).unwrap_err().nearest
    }

    #[test]
    fn a_misspelled_name_is_found_by_its_letters() {
        assert_eq!(nearest("wite oak")[0], "white oak");
        assert_eq!(nearest("hemlok"), ["hemlock"]);
        assert_eq!(nearest("shagbrk hickory")[0], "shagbark hickory");
        assert_eq!(nearest("Quercus albba")[0], "white oak");
        assert!(nearest("dugless fir").contains(&"douglas-fir"));
    }

    #[test]
    fn an_unknown_kind_of_a_known_genus_leads_to_that_genus() {
        assert_eq!(nearest("zebra oak")[0], "oak");
        assert_eq!(nearest("purple pine")[0], "pine");
        assert!(nearest("").is_empty());
        assert!(!nearest("qqqq").is_empty());
    }

    /// Who follows a suggestion must not read a conifer as a hardwood.
    #[test]
    fn suggestions_stay_in_the_wood_of_the_last_word() {
        let genera = [
            "pine", "fir", "spruce", "hemlock", "cedar", "larch", "cypress", "juniper", "oak",
            "ash", "elm", "hickory", "chestnut", "maple", "birch", "beech", "poplar", "willow",
            "cherry", "walnut", "locust", "holly", "alder", "linden",
        ];
        for genus in genera {
            let class = find_species(genus).unwrap().class;
            for first in [
                "purple", "big", "northern", "wite", "mountane", "silvery", "qx",
            ] {
                let name = format!("{first} {genus}");
                let Err(unknown) = find_species(&name) else {
                    continue;
                };
                assert!(!unknown.nearest.is_empty(), "{name}");
                for near in unknown.nearest {
                    assert_eq!(find_species(near).unwrap().class, class, "{name}: {near}");
                }
            }
        }
        assert!(species_table().len() > genera.len());
    }
}
