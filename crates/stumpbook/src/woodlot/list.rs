//! What is in the book.

use super::sync;
use crate::args::UnitsArg;
use crate::columns::{Side, table};
use crate::error::CommandError;
use crate::outcome::Outcome;
use crate::say;
use serde_json::json;
use std::path::Path;
use wood::{Decade, Mm, Reading};
use woodlot::{Book, StoredStump};

/// Names the stumps.
pub(super) fn list(path: &Path, as_json: bool) -> anyhow::Result<Outcome> {
    let mut book = Book::open(path).map_err(CommandError::from)?;
    let stumps = sync::stumps(&mut book).map_err(CommandError::from)?;
    if as_json {
        for kept in &stumps {
            say::data(&json_line(kept).to_string())?;
        }
        return Ok(Outcome::Read);
    }
    let name = book.name().map_err(CommandError::from)?;
    let memories = book.memories().map_err(CommandError::from)?;
    say::data(&format!("{name}: {} stumps", stumps.len()))?;
    if !stumps.is_empty() {
        let heading = ["stump", "species", "rings", "years", "age", "felled"];
        let mut rows = vec![heading.map(str::to_owned).to_vec()];
        rows.extend(stumps.iter().map(row));
        let sides = [
            Side::Left,
            Side::Left,
            Side::Right,
            Side::Left,
            Side::Left,
            Side::Left,
        ];
        say::data(&table(&sides, &rows))?;
    }
    for kept in &stumps {
        if let Some(along) = kept.stump.reading.counted_along() {
            say::data(&format!("{}: {along}", kept.name))?;
        }
    }
    for one in memories {
        let stumps = if one.stumps.is_empty() {
            String::new()
        } else {
            format!(" (noted for {})", one.stumps.join(", "))
        };
        say::data(&format!("remembered: {} {}{stumps}", one.year, one.what))?;
    }
    Ok(Outcome::Read)
}

fn row(kept: &StoredStump) -> Vec<String> {
    let (facts, reading) = (&kept.stump.facts, &kept.stump.reading);
    vec![
        kept.name.clone(),
        facts.species.clone().unwrap_or_else(|| "?".to_owned()),
        reading.rings.len().to_string(),
        span(reading).unwrap_or_else(|| "not dated".to_owned()),
        age(reading),
        facts.felled.map_or("?".to_owned(), |f| f.to_string()),
    ]
}

fn span(reading: &Reading) -> Option<String> {
    let first = reading.rings.first()?.year?;
    let last = reading.rings.last()?.year?;
    Some(format!("{first}\u{2013}{last}"))
}

fn age(reading: &Reading) -> String {
    match &reading.age {
        Some(age) if age.low == age.high => age.best.to_string(),
        Some(age) => format!("{} ({} to {})", age.best, age.low, age.high),
        None => "?".to_owned(),
    }
}

fn json_line(kept: &StoredStump) -> serde_json::Value {
    let (facts, reading) = (&kept.stump.facts, &kept.stump.reading);
    let year = |ring: Option<&wood::Ring>| ring.and_then(|ring| ring.year);
    json!({
        "name": kept.name,
        "file": kept.file,
        "photo": kept.photo,
        "species": facts.species,
        "felled": facts.felled,
        "readable": reading.readable,
        "rings": reading.rings.len(),
        "first_year": year(reading.rings.first()),
        "last_year": year(reading.rings.last()),
        "count": reading.count,
        "counted_along": reading.counted_along(),
        "age": reading.age.as_ref().map(|age| json!({
            "best": age.best, "low": age.low, "high": age.high, "as_of": age.as_of,
        })),
    })
}

/// Shows one stump.
pub(super) fn show(
    path: &Path,
    name: &str,
    as_json: bool,
    units: UnitsArg,
) -> anyhow::Result<Outcome> {
    let mut book = Book::open(path).map_err(CommandError::from)?;
    sync::stumps(&mut book).map_err(CommandError::from)?;
    let kept = book.stump(name).map_err(CommandError::from)?;
    if as_json {
        say::data(&serde_json::to_string(&kept.stump)?)?;
        return Ok(Outcome::Read);
    }
    let (facts, reading) = (&kept.stump.facts, &kept.stump.reading);
    let given = |text: Option<String>| text.unwrap_or_else(|| "not given".to_owned());
    let mut lines = vec![
        kept.name.clone(),
        format!("  species   {}", given(facts.species.clone())),
        format!("  felled    {}", given(facts.felled.map(|f| f.to_string()))),
        format!(
            "  cut       {}",
            given(facts.cut_height_mm.map(|mm| length(mm, units)))
        ),
        format!(
            "  rings     {}{}",
            reading.rings.len(),
            span(reading).map_or(", not dated".to_owned(), |span| format!(", {span}"))
        ),
        format!("  age       {}", age(reading)),
    ];
    for one in &facts.remembered {
        lines.push(format!("  remember  {} {}", one.year, one.what));
    }
    for (index, decade) in reading.decades.iter().enumerate() {
        let label = if index == 0 { "growth" } else { "" };
        lines.push(format!("  {label:<9} {}", growth(decade, units)));
    }
    let paths = [("photo", &kept.photo), ("file", &kept.file)];
    for (label, path) in paths {
        if let Some(path) = path {
            lines.push(format!("  {label:<9} {}", path.display()));
        }
    }
    for caution in &reading.cautions {
        lines.push(format!("  note      {}", caution.text));
    }
    say::data(&lines.join("\n"))?;
    Ok(Outcome::Read)
}

fn growth(decade: &Decade, units: UnitsArg) -> String {
    let when = match decade.from_year {
        Some(year) => format!("{year}s"),
        None => format!(
            "rings {} to {}",
            decade.first_ring,
            decade.first_ring + decade.rings.saturating_sub(1)
        ),
    };
    let width = match (decade.mean_width_mm, units) {
        (Some(mm), UnitsArg::Metric) => format!("{:.2} mm a ring", mm.0),
        (Some(_), UnitsArg::Inch) => decade
            .rings_per_inch
            .map_or(String::new(), |rings| format!("{rings:.1} rings an inch")),
        (None, _) => "no scale".to_owned(),
    };
    let against = decade
        .against_trend
        .map_or(String::new(), |share| format!(", {}", against_trend(share)));
    format!("{when}: {width}{against}")
}

/// Growth against the tree's own age trend: "26 % above its age trend".
fn against_trend(share: f64) -> String {
    let percent = (share - 1.0) * 100.0;
    match percent.round() {
        more if more > 0.0 => format!("{more:.0} % above its age trend"),
        less if less < 0.0 => format!("{:.0} % below its age trend", -less),
        _ => "as its age trend".to_owned(),
    }
}

/// A length in the units asked for.
pub(super) fn length(mm: Mm, units: UnitsArg) -> String {
    match units {
        UnitsArg::Inch => format!("{:.1} in", mm.inches()),
        UnitsArg::Metric => format!("{:.1} cm", mm.0 / 10.0),
    }
}
