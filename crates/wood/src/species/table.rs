//! The table of trees: a text file of rows and fields, read once.

use super::{ClassSource, Species, YoungGrowth};
use crate::WoodClass;

/// The rows, as the file's own heading explains them.
const TREES: &str = include_str!("trees.tsv");

/// All rows that can be understood, which a test holds to be all.
pub(super) fn read() -> Vec<Species> {
    lines().filter_map(row).collect()
}

fn lines() -> impl Iterator<Item = &'static str> {
    TREES
        .lines()
        .filter(|line| !line.starts_with('#') && !line.is_empty())
}

fn row(line: &'static str) -> Option<Species> {
    let fields: Vec<&'static str> = line.split('\t').collect();
    let [name, aliases, latin, wood, young, sprouts, source] = fields[..] else {
        return None;
    };
    let several = |text: &'static str, mark: char| -> Vec<&'static str> {
        text.split(mark).filter(|part| !part.is_empty()).collect()
    };
    let mut latins = several(latin, ';').into_iter();
    Some(Species {
        name,
        aliases: several(aliases, ','),
        latin: latins.next()?,
        synonyms: latins.collect(),
        class: match wood {
            "conifer" => WoodClass::Conifer,
            "ring" => WoodClass::RingPorous,
            "semi" => WoodClass::SemiRingPorous,
            "diffuse" => WoodClass::DiffusePorous,
            _ => return None,
        },
        young: match young {
            "hard-pine" => YoungGrowth::HardPine,
            "pioneer" => YoungGrowth::Pioneer,
            "mid" => YoungGrowth::MidSuccession,
            "slow" => YoungGrowth::SlowHardwood,
            "natural-pine" => YoungGrowth::NaturalPine,
            "open-conifer" => YoungGrowth::OpenConifer,
            "shade" => YoungGrowth::ShadeConifer,
            "grass-stage" => YoungGrowth::GrassStage,
            "any" => YoungGrowth::Mixed,
            _ => return None,
        },
        sprouts: match sprouts {
            "yes" => true,
            "no" => false,
            _ => return None,
        },
        class_source: match source {
            "handbooks" => ClassSource::Handbooks,
            "memory" => ClassSource::Memory,
            _ => return None,
        },
    })
}

/// A name as it is compared: its letters and digits alone, lower case.
pub(super) fn compact(name: &str) -> String {
    name.chars()
        .filter(|letter| letter.is_alphanumeric())
        .flat_map(char::to_lowercase)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    #[test]
    fn every_row_can_be_read_and_they_are_in_order() {
        let trees = read();
        assert_eq!(trees.len(), lines().count());
        assert!(trees.len() >= 200, "{}", trees.len());
        assert!(trees.windows(2).all(|pair| pair[0].name < pair[1].name));
    }

    #[test]
    fn no_two_rows_share_a_name() {
        let mut whose = BTreeMap::new();
        for tree in read() {
            for name in tree.common_names().chain(tree.latin_names()) {
                let before = whose.insert(compact(name), tree.name);
                // A row may repeat a name of its own in another spelling.
                assert!(
                    before.is_none_or(|before| before == tree.name),
                    "{name}: {before:?} and {}",
                    tree.name
                );
            }
        }
    }
}
