//! The age in words, and part by part where it comes from.

use crate::words::{capital, height, spoken_date, years};
use wood::{AgePart, AgePartKind, Facts, Reading, Scope, Units};

/// The age as a sheet tells it.
#[derive(Debug)]
pub(crate) struct AgeWords {
    /// "about 76 years", or what can be said in its place.
    pub(crate) headline: String,
    /// "between 72 and 81".
    pub(crate) range: Option<String>,
    /// For what day it is told, or why there is no age.
    pub(crate) when: String,
    /// The parts, to be read as an addition.
    pub(crate) parts: Vec<Part>,
    /// Said below the parts where the sum is not that of their best values.
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
        let parts: Vec<Part> = age.parts.iter().map(|p| part(p, facts, units)).collect();
        let added: f64 = age.parts.iter().map(|part| part.best.0.round()).sum();
        let sum = (age.parts.len() > 1).then(|| {
            let because = if (added - f64::from(age.best)).abs() > 0.5 {
                "; the best of a sum may differ by a year or so from the sum of the bests"
            } else {
                ""
            };
            format!("together about {} years{because}", age.best)
        });
        Self {
            headline: format!("about {} years", age.best),
            range: (age.low != age.high).then(|| format!("between {} and {}", age.low, age.high)),
            when,
            parts,
            sum,
        }
    }

    /// What is said where the age cannot be told.
    fn none(reading: &Reading) -> Self {
        let (headline, when) = match &reading.count {
            Some(count) if reading.scope == Some(Scope::RingsInView) => (
                format!("more than {} years", count.low),
                format!(
                    "{} rings are in view, but no bark edge was found: the tree was older, and by \
                     how much cannot be told from this photo",
                    count.best
                ),
            ),
            Some(count) => (
                format!("{} rings", count.best),
                "an age could not be reckoned from them".to_owned(),
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

fn part(part: &AgePart, facts: &Facts, units: Units) -> Part {
    let (what, plus) = match part.what {
        AgePartKind::Rings => ("rings counted", ""),
        AgePartKind::MissingPith => ("for rings that the face does not show", "+ "),
        AgePartKind::CutHeight => ("to grow to the height of the cut", "+ "),
    };
    let (best, low, high) = (years(part.best.0), years(part.low.0), years(part.high.0));
    // The long form stands in the reading; here what was assumed is enough.
    let how = match part.what {
        AgePartKind::Rings => String::new(),
        AgePartKind::CutHeight => to_the_cut(facts, units),
        AgePartKind::MissingPith => {
            let assumed = part.how.split([':', ';']).next().unwrap_or_default();
            assumed.trim().to_owned()
        }
    };
    Part {
        years: format!("{plus}{best}"),
        range: (low != high).then(|| format!("{low} to {high}")),
        what,
        how,
    }
}

/// What the years to the cut stand for, in the person's units.
fn to_the_cut(facts: &Facts, units: Units) -> String {
    let who = facts
        .species
        .as_deref()
        .map_or_else(|| "A tree of unknown kind".to_owned(), capital);
    match facts.cut_height_mm {
        Some(cut) => format!("{who} from seed, to {}", height(cut, units)),
        None => format!("{who} from seed, to an ordinary stump; height not measured"),
    }
}
