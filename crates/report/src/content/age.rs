//! The age in words, and part by part where it comes from.

use crate::words::{capital, height, spoken_date, years};
use wood::{AgePart, AgePartKind, Facts, Reading, Scope, Units};

/// The age as a sheet gives it.
#[derive(Debug)]
pub(crate) struct AgeWords {
    /// "about 76 years", or what can be said in its place.
    pub(crate) headline: String,
    /// "between 72 and 81".
    pub(crate) range: Option<String>,
    /// The day it is for, or why there is no age.
    pub(crate) when: String,
    /// The parts, to be read as an addition.
    pub(crate) parts: Vec<Part>,
    /// The total, below the parts.
    pub(crate) sum: Option<String>,
}

/// One part of the age.
#[derive(Debug)]
pub(crate) struct Part {
    /// Its best value, with a plus sign after the first.
    pub(crate) years: String,
    /// Its range, where it has one.
    pub(crate) range: Option<String>,
    /// What it is.
    pub(crate) what: &'static str,
    /// How it was found.
    pub(crate) how: String,
}

impl AgeWords {
    pub(super) fn of(reading: &Reading, facts: &Facts, units: Units) -> Self {
        let Some(age) = &reading.age else {
            return Self::none(reading);
        };
        let when = match (facts.felled, age.as_of) {
            (Some(felled), _) => format!("when felled, {}", spoken_date(felled)),
            (None, Some(year)) => format!("in {year}"),
            (None, None) => "when felled".to_owned(),
        };
        let parts: Vec<Part> = age
            .parts
            .iter()
            .map(|p| part(p, reading.counted_along(), facts, units))
            .collect();
        let added: f64 = age.parts.iter().map(|part| part.best.0.round()).sum();
        let sum = (age.parts.len() > 1).then(|| {
            let rounded = if (added - f64::from(age.best)).abs() > 0.5 {
                " (Rounded: the parts may not add up exactly.)"
            } else {
                ""
            };
            format!("Total: about {} years.{rounded}", age.best)
        });
        Self {
            headline: format!("about {} years", age.best),
            range: (age.low != age.high).then(|| format!("between {} and {}", age.low, age.high)),
            when,
            parts,
            sum,
        }
    }

    /// What a sheet says where there is no age.
    fn none(reading: &Reading) -> Self {
        let (headline, when) = match &reading.count {
            Some(count)
                if reading.scope == Some(Scope::RingsInView)
                    && reading.strip.as_ref().is_some_and(|strip| strip.by_hand) =>
            {
                (
                    format!("more than {} years", count.low),
                    format!(
                        "{} rings were set by hand, and they do not reach the bark: the tree was older",
                        count.best
                    ),
                )
            }
            Some(count) if reading.scope == Some(Scope::RingsInView) => (
                format!("more than {} years", count.low),
                format!(
                    "{} rings are in view, but no bark edge was found: the tree was older, and \
                     this photo does not show by how much",
                    count.best
                ),
            ),
            Some(count) => (
                format!("{} rings", count.best),
                "not enough is known to estimate an age from them".to_owned(),
            ),
            None => (
                "age not known".to_owned(),
                "no rings could be read on this photo".to_owned(),
            ),
        };
        Self {
            headline,
            range: None,
            when,
            parts: Vec::new(),
            sum: None,
        }
    }
}

fn part(part: &AgePart, along: Option<&str>, facts: &Facts, units: Units) -> Part {
    let (what, plus) = match part.what {
        AgePartKind::Rings => ("rings counted", ""),
        AgePartKind::MissingPith => ("for rings that the face does not show", "+ "),
        AgePartKind::CutHeight => ("to grow to the height of the cut", "+ "),
    };
    let (best, low, high) = (years(part.best.0), years(part.low.0), years(part.high.0));
    let how = match part.what {
        AgePartKind::Rings => along.unwrap_or_default().to_owned(),
        AgePartKind::CutHeight => to_the_cut(facts, units),
        AgePartKind::MissingPith => "estimated from the innermost sound rings".to_owned(),
    };
    Part {
        years: format!("{plus}{best}"),
        range: (low != high).then(|| format!("{low} to {high}")),
        what,
        how,
    }
}

/// What the years to the cut are for, in the person's units.
fn to_the_cut(facts: &Facts, units: Units) -> String {
    let who = facts
        .species
        .as_deref()
        .map_or_else(|| "A tree of unknown species".to_owned(), capital);
    match (facts.cut_height_mm, units) {
        (Some(cut), _) => format!("{who} from seed to {}", height(cut, units)),
        (None, Units::Inch) => format!("{who} from seed, assuming a stump 6 to 24 in high"),
        (None, Units::Metric) => format!("{who} from seed, assuming a stump 15 to 60 cm high"),
    }
}
