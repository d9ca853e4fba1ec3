//! The summary: what a tired person at the kitchen table needs to know, in
//! plain words and no more than a screen.

mod age;
mod growth;
mod hints;
mod layout;

use super::one::Done;
use layout::Sheet;
use report::direction;
use wood::{Point, Reading, RingNote, Scope, Units, WoodSource};

/// The summary of one photo, without a line end.
pub(super) fn of(done: &Done, units: Units) -> String {
    let reading = &done.reading;
    let mut sheet = Sheet::titled(&done.title().display().to_string());
    if !done.joined_from.is_empty() {
        sheet.line("Joined from", &done.joined_from.join(", "));
    }
    if let Some(refusal) = &reading.refusal {
        sheet.line("Not read", &refusal.detail);
        sheet.line("Try", &refusal.advice);
        let photo = done.title().display().to_string();
        sheet.line("Or", &by_hand(&photo));
    } else {
        sheet.line("Rings", &rings(reading));
        age::write(&mut sheet, reading, &done.facts, units);
        growth::write(&mut sheet, reading, &done.facts, units);
        if let Some(text) = wood_class(reading) {
            sheet.line("Wood", &text);
        }
        if let Some(text) = rings_to_check(reading) {
            sheet.line("Check", &text);
        }
    }
    let hints = if reading.readable {
        hints::hints(reading, &done.facts)
    } else {
        Vec::new()
    };
    for caution in &reading.cautions {
        if !hints.iter().any(|hint| hint.instead_of == caution.about) {
            sheet.line("Notes", &caution.text);
        }
    }
    for hint in &hints {
        sheet.line("To improve", hint.text);
    }
    for path in &done.written {
        sheet.line("Written", &path.display().to_string());
    }
    sheet.finish()
}

/// The other way on from a photo that was not read.
fn by_hand(photo: &str) -> String {
    format!(
        "count it by hand, with help: stumpbook desk {photo}, draw a strip from the pith to the \
         bark and set the end of each ring on it"
    )
}

/// The count, its range, and what part of the tree it covers.
fn rings(reading: &Reading) -> String {
    let Some(count) = &reading.count else {
        return "not counted".to_owned();
    };
    let range = if count.low == count.high {
        "we expect no other count".to_owned()
    } else {
        // No share of faces is named: the range is not calibrated yet.
        format!("likely between {} and {}", count.low, count.high)
    };
    let scope = match reading.scope {
        None | Some(Scope::WholeFace) => "",
        Some(Scope::RingsInView) => {
            "; only the rings in view: no bark edge was found, so the tree has more"
        }
        Some(Scope::OutsideHeart) => "; from the sound wood around the heart to the bark",
    };
    let along = reading
        .counted_along()
        .map(|along| format!(", {along}"))
        .unwrap_or_default();
    format!("{} ({range}){along}{scope}", count.best)
}

fn wood_class(reading: &Reading) -> Option<String> {
    let found = reading.wood.as_ref()?;
    Some(match found.from {
        WoodSource::Given => format!("{}, as given", found.class),
        WoodSource::Species => format!("{}, from the species", found.class),
        WoodSource::Guessed => format!("{}: a guess from the picture", found.class),
    })
}

/// Which rings to check on the stump itself, and where.
fn rings_to_check(reading: &Reading) -> Option<String> {
    /// More ring numbers than this are no help to anybody.
    const MOST: usize = 8;
    let doubtful: Vec<_> = reading
        .rings
        .iter()
        .filter(|ring| ring.is_doubtful())
        .collect();
    if doubtful.is_empty() {
        return None;
    }
    let mut names: Vec<String> = doubtful
        .iter()
        .take(MOST)
        .map(|ring| {
            let year = ring.year.map(|year| format!(" ({year})"));
            let two = if ring.notes.contains(&RingNote::MaybeTwo) {
                ", maybe two"
            } else {
                ""
            };
            format!("{}{}{two}", ring.number, year.unwrap_or_default())
        })
        .collect();
    if doubtful.len() > MOST {
        names.push(format!("{} more", doubtful.len() - MOST));
    }
    let one = doubtful.len() == 1;
    Some(format!(
        "{} {}: not sure. Rings are numbered from the pith{}",
        if one { "ring" } else { "rings" },
        names.join("; "),
        best_direction(reading)
    ))
}

/// The direction in which most rings are seen, as a person would point.
fn best_direction(reading: &Reading) -> String {
    let Some(pith) = reading.pith.as_ref() else {
        return String::new();
    };
    let steps = reading
        .rings
        .iter()
        .map(|ring| ring.outline_px.len())
        .max()
        .unwrap_or(0);
    let seen = |step: usize| {
        reading
            .rings
            .iter()
            .filter(|ring| matches!(ring.outline_px.get(step), Some(Some(_))))
            .count()
    };
    let best = (0..steps).max_by_key(|step| (seen(*step), std::cmp::Reverse(*step)));
    let place: Option<Point> = best.and_then(|step| {
        reading
            .rings
            .iter()
            .rev()
            .find_map(|ring| ring.outline_px.get(step).copied().flatten())
    });
    place.map_or_else(String::new, |place| {
        format!(
            "; they are clearest going {} from it in the photo",
            direction(place.x_px - pith.x_px.0, place.y_px - pith.y_px.0)
        )
    })
}

#[cfg(test)]
mod tests;
