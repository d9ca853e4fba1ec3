//! Species a person may name, and the wood class each brings. The trees
//! themselves are in `trees.tsv`.

mod suggest;
mod table;

use crate::WoodClass;
use std::sync::LazyLock;
use table::compact;

/// How fast a young stem of this kind gains its first foot (30 cm).
///
/// Our own judgment and not a published table: always shown as a range.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum YoungGrowth {
    /// Planted or open-grown hard pine.
    HardPine,
    /// Aspen, yellow-poplar, birch, willow.
    Pioneer,
    /// Ash, maple, cherry and the like.
    MidSuccession,
    /// Oak, hickory, beech.
    SlowHardwood,
    /// White and red pine from natural seed.
    NaturalPine,
    /// Conifers that start in the open and fairly fast: Douglas-fir, larch,
    /// coast redwood, baldcypress, Sitka spruce.
    OpenConifer,
    /// Spruce, fir, hemlock, white-cedar.
    ShadeConifer,
    /// Longleaf pine, which stays a tuft of needles for some years.
    GrassStage,
    /// A group of trees too mixed to say, such as "pine" or "cedar".
    Mixed,
}

/// Where a row's wood class comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ClassSource {
    /// US Navy manual MO-312, Record (1914) and the IAWA list of hardwood
    /// features (1989).
    Handbooks,
    /// General knowledge, not checked against a book.
    Memory,
}

/// One species, or a genus whose species the wood does not separate.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Species {
    /// The name that is stored, lower case.
    pub name: &'static str,
    /// Other common names.
    pub aliases: Vec<&'static str>,
    /// Latin name; a genus alone stands for any species of it.
    pub latin: &'static str,
    /// Other Latin names that are or were in use.
    pub synonyms: Vec<&'static str>,
    /// How it shows its years.
    pub class: WoodClass,
    /// How fast a seedling starts.
    pub young: YoungGrowth,
    /// Whether new stems commonly grow from its stump or roots.
    pub sprouts: bool,
    /// Where the wood class comes from.
    pub class_source: ClassSource,
}

/// A name that is not in the table, with the nearest ones that are.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("no species \"{name}\" is known here; the nearest names are: {}", nearest.join(", "))]
pub struct UnknownSpecies {
    /// What was asked for.
    pub name: String,
    /// The nearest known names, best first. Where the last word of what was
    /// asked for names a genus, all are of that genus's wood class.
    pub nearest: Vec<&'static str>,
}

static TREES: LazyLock<Vec<Species>> = LazyLock::new(table::read);

/// All species, by name.
#[must_use]
pub fn species_table() -> &'static [Species] {
    &TREES
}

impl Species {
    /// Its name and all its aliases.
    pub(crate) fn common_names(&self) -> impl Iterator<Item = &'static str> {
        std::iter::once(self.name).chain(self.aliases.iter().copied())
    }

    /// All its Latin names.
    fn latin_names(&self) -> impl Iterator<Item = &'static str> {
        std::iter::once(self.latin).chain(self.synonyms.iter().copied())
    }

    fn is_called(&self, compacted: &str) -> bool {
        self.common_names()
            .chain(self.latin_names())
            .any(|name| compact(name) == compacted)
    }
}

/// The species of that common or Latin name. Case, spaces, hyphens and
/// apostrophes do not matter, nor an author after a Latin name, a plural s or
/// the word "tree".
///
/// # Errors
/// [`UnknownSpecies`] with the nearest names.
///
/// # Example
/// ```
/// let oak = wood::find_species("White  Oak").unwrap();
/// assert_eq!(oak.latin, "Quercus alba");
/// assert_eq!(wood::find_species("Quercus alba L.").unwrap(), oak);
/// assert!(wood::find_species("wite oak").unwrap_err().nearest.contains(&"white oak"));
/// ```
pub fn find_species(name: &str) -> Result<&'static Species, UnknownSpecies> {
    let called = |text: &str| {
        let wanted = compact(text);
        TREES.iter().find(|tree| tree.is_called(&wanted))
    };
    called(name)
        .or_else(|| without_author(name).and_then(|latin| called(&latin)))
        .or_else(|| plain_forms(name).into_iter().find_map(called))
        .ok_or_else(|| UnknownSpecies {
            name: name.to_owned(),
            nearest: suggest::nearest(name, &TREES),
        })
}

/// All species whose common or Latin names hold a word or a part of one, in
/// the table's order; all there are for an empty word.
#[must_use]
pub fn species_with(word: &str) -> Vec<&'static Species> {
    let wanted = compact(word);
    TREES
        .iter()
        .filter(|tree| {
            tree.common_names()
                .chain(tree.latin_names())
                .any(|name| compact(name).contains(&wanted))
        })
        .collect()
}

/// A Latin name without what may follow it: "Quercus rubra L." is "Quercus
/// rubra", and "Quercus sp." is "Quercus".
fn without_author(name: &str) -> Option<String> {
    let mut words = name.split_whitespace();
    let (genus, second) = (words.next()?, words.next()?);
    let unnamed = ["sp", "spp", "sp.", "spp."].contains(&second.to_lowercase().as_str());
    Some(if unnamed {
        genus.to_owned()
    } else {
        format!("{genus} {second}")
    })
}

/// "oaks" is "oak", "ashes" and "ash tree" are "ash".
fn plain_forms(name: &str) -> Vec<&str> {
    let name = name.trim();
    [" trees", " tree", "s", "es"]
        .into_iter()
        .filter_map(|ending| {
            let at = name.len().checked_sub(ending.len())?;
            let (start, end) = name.split_at_checked(at)?;
            end.eq_ignore_ascii_case(ending).then_some(start)
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn forms_of_a_name_find_the_same_species() {
        for (name, species) in [
            ("RED OAK", "red oak"),
            ("redoak", "red oak"),
            ("Northern Red-Oak", "red oak"),
            ("Quercus rubra", "red oak"),
            ("Quercus rubra L.", "red oak"),
            ("quercus spp.", "oak"),
            ("Pinus contorta var. latifolia Engelm.", "lodgepole pine"),
            ("oaks", "oak"),
            ("ash trees", "ash"),
            ("bald cypress", "baldcypress"),
            ("honey-locust", "honeylocust"),
            ("Hill\u{2019}s oak", "northern pin oak"),
        ] {
            assert_eq!(find_species(name).unwrap().name, species, "{name}");
        }
    }

    #[test]
    fn a_word_lists_the_trees_whose_names_hold_it() {
        let names: Vec<&str> = species_with("hemlock")
            .iter()
            .map(|tree| tree.name)
            .collect();
        assert_eq!(
            names,
            [
                "carolina hemlock",
                "eastern hemlock",
                "hemlock",
                "mountain hemlock",
                "western hemlock"
            ]
        );
        assert_eq!(species_with("").len(), species_table().len());
        assert!(species_with("xyzzy").is_empty());
        assert!(species_with("tsuga").len() >= 5);
    }
}
