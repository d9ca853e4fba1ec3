//! Facts as a person writes them, and notes on single years.

use crate::error::ApiError;
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use serde::Deserialize;
use wood::{
    Facts, Felled, Hemisphere, Length, Measure, Mm, ParseFelledError, Remembered, Ring, Units,
    WoodClass, Year,
};

/// The facts that a person may enter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FactName {
    /// The common or Latin name of the species.
    Species,
    /// The wood class.
    Wood,
    /// The date of felling.
    Felled,
    /// `northern` or `southern`.
    Hemisphere,
    /// Height of the cut, with its unit.
    CutHeight,
    /// Mean width inside the bark, with its unit.
    Across,
    /// Radius of a hollow, with its unit.
    Hollow,
    /// Anything else.
    Note,
}

/// A length as a person writes it, within the range that is accepted for it.
pub(crate) fn mm(measure: Measure, text: &str) -> Result<Mm, ApiError> {
    let length = text.parse::<Length>().map_err(|error| {
        // The parser's sentence ends with the accepted forms.
        let message = error.to_string();
        let (problem, forms) = message
            .rsplit_once(": write ")
            .unwrap_or((&message, "a number and its unit"));
        ApiError::invalid(
            problem,
            format!("write {} with its unit: {forms}", measure.name()),
        )
    })?;
    measure.check(length).map_err(|error| {
        ApiError::invalid(
            error.to_string(),
            format!("correct {}, or leave it empty", measure.name()),
        )
    })
}

/// A felling date in the past, as a person writes it.
fn felled(text: &str) -> Result<Felled, ApiError> {
    let felled: Felled = text.parse().map_err(|error: ParseFelledError| {
        let message = error.to_string();
        let (problem, forms) = message
            .rsplit_once(": write ")
            .unwrap_or((&message, "a day, a month or a year"));
        ApiError::invalid(problem, format!("write {forms}; the year alone is enough"))
    })?;
    felled.not_after(today()).map_err(|error| {
        ApiError::invalid(
            error.to_string(),
            "write a day as 2025-11-08, a month as 2025-11 or a year as 2025",
        )
    })
}

/// Today in UTC.
fn today() -> Date {
    TimeZone::UTC.to_datetime(Timestamp::now()).date()
}

/// A year that a note can be on: among the rings where they have years, else
/// any that a living tree can have seen.
fn check_year(rings: &[Ring], year: i32) -> Result<(), ApiError> {
    let years = |ring: Option<&Ring>| ring.and_then(|ring| ring.year).map(|year| year.0);
    let (first, last) = match (years(rings.first()), years(rings.last())) {
        // The year of felling has no ring of its own where it was cut in winter.
        (Some(first), Some(last)) => (first, last.saturating_add(1)),
        _ => (Year::FIRST_REMEMBERED.0, i32::from(today().year())),
    };
    if (first..=last).contains(&year) {
        return Ok(());
    }
    Err(ApiError::invalid(
        format!(
            "{year} is not a year of this tree: the years that can have a note are {first} to {last}"
        ),
        "write one of these; correct the felling date first if it is wrong",
    ))
}

/// Sets a fact, or clears it where there is no text.
pub(crate) fn set_fact(facts: &mut Facts, name: FactName, text: &str) -> Result<String, ApiError> {
    let given = !text.is_empty();
    let length = |measure| given.then(|| mm(measure, text)).transpose();
    let what = match name {
        FactName::Species => {
            let species = given
                .then(|| wood::find_species(text))
                .transpose()
                .map_err(|error| {
                    ApiError::invalid(
                        error.to_string(),
                        "choose one from the list, or set the wood class",
                    )
                })?;
            facts.set_species(species);
            "species"
        }
        FactName::Wood => {
            let class = given
                .then(|| {
                    WoodClass::ALL
                        .into_iter()
                        .find(|class| class.name() == text)
                        .ok_or_else(|| {
                            ApiError::invalid(
                                format!("\"{text}\" is not a wood class"),
                                "choose one from the list",
                            )
                        })
                })
                .transpose()?;
            facts.set_wood(class);
            "wood class"
        }
        FactName::Felled => {
            facts.felled = given.then(|| felled(text)).transpose()?;
            "felling date"
        }
        FactName::Hemisphere => {
            facts.hemisphere = if text == "southern" {
                Hemisphere::Southern
            } else {
                Hemisphere::Northern
            };
            "hemisphere"
        }
        FactName::CutHeight => {
            facts.cut_height_mm = length(Measure::CutHeight)?;
            "height of cut"
        }
        FactName::Across => {
            facts.across_inside_bark_mm = length(Measure::Across)?;
            "width inside the bark"
        }
        FactName::Hollow => {
            facts.hollow_radius_mm = length(Measure::Hollow)?;
            "radius of the hollow"
        }
        FactName::Note => {
            facts.note = given.then(|| text.to_owned());
            "note"
        }
    };
    facts.fit(Units::Inch).map_err(|error| {
        ApiError::invalid(
            error.to_string(),
            "give its radius: from the middle to the first sound ring",
        )
    })?;
    Ok(format!(
        "the {what} {}",
        if given { "set" } else { "cleared" }
    ))
}

/// Notes what is remembered of a year, or removes the note.
pub(crate) fn remember(
    facts: &mut Facts,
    rings: &[Ring],
    year: i32,
    what: &str,
) -> Result<String, ApiError> {
    const LONGEST: usize = 80;
    if what.chars().count() > LONGEST {
        return Err(ApiError::invalid(
            format!("that is more than {LONGEST} characters"),
            "write it in a few words; the note under the facts has room for more",
        ));
    }
    facts.remembered.retain(|known| known.year != Year(year));
    if what.is_empty() {
        return Ok(format!("the note on {year} removed"));
    }
    check_year(rings, year)?;
    facts.remembered.push(Remembered {
        year: Year(year),
        what: what.to_owned(),
    });
    facts.remembered.sort_by_key(|known| known.year);
    Ok(format!("a note on {year} added"))
}
