//! The facts of a stump as a table.

use crate::words::{capital, diameter, height, pace, spoken_date};
use wood::{
    EventKind, Facts, Hemisphere, PithSource, Reading, Scale, ScaleSource, Scope, Units, WoodFound,
    WoodSource,
};

/// Name and value of each, in the order of a form.
pub(super) fn table(reading: &Reading, facts: &Facts, units: Units) -> Vec<(&'static str, String)> {
    let not_told = || "not told".to_owned();
    let mut rows = vec![
        (
            "Species",
            facts.species.as_deref().map_or_else(not_told, capital),
        ),
        (
            "Wood",
            reading.wood.as_ref().map_or_else(not_told, wood_class),
        ),
        ("Felled", facts.felled.map_or_else(not_told, spoken_date)),
        (
            "Height of cut",
            facts
                .cut_height_mm
                .map_or_else(not_told, |at| height(at, units)),
        ),
    ];
    if facts.hemisphere == Hemisphere::Southern {
        rows.push(("Grew", "south of the equator".to_owned()));
    }
    if let Some(hollow) = facts.hollow_radius_mm {
        rows.push((
            "Hollow heart",
            format!("{} in radius", diameter(hollow, units)),
        ));
    }
    if let Some(count) = &reading.count {
        rows.push((
            "Rings",
            format!("{}, likely {} to {}", count.best, count.low, count.high),
        ));
    }
    rows.push(("Seen", scope(reading).to_owned()));
    if let Some(radius) = reading.rings.last().and_then(|ring| ring.radius_mm) {
        let across = diameter(radius * 2.0, units);
        rows.push((
            "Across, inside bark",
            format!("{across}, mean of all directions"),
        ));
    }
    if let Some(figures) = &reading.figures {
        if let Some(width) = figures.mean_width_mm {
            rows.push(("Mean growth", pace(width, units)));
        }
        rows.push((
            "Ring to ring",
            format!(
                "sensitivity {:.2}, variation {:.2}, memory {:.2}",
                figures.mean_sensitivity, figures.variation, figures.autocorrelation
            ),
        ));
    }
    for event in &reading.events {
        let what = match event.kind {
            EventKind::Release => "Grew faster",
            EventKind::Suppression => "Grew slower",
        };
        let when = event
            .year
            .map_or_else(|| format!("ring {}", event.ring), |year| year.to_string());
        rows.push((
            what,
            format!("after {when}, {:+.0} %", event.change_percent),
        ));
    }
    rows.push(("Scale", reading.scale.as_ref().map_or_else(not_told, scale)));
    rows.push((
        "Photo",
        format!(
            "{}, {} by {} pixels",
            reading.photo.file, reading.photo.width_px, reading.photo.height_px
        ),
    ));
    let print: String = reading.photo.sha256.chars().take(12).collect();
    rows.push(("Photo's mark", format!("{print} (first of its SHA-256)")));
    if let Some(note) = facts.note.as_deref().filter(|note| !note.trim().is_empty()) {
        rows.push(("Note", note.trim().to_owned()));
    }
    rows
}

fn wood_class(found: &WoodFound) -> String {
    match found.from {
        WoodSource::Given => format!("{}, as told", found.class),
        WoodSource::Species => format!("{}, from the species", found.class),
        WoodSource::Guessed => format!("{}, a guess from the picture", found.class),
    }
}

fn scope(reading: &Reading) -> &'static str {
    match (reading.scope, reading.pith.as_ref().map(|pith| pith.from)) {
        (Some(Scope::RingsInView), _) => "part of the face; no bark edge",
        (Some(Scope::OutsideHeart), _) => "from the sound wood outside the heart to the bark",
        (_, Some(PithSource::Outside)) => "to the bark; the pith lies outside the photo",
        (Some(Scope::WholeFace), _) => "the whole face, from pith to bark",
        (None, _) => "nothing that could be read",
    }
}

/// Where the scale came from and how sure it is.
pub(super) fn scale(scale: &Scale) -> String {
    let from = match scale.from {
        ScaleSource::Tape => "from a tape in the photo",
        ScaleSource::Across => "from the width told",
        ScaleSource::Card => "from the scale card in the photo",
    };
    let doubt = crate::words::percent(scale.uncertainty);
    // Twice the standard deviation would promise more than is known.
    format!("{from}, give or take {doubt}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use wood::MmPerPx;

    #[test]
    fn a_scale_says_where_it_is_from_and_how_sure() {
        let said = scale(&Scale {
            mm_per_px: MmPerPx(0.2),
            from: ScaleSource::Across,
            uncertainty: 0.015,
        });
        assert_eq!(said, "from the width told, give or take 2 percent");
    }
}
