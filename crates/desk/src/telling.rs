//! Facts as a person writes them, and what is remembered of years.

use crate::edit::FactName;
use crate::fault::Fault;
use jiff::Timestamp;
use jiff::tz::TimeZone;
use wood::{Facts, Felled, Hemisphere, Length, Mm, ParseFelledError, Remembered, WoodClass, Year};

/// A length as a person writes it.
pub(crate) fn mm(what: &str, text: &str) -> Result<Mm, Fault> {
    text.parse::<Length>().map(Length::mm).map_err(|error| {
        Fault::wrong(
            error.to_string(),
            format!("write the {what} with its unit, as in 24in or 61cm"),
        )
    })
}

/// A day of felling that has been, as a person writes it.
fn felled(text: &str) -> Result<Felled, Fault> {
    let felled: Felled = text.parse().map_err(|error: ParseFelledError| {
        Fault::wrong(error.to_string(), "the year alone is enough")
    })?;
    // One day of grace: it may be tomorrow already where the tree stood.
    let tomorrow = Timestamp::now().as_second().saturating_add(24 * 60 * 60);
    let latest =
        Timestamp::from_second(tomorrow).map(|time| TimeZone::UTC.to_datetime(time).date());
    if latest.is_ok_and(|latest| felled.starts_after(latest)) {
        return Err(Fault::wrong(
            format!("{felled} is still to come"),
            "write a day as 2025-11-08, a month as 2025-11 or a year as 2025",
        ));
    }
    Ok(felled)
}

/// Tells a fact, or takes it back.
pub(crate) fn tell(facts: &mut Facts, name: FactName, text: &str) -> Result<String, Fault> {
    let given = !text.is_empty();
    let length = |what: &str| given.then(|| mm(what, text)).transpose();
    let what = match name {
        FactName::Species => {
            let species = given
                .then(|| wood::find_species(text))
                .transpose()
                .map_err(|error| {
                    Fault::wrong(
                        error.to_string(),
                        "choose one from the list, or tell the wood class",
                    )
                })?;
            facts.species = species.map(|species| species.name.to_owned());
            // An earlier class must not outvote the species told now.
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
                            Fault::wrong(
                                format!("\"{text}\" is no wood class"),
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
            "date of felling"
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
        return Err(Fault::wrong(
            "the hollow does not fit in the face",
            "give its radius: from the middle to the first sound ring",
        ));
    }
    Ok(format!(
        "the {what} {}",
        if given { "told" } else { "taken back" }
    ))
}

/// Notes what is remembered of a year, or forgets it.
pub(crate) fn remember(facts: &mut Facts, year: i32, what: &str) -> Result<String, Fault> {
    const LONGEST: usize = 80;
    if what.chars().count() > LONGEST {
        return Err(Fault::wrong(
            format!("that is more than {LONGEST} letters"),
            "write it in a few words; the note has room for more",
        ));
    }
    facts.remembered.retain(|known| known.year != Year(year));
    if what.is_empty() {
        return Ok(format!("what was remembered of {year} forgotten"));
    }
    facts.remembered.push(Remembered {
        year: Year(year),
        what: what.to_owned(),
    });
    facts.remembered.sort_by_key(|known| known.year);
    Ok(format!("{year} remembered"))
}
