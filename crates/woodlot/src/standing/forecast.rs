//! Ages and years from the curves of counted stumps, with their range.

use super::curve::Curve;
use super::student::point_95;
use std::collections::BTreeMap;
use wood::{Mm, Years};

/// Fewest counted stumps of a species for an answer.
const FEWEST_STUMPS: usize = 3;

/// Fewest of them when one is left out to see the error.
const FEWEST_WITH_ONE_OUT: usize = 2;

/// What is asked of a standing tree.
#[derive(Debug, Clone, PartialEq)]
pub struct StandingQuestion<'a> {
    /// Its species.
    pub species: &'a str,
    /// Its diameter at breast height, outside bark.
    pub breast_height: Mm,
}

/// A number of years and its range, which should hold the truth 9 times in 10.
#[derive(Debug, Clone, PartialEq)]
pub struct Standing {
    /// Best value.
    pub best: Years,
    /// Lowest likely value.
    pub low: Years,
    /// Highest likely value.
    pub high: Years,
    /// Counted stumps of the species that it rests on.
    pub stumps: usize,
    /// Of those, the ones whose curve had to be carried on beyond its rings.
    pub beyond: Vec<String>,
    /// Counted stumps of the species that were never so thick. They are not in
    /// the answer, which therefore leans toward the faster trees.
    pub thinner: Vec<String>,
}

/// Why no answer is given.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum StandingError {
    /// Too few stumps of the species were counted.
    #[error(
        "only {found} counted stump(s) of {species} with scale, pith and bark; an answer needs {FEWEST_STUMPS}"
    )]
    TooFew {
        /// The species.
        species: String,
        /// How many there are.
        found: usize,
    },
    /// Too few of them were ever as thick.
    #[error(
        "only {found} counted stump(s) of {species} grew to {:.0} mm at breast height; an answer needs {FEWEST_STUMPS}",
        size.0
    )]
    TooThick {
        /// The species.
        species: String,
        /// The size asked for.
        size: Mm,
        /// How many were as thick.
        found: usize,
    },
    /// The size to reach is not above the size now.
    #[error("the tree has that size already")]
    ReachedAlready,
}

impl StandingError {
    /// What to do about it.
    #[must_use]
    pub fn advice(&self) -> String {
        match self {
            Self::TooFew { species, .. } => format!(
                "count more stumps of {species} from this woodlot, with --across or --tape and the height of the cut; or ask with --any-species, which is rougher"
            ),
            Self::TooThick { .. } => {
                "ask for a smaller diameter, or count larger stumps of this woodlot".to_owned()
            }
            Self::ReachedAlready => "give a larger size with --reach".to_owned(),
        }
    }
}

/// What leaving out one counted stump shows: its own age against the answer
/// that the others give for its size.
#[derive(Debug, Clone, PartialEq)]
pub struct LeftOut {
    /// The stump left out.
    pub name: String,
    /// Its species.
    pub species: String,
    /// The size it was asked for: the largest that all of its species reached,
    /// so that slow trees are not missing among the others.
    pub breast_height: Mm,
    /// Its own age at that size.
    pub age: Years,
    /// What the others say.
    pub said: Standing,
}

impl LeftOut {
    /// Whether its own age is in the range.
    #[must_use]
    pub fn held(&self) -> bool {
        (self.said.low.0..=self.said.high.0).contains(&self.age.0)
    }

    /// Answer over truth, less one.
    #[must_use]
    pub fn error_share(&self) -> f64 {
        self.said.best.0 / self.age.0 - 1.0
    }
}

/// The likely age, from the seed, of a standing tree.
///
/// # Errors
/// With fewer than three counted stumps of the species that were as thick.
///
/// # Method
/// Our own. Each counted stump of the species gives the age at which it had
/// that diameter. Ages differ by shares and not by years, so their logarithms
/// are averaged. The spread is pooled over all species of the woodlot, each
/// around its own mean (one-way analysis of variance), because a few
/// stumps alone would not show it; a species of which not all grew so thick is
/// evaluated where all did, or its slow trees would be missing; the range is mean ± t₉₅ s √(1 + 1/n), with the degrees of
/// freedom of the pooled spread. [`left_out`] measures how well that holds.
pub fn standing_age(
    curves: &[Curve],
    question: &StandingQuestion<'_>,
) -> Result<Standing, StandingError> {
    answer(
        curves,
        question.species,
        question.breast_height,
        FEWEST_STUMPS,
        |curve, share| curve.age_at(question.breast_height * share),
    )
}

/// The years a standing tree will likely take to reach a size, if it goes on
/// as the counted stumps went on from its size now.
///
/// # Errors
/// As for [`standing_age`], and when the tree has the size already.
pub fn years_to_size(
    curves: &[Curve],
    question: &StandingQuestion<'_>,
    size: Mm,
) -> Result<Standing, StandingError> {
    if size.0 <= question.breast_height.0 {
        return Err(StandingError::ReachedAlready);
    }
    answer(
        curves,
        question.species,
        size,
        FEWEST_STUMPS,
        |curve, share| {
            let (now, _) = curve.age_at(question.breast_height * share)?;
            let (then, beyond) = curve.age_at(size * share)?;
            Some((Years(then.0 - now.0), beyond))
        },
    )
}

/// Each counted stump predicted from the others: those of species with at least
/// three curves.
#[must_use]
pub fn left_out(curves: &[Curve]) -> Vec<LeftOut> {
    let mut all = Vec::new();
    for (index, out) in curves.iter().enumerate() {
        let mut others = curves.to_vec();
        others.remove(index);
        let reached: Vec<f64> = others
            .iter()
            .filter(|other| other.species == out.species)
            .map(|other| other.largest().0)
            .collect();
        if reached.len() < FEWEST_WITH_ONE_OUT {
            continue;
        }
        let size = Mm(reached.iter().copied().fold(out.largest().0, f64::min));
        let said = answer(
            &others,
            &out.species,
            size,
            FEWEST_WITH_ONE_OUT,
            |curve, share| curve.age_at(size * share),
        );
        if let (Ok(said), Some((age, _))) = (said, out.age_at(size)) {
            all.push(LeftOut {
                name: out.name.clone(),
                species: out.species.clone(),
                breast_height: size,
                age,
                said,
            });
        }
    }
    all
}

/// The answer for a size; `years` gives those of a curve at a share of the sizes
/// asked for.
fn answer(
    curves: &[Curve],
    species: &str,
    size: Mm,
    fewest: usize,
    years: impl Fn(&Curve, f64) -> Option<(Years, bool)>,
) -> Result<Standing, StandingError> {
    let of_species = curves.iter().filter(|c| c.species == species).count();
    if of_species < fewest {
        return Err(StandingError::TooFew {
            species: species.to_owned(),
            found: of_species,
        });
    }
    let mut by_species: BTreeMap<&str, Vec<&Curve>> = BTreeMap::new();
    for curve in curves {
        by_species.entry(&curve.species).or_default().push(curve);
    }
    let (mut squares, mut freedom) = (0.0, 0);
    let mut mine = Vec::new();
    let (mut beyond, mut thinner) = (Vec::new(), Vec::new());
    for (name, curves) in &by_species {
        let all_reached = curves
            .iter()
            .map(|c| c.largest().0)
            .fold(f64::MAX, f64::min);
        let share = (all_reached / size.0).min(1.0);
        let spread: Vec<f64> = curves
            .iter()
            .filter_map(|curve| years(curve, share).map(|(years, _)| years.0))
            .filter(|years| *years > 0.0)
            .map(f64::ln)
            .collect();
        let middle = mean(&spread);
        squares += spread.iter().map(|log| (log - middle).powi(2)).sum::<f64>();
        freedom += spread.len().saturating_sub(1);
        if *name != species {
            continue;
        }
        for curve in curves {
            match years(curve, 1.0).filter(|(years, _)| years.0 > 0.0) {
                Some((years, is_beyond)) => {
                    mine.push(years.0.ln());
                    if is_beyond {
                        beyond.push(curve.name.clone());
                    }
                }
                None => thinner.push(curve.name.clone()),
            }
        }
    }
    let too_thick = StandingError::TooThick {
        species: species.to_owned(),
        size,
        found: mine.len(),
    };
    if mine.len() < fewest {
        return Err(too_thick);
    }
    let Some(point) = point_95(freedom) else {
        return Err(too_thick);
    };
    let n = mine.len() as f64;
    let spread = (squares / freedom as f64).sqrt();
    let middle = mean(&mine);
    let reach = point * spread * (1.0 + 1.0 / n).sqrt();
    Ok(Standing {
        best: Years(middle.exp()),
        low: Years((middle - reach).exp()),
        high: Years((middle + reach).exp()),
        stumps: mine.len(),
        beyond,
        thinner,
    })
}

fn mean(logs: &[f64]) -> f64 {
    logs.iter().sum::<f64>() / logs.len().max(1) as f64
}
