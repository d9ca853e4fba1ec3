//! When it grew fast and when slowly.

use super::layout::Sheet;
use growth::{mean_growth, years_of_growth};
use wood::{Decade, EventKind, Facts, Mm, Reading, Ring, Scope, Units};

/// A decade with fewer rings says too little about the decade.
const ENOUGH_RINGS: u32 = 5;

pub(super) fn write(sheet: &mut Sheet, reading: &Reading, facts: &Facts, units: Units) {
    let rings = years_of_growth(reading, facts);
    let whole: Vec<(&Decade, f64)> = reading
        .decades
        .iter()
        .filter(|decade| decade.rings >= ENOUGH_RINGS)
        .filter_map(|decade| Some((decade, mean_width_px(decade, rings)?)))
        .collect();
    if whole.len() >= 2 {
        let fastest = whole.iter().max_by(|a, b| a.1.total_cmp(&b.1));
        let slowest = whole.iter().min_by(|a, b| a.1.total_cmp(&b.1));
        if let (Some(fastest), Some(slowest)) = (fastest, slowest) {
            let mean = mean(rings);
            sheet.line(
                "Growth",
                &format!(
                    "fastest {}: {}",
                    name(fastest.0),
                    speed(fastest.0.mean_width_mm, fastest.1, mean, units)
                ),
            );
            sheet.line(
                "Growth",
                &format!(
                    "slowest {}: {}",
                    name(slowest.0),
                    speed(slowest.0.mean_width_mm, slowest.1, mean, units)
                ),
            );
        }
    }
    if let Some(text) = last_ten(reading, rings, units) {
        sheet.line("Growth", &text);
    }
    for event in &reading.events {
        let what = match event.kind {
            EventKind::Release => "grew faster and stayed so",
            EventKind::Suppression => "grew slower and stayed so",
        };
        let when = event.year.map_or_else(
            || format!("after ring {}", event.ring),
            |year| format!("after {year}"),
        );
        sheet.line(
            "Growth",
            &format!(
                "{what} {when} ({:+.0} % over ten years)",
                event.change_percent
            ),
        );
    }
}

/// The outermost ten whole rings, which show how the tree did at the end; none
/// where the bark is not in the photo, for then they are not its last ones.
fn last_ten(reading: &Reading, rings: &[Ring], units: Units) -> Option<String> {
    if reading.scope == Some(Scope::RingsInView) {
        return None;
    }
    let last = rings.get(rings.len().checked_sub(10)?..)?;
    let widths_mm: Option<Vec<f64>> = last.iter().map(|ring| Some(ring.width_mm?.0)).collect();
    let mean_mm = widths_mm.map(|widths| Mm(widths.iter().sum::<f64>() / 10.0));
    let mean_px = last.iter().map(|ring| ring.width_px.0).sum::<f64>() / 10.0;
    let name = match (last.first()?.year, last.last()?.year) {
        (Some(from), Some(to)) => format!("last ten years ({from} to {to})"),
        _ => "last ten rings".to_owned(),
    };
    Some(format!(
        "{name}: {}",
        speed(mean_mm, mean_px, mean(rings), units)
    ))
}

/// "1960s", "1962 to 1971", or "rings 11 to 20" where no year is known.
fn name(decade: &Decade) -> String {
    let last = decade.first_ring + decade.rings.saturating_sub(1);
    decade.from_year.map_or_else(
        || format!("rings {} to {last}", decade.first_ring),
        |year| match year.0.rem_euclid(10) {
            0 => format!("{year}s"),
            _ => format!(
                "{year} to {}",
                year.0 + last.abs_diff(decade.first_ring) as i32
            ),
        },
    )
}

/// How fast: in the person's units, or against the tree's own mean.
fn speed(width: Option<Mm>, width_px: f64, mean_px: f64, units: Units) -> String {
    match (width, units) {
        (Some(width), Units::Inch) if width.0 > 0.0 => {
            format!("{:.1} rings to the inch", 1.0 / width.inches())
        }
        (Some(width), Units::Metric) => format!("{:.1} mm a year", width.0),
        (Some(_), Units::Inch) => "no growth".to_owned(),
        (None, _) if mean_px > 0.0 => against_mean(width_px / mean_px),
        (None, _) => "no width".to_owned(),
    }
}

/// A width against the tree's mean: "rings 29 % wider than its average".
fn against_mean(share: f64) -> String {
    match (100.0 * (share - 1.0)).round() {
        wider if wider > 0.0 => format!("rings {wider:.0} % wider than its average"),
        narrower if narrower < 0.0 => {
            format!("rings {:.0} % narrower than its average", -narrower)
        }
        _ => "rings as wide as its average".to_owned(),
    }
}

fn mean_width_px(decade: &Decade, rings: &[Ring]) -> Option<f64> {
    let last = decade.first_ring + decade.rings;
    let widths: Vec<f64> = rings
        .iter()
        .filter(|ring| (decade.first_ring..last).contains(&ring.number))
        .map(|ring| ring.width_px.0)
        .collect();
    (!widths.is_empty()).then(|| widths.iter().sum::<f64>() / widths.len() as f64)
}

/// The tree's mean ring width in pixels, 0 of no rings.
fn mean(rings: &[Ring]) -> f64 {
    mean_growth(rings).map_or(0.0, |mean| mean.width_px.0)
}
