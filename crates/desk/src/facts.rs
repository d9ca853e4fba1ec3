//! Facts as a person writes them, and notes on single years.

use crate::edit::FactName;
use crate::error::ApiError;
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use wood::{
    Facts, Felled, Hemisphere, Length, Mm, ParseFelledError, Remembered, Ring, WoodClass, Year,
};

/// A length as a person writes it.
pub(crate) fn mm(what: &str, text: &str) -> Result<Mm, ApiError> {
    text.parse::<Length>().map(Length::mm).map_err(|error| {
        // The parser's sentence ends with the accepted forms.
        let message = error.to_string();
        let (problem, forms) = message
            .rsplit_once(": write ")
            .unwrap_or((&message, "a number and its unit"));
        ApiError::invalid(problem, format!("write the {what} with its unit: {forms}"))
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
    if tomorrow().is_some_and(|latest| felled.starts_after(latest)) {
        return Err(ApiError::invalid(
            format!("{felled} is in the future"),
            "write a day as 2025-11-08, a month as 2025-11 or a year as 2025",
        ));
    }
    Ok(felled)
}

/// The day after today in UTC: it may be tomorrow already where the tree stood.
fn tomorrow() -> Option<Date> {
    let tomorrow = Timestamp::now().as_second().saturating_add(24 * 60 * 60);
    let time = Timestamp::from_second(tomorrow).ok()?;
    Some(TimeZone::UTC.to_datetime(time).date())
}

/// A year that a note can be on: among the rings where they have years, else
/// any that a living tree can have seen.
fn check_year(rings: &[Ring], year: i32) -> Result<(), ApiError> {
    /// No tree that is felled today is older (judged).
    const EARLIEST: i32 = -4000;
    let years = |ring: Option<&Ring>| ring.and_then(|ring| ring.year).map(|year| year.0);
    let now = tomorrow().map_or(i32::MAX, |day| i32::from(day.year()));
    let (first, last) = match (years(rings.first()), years(rings.last())) {
        // The year of felling has no ring of its own where it was cut in winter.
        (Some(first), Some(last)) => (first, last.saturating_add(1)),
        _ => (EARLIEST, now),
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
    let length = |what: &str| given.then(|| mm(what, text)).transpose();
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
            facts.species = species.map(|species| species.name.to_owned());
            // An earlier wood class must not win over the species set now.
            facts.wood = None;
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
            let contradicts = facts
                .species
                .as_deref()
                .and_then(|name| wood::find_species(name).ok())
                .is_some_and(|species| class.is_some_and(|class| class != species.class));
            if contradicts {
                facts.species = None;
            }
            facts.wood = class;
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
            facts.cut_height_mm = length("height of cut")?;
            "height of cut"
        }
        FactName::Across => {
            facts.across_inside_bark_mm = length("width inside the bark")?;
            "width inside the bark"
        }
        FactName::Hollow => {
            facts.hollow_radius_mm = length("radius of the hollow")?;
            "radius of the hollow"
        }
        FactName::Note => {
            facts.note = given.then(|| text.to_owned());
            "note"
        }
    };
    if let (Some(hollow), Some(across)) = (facts.hollow_radius_mm, facts.across_inside_bark_mm)
        && hollow.0 * 2.0 >= across.0
    {
        return Err(ApiError::invalid(
            "the hollow is wider than the face",
            "give its radius: from the middle to the first sound ring",
        ));
    }
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
