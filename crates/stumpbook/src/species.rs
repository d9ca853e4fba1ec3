//! `stumpbook species`: the trees that are known, with their wood.

use crate::args::SpeciesArgs;
use crate::columns::{Side, table};
use crate::error::CommandError;
use crate::outcome::Outcome;
use crate::say;
use wood::{Species, find_species, species_with};

/// Lists all species, or those with a word in their names.
///
/// # Errors
/// When none has that word, or stdout is gone.
pub(crate) fn run(args: &SpeciesArgs) -> anyhow::Result<Outcome> {
    let word = args.word.as_deref().unwrap_or_default();
    let found = named(word);
    if found.is_empty() {
        let nearest =
            find_species(word).map_or_else(|unknown| unknown.nearest, |tree| vec![tree.name]);
        return Err(CommandError::failed(
            format!("no species is known by \"{word}\""),
            format!("the nearest names are {}", nearest.join(", ")),
        )
        .into());
    }
    say::data(&listed(&found))?;
    Ok(Outcome::Read)
}

/// The trees with that word, and one whose name it is in another form.
fn named(word: &str) -> Vec<&'static Species> {
    let found = species_with(word);
    if found.is_empty() {
        return find_species(word).into_iter().collect();
    }
    found
}

fn listed(trees: &[&Species]) -> String {
    let heading = ["name", "Latin name", "wood", "also called"];
    let mut rows = vec![heading.map(str::to_owned).to_vec()];
    rows.extend(trees.iter().map(|tree| {
        vec![
            tree.name.to_owned(),
            tree.latin.to_owned(),
            tree.class.to_string(),
            tree.aliases.join(", "),
        ]
    }));
    table(&[Side::Left; 4], &rows)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_lists_its_trees_in_columns() {
        let text = listed(&named("hemlock"));
        assert!(text.starts_with("name"), "{text}");
        assert!(text.lines().count() == 6, "{text}");
        assert!(text.contains("Tsuga canadensis    conifer"), "{text}");
        assert_eq!(named("Oak trees")[0].name, "oak");
    }
}
