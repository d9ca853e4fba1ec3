//! Cold Hollow as a woodlot: twelve invented stumps of four species that share
//! good and bad years, for everything that many stumps can show.

use crate::memory::widths;
use crate::recipe::{Ground, GrowthStep, Recipe, Troubles};
use wood::{Felled, Mm, WoodClass};

/// One invented stump of the woodlot.
#[derive(Debug, Clone)]
pub struct LotStump {
    /// File name without its ending.
    pub stem: &'static str,
    /// Its species, as in the species table.
    pub species: &'static str,
    /// When it was felled.
    pub felled: Felled,
    /// Height of the cut above the ground.
    pub cut_height: Mm,
    /// How it is rendered.
    pub recipe: Recipe,
    /// What its owner remembers of it alone.
    pub memory: Option<Memory>,
    /// A ring, counted from the pith, that its reading runs together with the
    /// one outside it: on purpose, so that there is something to find.
    pub read_short_at: Option<u32>,
}

/// Something that the woodlot's owner remembers.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Memory {
    /// The year.
    pub year: i32,
    /// What happened.
    pub what: &'static str,
}

/// What is remembered of Cold Hollow as a whole: dry years, which are in the
/// rings of every stump.
pub const MEMORIES: [Memory; 3] = [
    Memory {
        year: 1965,
        what: "the brook ran dry",
    },
    Memory {
        year: 1988,
        what: "no rain from May to August",
    },
    Memory {
        year: 2012,
        what: "dry summer",
    },
];

/// What is remembered of the five stumps that stood there, and is in their
/// rings alone.
const THINNING: Memory = Memory {
    year: 1991,
    what: "thinned above the landing",
};

/// How one stump differs from the others.
struct Plan {
    stem: &'static str,
    species: &'static str,
    seed: u64,
    rings: u32,
    /// Widths near the pith and near the bark, in millimeters.
    widths: (f64, f64),
    cut_height_mm: f64,
    thinned: bool,
}

/// The year in which growth after the thinning is first seen.
const THINNING_SEEN: i32 = THINNING.year + 1;

/// The year of the ring under the bark: all were felled after growth had ended.
const LAST_RING: i32 = 2025;

/// The stump that is read short, and the ring that its reading loses.
const READ_SHORT: (&str, u32) = ("ash-ford", 33);

/// The twelve stumps, in the order of their stems.
#[must_use]
pub fn woodlot() -> Vec<LotStump> {
    let plan = |stem, species, seed, rings, widths, cut_height_mm, thinned| Plan {
        stem,
        species,
        seed,
        rings,
        widths,
        cut_height_mm,
        thinned,
    };
    [
        plan("ash-corner", "white ash", 301, 74, (3.5, 2.2), 300.0, true),
        plan("ash-ford", "white ash", 302, 83, (3.1, 2.0), 250.0, false),
        plan("ash-wall", "white ash", 303, 66, (3.9, 2.3), 350.0, false),
        plan(
            "maple-barn",
            "sugar maple",
            311,
            92,
            (2.4, 1.6),
            300.0,
            false,
        ),
        plan("maple-gap", "sugar maple", 312, 79, (2.8, 1.7), 400.0, true),
        plan(
            "maple-spring",
            "sugar maple",
            313,
            101,
            (2.2, 1.5),
            300.0,
            false,
        ),
        plan("oak-bend", "white oak", 321, 88, (2.9, 1.9), 300.0, true),
        plan("oak-line", "white oak", 322, 112, (2.5, 1.7), 450.0, false),
        plan("oak-ridge", "white oak", 323, 97, (2.6, 1.8), 300.0, true),
        plan("oak-stile", "white oak", 324, 71, (3.2, 2.1), 250.0, false),
        plan(
            "pine-hill",
            "eastern white pine",
            331,
            68,
            (4.3, 2.6),
            300.0,
            true,
        ),
        plan(
            "pine-pond",
            "eastern white pine",
            332,
            59,
            (4.8, 2.9),
            350.0,
            false,
        ),
    ]
    .into_iter()
    .map(lot_stump)
    .collect()
}

fn lot_stump(plan: Plan) -> LotStump {
    let wood = wood::find_species(plan.species).map_or(WoodClass::Conifer, |s| s.class);
    let first_year = LAST_RING - plan.rings as i32 + 1;
    let from_ring = (THINNING_SEEN - first_year + 1).max(1) as u32;
    let steps = if plan.thinned {
        vec![GrowthStep {
            from_ring,
            to_ring: from_ring + 11,
            factor: 1.45,
        }]
    } else {
        Vec::new()
    };
    LotStump {
        stem: plan.stem,
        species: plan.species,
        felled: Felled::Month {
            year: 2025,
            month: 11,
        },
        cut_height: Mm(plan.cut_height_mm),
        memory: plan.thinned.then_some(THINNING),
        read_short_at: (plan.stem == READ_SHORT.0).then_some(READ_SHORT.1),
        recipe: Recipe {
            seed: plan.seed,
            wood,
            coloring: (plan.seed % 3) as u32,
            width_px: 1800,
            height_px: 1500,
            radius_share: 0.86,
            pith_offset: 0.03 + 0.01 * (plan.seed % 7) as f64,
            wide_side_deg: (plan.seed * 47 % 360) as f64,
            widths: widths(
                plan.seed,
                LAST_RING,
                plan.rings,
                plan.widths.0,
                plan.widths.1,
                &steps,
            ),
            troubles: Troubles {
                checks: (plan.seed % 4) as u32,
                saw_marks: 0.08,
                dust: 0.05,
                shade: 0.2,
                blur_px: 0.6,
                grain: 0.07,
                jpeg_quality: 70,
                ..Troubles::default()
            },
            ground: Ground::Grass,
            ..Recipe::default()
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::{BTreeMap, BTreeSet};

    #[test]
    fn there_are_twelve_of_four_species_and_one_is_read_short() {
        let all = woodlot();
        assert_eq!(all.len(), 12);
        let mut by_species: BTreeMap<&str, u32> = BTreeMap::new();
        for stump in &all {
            *by_species.entry(stump.species).or_default() += 1;
            let class = wood::find_species(stump.species).unwrap().class;
            assert_eq!(stump.recipe.wood, class);
        }
        assert_eq!(by_species.into_values().collect::<Vec<_>>(), [2, 3, 3, 4]);
        assert!(all.windows(2).all(|pair| pair[0].stem < pair[1].stem));
        let seeds: BTreeSet<u64> = all.iter().map(|stump| stump.recipe.seed).collect();
        assert_eq!(seeds.len(), 12);
        let short = all.iter().filter(|stump| stump.read_short_at.is_some());
        assert_eq!(short.count(), 1);
    }
}
