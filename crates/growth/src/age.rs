//! The age of the tree: rings counted, rings missing, years to the cut.

use crate::spread::Spread;
use wood::{Age, AgePart, AgePartKind, Count, Year, Years};

/// The share of trees on which an age's range should hold the truth.
pub const LEVEL: f64 = 0.9;

/// What an age is made from.
#[derive(Debug, Clone)]
pub struct AgeInput<'a> {
    /// The rings counted; its range is taken as one of 90 %.
    pub count: &'a Count,
    /// The chance of each count, where it is known; else the count's range
    /// stands for it.
    pub count_distribution: Option<&'a [(u32, f64)]>,
    /// Rings that a missing pith took with it.
    pub missing_pith: Option<AgePart>,
    /// Years to the height of the cut.
    pub cut: AgePart,
    /// The year of the outermost ring.
    pub as_of: Option<Year>,
}

/// The age with its 90 % range.
///
/// # Method
/// Each part is a distribution whose median is its best value and of which 5 %
/// are below its low and above its high value. The parts are taken as
/// independent and added as distributions: the range is from the 5 % to the
/// 95 % quantile of the sum, narrower than the sum of the extremes. Best is
/// the median of the sum; with skewed parts it may differ by a year from the
/// sum of the parts' best values.
#[must_use]
pub fn age(input: &AgeInput<'_>) -> Age {
    let count = input.count;
    let rings = AgePart {
        what: AgePartKind::Rings,
        best: Years(f64::from(count.best)),
        low: Years(f64::from(count.low.min(count.best))),
        high: Years(f64::from(count.high.max(count.best))),
        how: "rings counted on the face".to_owned(),
    };
    let counted = input
        .count_distribution
        .and_then(Spread::from_chances)
        .unwrap_or_else(|| of_part(&rings));
    let mut parts = vec![rings];
    let mut sum = counted;
    for part in input.missing_pith.iter().chain([&input.cut]) {
        sum = sum.plus(&of_part(part));
        parts.push(part.clone());
    }
    let whole_years = |share: f64| sum.quantile(share).round() as u32;
    let tail = (1.0 - LEVEL) / 2.0;
    Age {
        best: whole_years(0.5),
        low: whole_years(tail),
        high: whole_years(1.0 - tail),
        level: LEVEL,
        parts,
        as_of: input.as_of,
    }
}

/// How likely each age in whole years is, from its parts alone: ages in rising
/// order with chances that add up to 1; empty without parts.
///
/// # Method
/// As in [`age`], each part's range standing for its distribution; where the
/// age was made from the count's own chances, this is a little smoother.
#[must_use]
pub fn age_chances(parts: &[AgePart]) -> Vec<(u32, f64)> {
    let Some((first, others)) = parts.split_first() else {
        return Vec::new();
    };
    others
        .iter()
        .fold(of_part(first), |sum, part| sum.plus(&of_part(part)))
        .by_whole_years()
}

fn of_part(part: &AgePart) -> Spread {
    Spread::from_range(part.low.0, part.best.0, part.high.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::years_to_cut;
    use wood::{Mm, find_species};

    fn count(low: u32, best: u32, high: u32) -> Count {
        Count {
            best,
            low,
            high,
            level: LEVEL,
        }
    }

    fn part(what: AgePartKind, low: f64, best: f64, high: f64) -> AgePart {
        AgePart {
            what,
            best: Years(best),
            low: Years(low),
            high: Years(high),
            how: String::new(),
        }
    }

    #[test]
    fn certain_parts_add_up_exactly() {
        let age = age(&AgeInput {
            count: &count(87, 87, 87),
            count_distribution: None,
            missing_pith: Some(part(AgePartKind::MissingPith, 10.0, 10.0, 10.0)),
            cut: part(AgePartKind::CutHeight, 4.0, 4.0, 4.0),
            as_of: Some(Year(2024)),
        });
        assert_eq!((age.low, age.best, age.high), (101, 101, 101));
        assert_eq!(age.parts.len(), 3);
        assert_eq!(age.as_of, Some(Year(2024)));
    }

    #[test]
    fn a_known_distribution_of_the_count_is_used() {
        let chances = [(40, 0.1), (41, 0.8), (42, 0.1)];
        let input = AgeInput {
            count: &count(30, 41, 60),
            count_distribution: Some(&chances),
            missing_pith: None,
            cut: part(AgePartKind::CutHeight, 0.0, 0.0, 0.0),
            as_of: None,
        };
        let age = age(&input);
        assert_eq!((age.low, age.best, age.high), (40, 41, 42));
    }

    #[test]
    fn chances_of_whole_years_add_up_and_center_on_the_best() {
        let parts = [
            part(AgePartKind::Rings, 69.0, 73.0, 77.0),
            part(AgePartKind::CutHeight, 1.0, 3.0, 5.0),
        ];
        let chances = age_chances(&parts);
        let sum: f64 = chances.iter().map(|(_, chance)| chance).sum();
        assert!((sum - 1.0).abs() < 1e-9);
        let best = chances.iter().max_by(|a, b| a.1.total_cmp(&b.1)).unwrap();
        assert_eq!(best.0, 76);
        assert!(age_chances(&[]).is_empty());
    }

    #[test]
    fn an_oak_of_68_rings_cut_just_above_the_flare_is_70_to_80_years() {
        // Common practice, no source: 68 rings on a face 24 inches inside the
        // bark, cut just above the stump flare, is called 70 to 80 years. A sprout
        // may be a year or two younger.
        let cut = years_to_cut(None, find_species("red oak").ok()).part;
        let age = age(&AgeInput {
            count: &count(67, 68, 69),
            count_distribution: None,
            missing_pith: None,
            cut,
            as_of: None,
        });
        assert!((68..=71).contains(&age.low), "{age:?}");
        assert!((76..=80).contains(&age.high), "{age:?}");
        // With the height measured as well, the range closes within it.
        let cut = years_to_cut(Some(Mm(450.0)), find_species("red oak").ok()).part;
        let measured = super::age(&AgeInput {
            count: &count(67, 68, 69),
            count_distribution: None,
            missing_pith: None,
            cut,
            as_of: None,
        });
        assert!(
            measured.low >= age.low && measured.high <= age.high,
            "{measured:?}"
        );
    }
}
