//! Years the stem took to grow to the height of the cut.

use crate::estimate::{Estimate, caution};
use wood::{AgePart, AgePartKind, Caution, Mm, Species, Years, YoungGrowth};

/// The height that the table of young growth is for: one foot, 30 cm.
const TABLE_HEIGHT_MM: f64 = 300.0;

/// Lowest, usual and highest height of a stump where none was measured.
/// Common practice, no source.
const STUMP_LOW_MM: f64 = 150.0;
const STUMP_HIGH_MM: f64 = 600.0;

/// A cut at or below this height is at the ground line.
const GROUND_LINE_MM: f64 = 50.0;

/// Breast height (4.5 ft): a cut from here up is a log's end and not a stump.
const LOG_END_MM: f64 = 1370.0;

/// Height growth of a tree past breast height, in millimeters a year: fast,
/// usual and slow. Our own judgment; above breast height the power of the height
/// would run away.
const POLE_FAST: f64 = 900.0;
const POLE_USUAL: f64 = 350.0;
const POLE_SLOW: f64 = 120.0;

/// Years that a sprout from a stump or a root takes to its first foot, where
/// the species commonly sprouts. Our own judgment: sprouts of oak, ash, maple
/// or basswood pass a foot within their first summer.
const SPROUT_YEARS: f64 = 0.5;

/// Time to a height grows as a power of the height: young trees speed up.
/// Eastern white pine (13 cm at 3 years, 30 cm at 5, about 137 cm at 9, Silvics
/// figures at second hand) has 0.6 below a foot and 0.4 above; ponderosa pine
/// on dry ground goes straight up, 1.0 (Ecology 93, appendix E093-093). So the
/// fast start, the usual and the slow one:
const POWER_FAST: f64 = 0.4;
const POWER_USUAL: f64 = 0.6;
const POWER_SLOW: f64 = 1.0;

/// Low, best and high years to one foot from seed: our own judgment and not a
/// published table.
fn years_to_one_foot(young: YoungGrowth) -> (f64, f64, f64) {
    match young {
        YoungGrowth::HardPine | YoungGrowth::Pioneer => (1.0, 2.0, 3.0),
        YoungGrowth::MidSuccession => (1.0, 3.0, 5.0),
        YoungGrowth::SlowHardwood => (2.0, 4.0, 6.0),
        YoungGrowth::NaturalPine => (3.0, 4.0, 6.0),
        // Planted Douglas-fir or redwood is a foot high in two years; under
        // some shade or on poor ground it takes several.
        YoungGrowth::OpenConifer => (2.0, 4.0, 7.0),
        YoungGrowth::ShadeConifer => (4.0, 8.0, 15.0),
        // Longleaf stays in its grass stage for two years at the least and often
        // for many more (Silvics of North America, from memory).
        YoungGrowth::GrassStage => (3.0, 6.0, 12.0),
        // Any tree: from the fastest to the slower ones of the table.
        YoungGrowth::Mixed => (1.0, 4.0, 10.0),
    }
}

/// Years the stem took to reach the height of the cut, with a 90 % range.
///
/// Without a height, that of an ordinary stump is assumed, 15 to 60 cm, and a
/// caution says so. A height of no sense (below zero, not a number) counts as
/// unknown.
///
/// # Method
/// Years to one foot by group of species (our own judgment, printed as such),
/// scaled by a power of the height (see the constants) up to breast height and
/// at a steady rate above it; a cut at the ground line takes 0 to 1 year. For a
/// species that commonly sprouts the range begins with the years of a sprout.
#[must_use]
pub fn years_to_cut(height: Option<Mm>, species: Option<&Species>) -> Estimate {
    let known = height.map(|h| h.0).filter(|h| h.is_finite() && *h >= 0.0);
    let (low_1, best_1, high_1) =
        years_to_one_foot(species.map_or(YoungGrowth::Mixed, |species| species.young));
    let sprouts = species.is_some_and(|species| species.sprouts);
    let low_1 = if sprouts { SPROUT_YEARS } else { low_1 };
    let mut cautions = Vec::new();
    let (low, best, high, what) = match known {
        Some(height) if height <= GROUND_LINE_MM => (0.0, 0.5, 1.0, "cut at the ground line"),
        Some(height) => {
            let stump = height.min(LOG_END_MM);
            let above = height - stump;
            let ratio = stump / TABLE_HEIGHT_MM;
            let (fast, slow) = if ratio >= 1.0 {
                (POWER_FAST, POWER_SLOW)
            } else {
                (POWER_SLOW, POWER_FAST)
            };
            if height >= LOG_END_MM {
                cautions.push(log_end());
            }
            (
                low_1 * ratio.powf(fast) + above / POLE_FAST,
                best_1 * ratio.powf(POWER_USUAL) + above / POLE_USUAL,
                (high_1 * ratio.powf(slow)).max(1.0) + above / POLE_SLOW,
                "to the height given",
            )
        }
        None => {
            cautions.push(caution(
                "cut-height-unknown",
                "the height of the cut is not known: a stump from ankle to knee height is assumed; \
                 for a log's end higher up the tree is older",
            ));
            (
                low_1 * (STUMP_LOW_MM / TABLE_HEIGHT_MM).powf(POWER_SLOW),
                best_1,
                high_1 * (STUMP_HIGH_MM / TABLE_HEIGHT_MM).powf(POWER_SLOW),
                "to the height of an ordinary stump",
            )
        }
    };
    let whom = species.map_or("a tree of unknown kind", |s| s.name);
    let from = if sprouts { "seed or sprout" } else { "seed" };
    let part = AgePart {
        what: AgePartKind::CutHeight,
        best: Years(best),
        low: Years(low),
        high: Years(high),
        how: format!(
            "{whom} from {from}, {what}: our own judgment, not a published table; a seedling \
             kept down by shade may take decades more"
        ),
    };
    Estimate { part, cautions }
}

fn log_end() -> Caution {
    caution(
        "cut-above-stump",
        "the cut is high above the ground: the years to grow that high are uncertain; a face at \
         the stump shows the age better",
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use wood::find_species;

    fn years(height: Option<f64>, name: &str) -> (f64, f64, f64) {
        let part = years_to_cut(height.map(Mm), find_species(name).ok()).part;
        (part.low.0, part.best.0, part.high.0)
    }

    #[test]
    fn a_foot_is_as_in_the_table() {
        assert_eq!(years(Some(300.0), "loblolly pine"), (1.0, 2.0, 3.0));
        assert_eq!(years(Some(300.0), "eastern hemlock"), (4.0, 8.0, 15.0));
        assert_eq!(years(Some(300.0), "longleaf pine"), (3.0, 6.0, 12.0));
        // Not among the slow starters.
        for name in ["redwood", "baldcypress", "douglas-fir", "sitka spruce"] {
            assert!(years(Some(300.0), name).2 <= 7.0, "{name}");
        }
        assert_eq!(
            years(Some(300.0), "pine"),
            years(Some(300.0), "no such tree")
        );
    }

    #[test]
    fn a_species_that_sprouts_may_have_sprouted() {
        assert_eq!(years(Some(300.0), "red oak"), (0.5, 4.0, 6.0));
        let how = |name: &str| years_to_cut(None, find_species(name).ok()).part.how;
        assert!(how("red oak").contains("sprout"));
        assert!(!how("white spruce").contains("sprout"));
    }

    #[test]
    fn a_log_end_high_up_stays_within_reason() {
        let (low, best, high) = years(Some(6000.0), "eastern hemlock");
        assert!(
            low > 10.0 && best < 45.0 && high < 120.0,
            "{low} {best} {high}"
        );
    }

    #[test]
    fn higher_cuts_take_longer_and_are_less_certain() {
        let mut before = (0.0, 0.0, 0.0);
        for height in [60.0, 150.0, 300.0, 600.0, 1300.0, 3000.0] {
            let now = years(Some(height), "red oak");
            assert!(
                now.1 > before.1 && now.2 - now.0 >= before.2 - before.0,
                "{height}: {now:?}"
            );
            before = now;
        }
        let log = years_to_cut(Some(Mm(3000.0)), None);
        assert_eq!(log.cautions[0].about, "cut-above-stump");
    }

    #[test]
    fn the_ground_line_takes_a_year_at_most() {
        assert_eq!(years(Some(0.0), "red oak"), (0.0, 0.5, 1.0));
    }

    #[test]
    fn an_unknown_height_is_said_and_widens_the_range() {
        let unknown = years_to_cut(None, find_species("red oak").ok());
        assert_eq!(unknown.cautions[0].about, "cut-height-unknown");
        assert_eq!(years(None, "red oak"), (0.25, 4.0, 12.0));
        assert_eq!(years(Some(f64::NAN), "red oak"), years(None, "red oak"));
    }
}
