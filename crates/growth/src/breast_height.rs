//! The age at breast height, which site index and yield tables use.

use crate::years_to_cut;
use wood::{Age, AgePartKind, Mm, Species};

/// Breast height above the ground: 4.5 ft, as foresters in North America
/// measure (Europe: 1.3 m). Common practice, no source.
pub const BREAST_HEIGHT_MM: f64 = 1371.6;

/// The height of an ordinary stump where none was measured: one foot.
const ORDINARY_STUMP_MM: f64 = 300.0;

/// An age at breast height with its range, in years.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BreastHeightAge {
    /// The best estimate.
    pub best: u32,
    /// Lowest likely.
    pub low: u32,
    /// Highest likely.
    pub high: u32,
}

/// The age at breast height of a tree cut below it; `None` for a cut at or
/// above it.
///
/// # Method
/// The rings at the cut, with those missing at the pith, less the years from
/// the cut to breast height ([`years_to_cut`] for both heights). The extremes
/// are combined as they are, so the range is on the wide side. Our own
/// judgment, as the years to a height are.
#[must_use]
pub fn breast_height_age(
    age: &Age,
    cut_height: Option<Mm>,
    species: Option<&Species>,
) -> Option<BreastHeightAge> {
    let cut = cut_height.unwrap_or(Mm(ORDINARY_STUMP_MM));
    if cut.0 >= BREAST_HEIGHT_MM {
        return None;
    }
    let (to_cut, to_breast) = (
        years_to_cut(Some(cut), species).part,
        years_to_cut(Some(Mm(BREAST_HEIGHT_MM)), species).part,
    );
    let between = |breast: f64, cut: f64| (breast - cut).max(0.0);
    let at_cut = age
        .parts
        .iter()
        .filter(|p| p.what != AgePartKind::CutHeight);
    let (mut best, mut low, mut high) = (0.0, 0.0, 0.0);
    for part in at_cut {
        best += part.best.0;
        low += part.low.0;
        high += part.high.0;
    }
    let years = |value: f64| value.round().max(0.0) as u32;
    Some(BreastHeightAge {
        best: years(best - between(to_breast.best.0, to_cut.best.0)),
        low: years(low - between(to_breast.high.0, to_cut.high.0)),
        high: years(high - between(to_breast.low.0, to_cut.low.0)),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{AgeInput, age};
    use wood::{Count, find_species};

    fn of(cut: Option<f64>, name: &str) -> Option<BreastHeightAge> {
        let species = find_species(name).ok();
        let count = Count {
            best: 60,
            low: 58,
            high: 61,
            level: 0.9,
        };
        let whole = age(&AgeInput {
            count: &count,
            count_distribution: None,
            missing_pith: None,
            cut: years_to_cut(cut.map(Mm), species).part,
            as_of: None,
        });
        breast_height_age(&whole, cut.map(Mm), species)
    }

    #[test]
    fn it_is_below_the_rings_and_nearer_to_them_for_a_higher_cut() {
        let low = of(Some(200.0), "red oak").unwrap();
        let high = of(Some(900.0), "red oak").unwrap();
        assert!(low.best < high.best && high.best < 60, "{low:?} {high:?}");
        assert!(low.low <= low.best && low.best <= low.high);
    }

    #[test]
    fn a_log_cut_higher_up_has_none() {
        assert_eq!(of(Some(2000.0), "red oak"), None);
        assert!(of(None, "red oak").is_some());
    }
}
