//! The facts of a stump as a table.

use crate::findings::Series;
use crate::words::{capital, diameter, direction, height, pace, spoken_date};
use growth::radii::{Radius, compare, long_and_short_way};
use growth::series::{rings_in_outer, schneider_percent};
use wood::{
    EventKind, Facts, Hemisphere, Mm, PithSource, Reading, Scale, ScaleSource, Scope, Units,
    WoodFound, WoodSource, find_species,
};

/// Name and value of each, in the order of a form.
pub(super) fn table(reading: &Reading, facts: &Facts, units: Units) -> Vec<(&'static str, String)> {
    let not_given = || "not given".to_owned();
    let mut rows = vec![
        (
            "Species",
            facts.species.as_deref().map_or_else(not_given, capital),
        ),
        (
            "Wood",
            reading.wood.as_ref().map_or_else(not_given, wood_class),
        ),
        ("Felled", facts.felled.map_or_else(not_given, spoken_date)),
        (
            "Height of cut",
            facts
                .cut_height_mm
                .map_or_else(not_given, |at| height(at, units)),
        ),
    ];
    for (name, value) in [
        ("Tag", &facts.tag),
        ("Place", &facts.place),
        ("Owner", &facts.owner),
        ("Counted by", &facts.counted_by),
    ] {
        if let Some(value) = value.as_deref().map(str::trim).filter(|v| !v.is_empty()) {
            rows.push((name, value.to_owned()));
        }
    }
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
        let mut rings = if count.low == count.high {
            count.best.to_string()
        } else {
            format!("{}, likely {} to {}", count.best, count.low, count.high)
        };
        if let Some(along) = reading.counted_along() {
            rings = format!("{rings}; {along}");
        }
        rows.push(("Rings", rings));
    }
    rows.push(("In the photo", scope(reading).to_owned()));
    rows.extend(at_breast_height(reading, facts, units));
    if let Some(radius) = reading.rings.last().and_then(|ring| ring.radius_mm) {
        let across = diameter(radius * 2.0, units);
        let (name, of) = if reading.scope == Some(Scope::RingsInView) {
            ("Across, outermost ring", "mean of the directions in view")
        } else {
            ("Across, inside bark", "mean of all directions")
        };
        let of = if reading.strip.is_some() {
            "twice the radius along the strip"
        } else {
            of
        };
        rows.push((name, format!("{across}, {of}")));
    }
    rows.extend(two_radii(reading, units));
    if let Some(figures) = &reading.figures {
        if let Some(width) = figures.mean_width_mm {
            rows.push(("Mean growth", pace(width, units)));
        }
        rows.extend(outermost(reading, facts, units));
        rows.push((
            "From ring to ring",
            format!(
                "widths differ by {:.0} percent on average (mean sensitivity)",
                100.0 * figures.mean_sensitivity
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
    for event in &facts.remembered {
        rows.push((
            "Remembered",
            format!("{}: {}", event.year, event.what.trim()),
        ));
    }
    rows.push((
        "Scale",
        reading.scale.as_ref().map_or_else(not_given, scale),
    ));
    rows.push((
        "Photo",
        format!(
            "{}, {} by {} pixels",
            reading.photo.file, reading.photo.width_px, reading.photo.height_px
        ),
    ));
    let print: String = reading.photo.sha256.chars().take(12).collect();
    if !print.is_empty() {
        rows.push((
            "Photo fingerprint",
            format!("{print} (start of its SHA-256)"),
        ));
    }
    if let Some(note) = facts.note.as_deref().filter(|note| !note.trim().is_empty()) {
        rows.push(("Note", note.trim().to_owned()));
    }
    rows
}

/// The longest and the shortest radius, and how their rings compare.
fn two_radii(reading: &Reading, units: Units) -> Vec<(&'static str, String)> {
    let Some((long, short)) = long_and_short_way(reading) else {
        return Vec::new();
    };
    let said = |radius: &Radius| {
        let ring = radius.rings.last()?;
        let long = diameter(ring.from_pith_mm?, units);
        let way = direction(radius.angle.0.cos(), radius.angle.0.sin());
        let (seen, all) = (radius.rings.len(), reading.rings.len());
        Some(if seen < all {
            format!("{long}, {way}; {seen} of {all} rings seen")
        } else {
            format!("{long}, {way}")
        })
    };
    let mut rows = Vec::new();
    rows.extend(said(&long).map(|value| ("Longest radius", value)));
    rows.extend(said(&short).map(|value| ("Shortest radius", value)));
    if let Some(compared) = compare(&long, &short) {
        rows.push((
            "Long to short",
            format!(
                "rings {:+.0} percent; correlation {:.2}",
                100.0 * (compared.ratio - 1.0),
                compared.correlation
            ),
        ));
    }
    rows
}

/// Rings in the outermost inch or centimeter of sound wood under the bark, and the
/// growth percent that follows.
fn outermost(reading: &Reading, facts: &Facts, units: Units) -> Option<(&'static str, String)> {
    if reading.scope == Some(Scope::RingsInView) {
        return None;
    }
    let (name, depth) = match units {
        Units::Inch => ("Outermost inch", Mm(Mm::PER_INCH)),
        Units::Metric => ("Outermost centimeter", Mm(10.0)),
    };
    let series = Series::of(reading, facts);
    let rings = rings_in_outer(depth, series.rings)?;
    let used = rings.ceil() as usize;
    if !series.is_sound(series.rings.len().checked_sub(used)?, used) {
        return None;
    }
    let across = series.rings.last()?.radius_mm? * 2.0;
    let percent = schneider_percent(across, depth, rings)?;
    let value = format!("{rings:.1} rings; grew {percent:.1} percent a year (Schneider)");
    Some((name, value))
}

/// The age that site index and yield tables go by.
fn at_breast_height(
    reading: &Reading,
    facts: &Facts,
    units: Units,
) -> Option<(&'static str, String)> {
    let species = facts.species.as_deref().and_then(|s| find_species(s).ok());
    let age = growth::breast_height_age(reading.age.as_ref()?, facts.cut_height_mm, species)?;
    let high = match units {
        Units::Inch => "4.5 ft",
        Units::Metric => "1.37 m",
    };
    Some((
        "Age at breast height",
        format!("about {} ({} to {}) at {high}", age.best, age.low, age.high),
    ))
}

fn wood_class(found: &WoodFound) -> String {
    match found.from {
        WoodSource::Given => format!("{}, as given", found.class),
        WoodSource::Species => format!("{}, from the species", found.class),
        WoodSource::Guessed => format!("{}, guessed from the photo", found.class),
    }
}

fn scope(reading: &Reading) -> &'static str {
    match (reading.scope, reading.pith.as_ref().map(|pith| pith.from)) {
        (Some(Scope::RingsInView), _) => "part of the face; no bark edge",
        (Some(Scope::OutsideHeart), _) => "the sound wood from the heart to the bark",
        (_, Some(PithSource::Outside)) => "up to the bark; the pith is outside the photo",
        (Some(Scope::WholeFace), _) => "the whole face, from pith to bark",
        (None, _) => "nothing that could be read",
    }
}

/// Where the scale came from and how sure it is.
pub(super) fn scale(scale: &Scale) -> String {
    let from = match scale.from {
        ScaleSource::Tape => "from a tape in the photo",
        ScaleSource::Across => "from the width given",
        ScaleSource::Card => "from the scale card in the photo",
    };
    let doubt = crate::words::percent(scale.uncertainty);
    format!("{from}, give or take {doubt}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use wood::MmPerPx;

    #[test]
    fn a_scale_says_where_it_is_from_and_how_far_off_it_may_be() {
        let said = scale(&Scale {
            mm_per_px: MmPerPx(0.2),
            from: ScaleSource::Across,
            uncertainty: 0.015,
        });
        assert_eq!(said, "from the width given, give or take 2 percent");
    }
}
