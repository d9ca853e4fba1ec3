//! Stumps in the decadal layout.

use super::{Resolution, slots};
use crate::{Notice, Series, Widths};
use std::collections::BTreeSet;
use std::fmt::Write as _;
use wood::{Hemisphere, Mm};

/// The most that six columns hold while a space parts them from the next.
const WIDEST: i32 = 99_999;

/// The years that the layout's columns hold.
const YEARS: std::ops::RangeInclusive<i32> = -9999..=9999;

/// The text and how many stumps it holds.
pub(crate) fn write(
    all: &[Series],
    resolution: Resolution,
    notices: &mut Vec<Notice>,
) -> (String, usize) {
    let mut text = String::new();
    let mut names = BTreeSet::new();
    let mut count = 0;
    for series in all {
        match values(series, resolution, notices) {
            Ok((first, values)) => {
                let narrow = first < -999;
                let name = short_name(&series.name, narrow, &mut names);
                if name != series.name {
                    notices.push(Notice::of(
                        &series.name,
                        format!("is called {name} in that file"),
                    ));
                }
                note_lost_facts(series, notices);
                lines(&mut text, (&name, narrow), first, &values, resolution);
                count += 1;
            }
            Err(why) => notices.push(Notice::of(&series.name, format!("left out: {why}"))),
        }
    }
    (text, count)
}

/// First year and values without the stop code; a `None` is left blank.
fn values(
    series: &Series,
    resolution: Resolution,
    notices: &mut Vec<Notice>,
) -> Result<(i32, Vec<Option<i32>>), &'static str> {
    let Widths::Mm(widths) = &series.widths else {
        return Err("its rings have no scale, and this layout knows only millimetres");
    };
    let known = |width: &Option<Mm>| width.is_some();
    let (Some(start), Some(end)) = (
        widths.iter().position(known),
        widths.iter().rposition(known),
    ) else {
        return Err("no width is known");
    };
    if end - start + 1 < widths.len() {
        let text = "rings of unknown width at the ends of the series are left out";
        notices.push(Notice::of(&series.name, text));
    }
    let first = series.first_year.map_or(1, |year| year.0);
    if series.first_year.is_none() {
        let text = "its rings have no years: they are numbered as years from 1";
        notices.push(Notice::of(&series.name, text));
    }
    let first = i32::try_from(start)
        .ok()
        .and_then(|start| first.checked_add(start));
    let last = first
        .zip(i32::try_from(end - start + 1).ok())
        .and_then(|(first, span)| first.checked_add(span));
    let Some(first) = first.filter(|first| YEARS.contains(first)) else {
        return Err("its first year does not fit in the layout's columns");
    };
    if !last.is_some_and(|last| YEARS.contains(&last)) {
        return Err("its last year does not fit in the layout's columns");
    }
    let mut values = Vec::new();
    let (mut nudged, mut blank) = (false, false);
    for width in &widths[start..=end] {
        let value = width.map(|Mm(mm)| {
            let exact = mm * resolution.per_mm();
            let value = exact.round();
            if value > f64::from(WIDEST) {
                return WIDEST + 1;
            }
            // 999 would end the series at 0.01 mm.
            if resolution == Resolution::Hundredth && value as i32 == resolution.stop() {
                nudged = true;
                return if exact < value { 998 } else { 1000 };
            }
            value as i32
        });
        blank |= value.is_none();
        values.push(value);
    }
    if values.contains(&Some(WIDEST + 1)) {
        return Err("a ring is too wide for the layout's six columns");
    }
    if nudged {
        let text = "a width of 9.99 mm is written as 9.98 or 10.00, for 999 ends a series";
        notices.push(Notice::of(&series.name, text));
    }
    if blank {
        let text = "rings of unknown width are left blank; some programs read a blank as 0";
        notices.push(Notice::of(&series.name, text));
    }
    Ok((first, values))
}

fn note_lost_facts(series: &Series, notices: &mut Vec<Notice>) {
    let facts = &series.facts;
    let lost: Vec<&str> = [
        ("species", facts.species.is_some()),
        ("wood class", facts.wood.is_some()),
        ("date of felling", facts.felled.is_some()),
        ("height of cut", facts.cut_height_mm.is_some()),
        ("width across", facts.across_inside_bark_mm.is_some()),
        ("hollow", facts.hollow_radius_mm.is_some()),
        ("note", facts.note.is_some()),
        ("hemisphere", facts.hemisphere == Hemisphere::Southern),
        ("remembered years", !facts.remembered.is_empty()),
        ("tag, owner, place or counter", facts.has_labels()),
        ("the scale card's bar", facts.card_bar_mm.is_some()),
        ("how sure each ring is", !series.confidence.is_empty()),
        (
            "whether it reaches from pith to bark",
            series.scope.is_some(),
        ),
    ]
    .into_iter()
    .filter(|(_, is)| *is)
    .map(|(what, _)| what)
    .collect();
    if !lost.is_empty() {
        let text = format!("this layout does not hold: {}", lost.join(", "));
        notices.push(Notice::of(&series.name, text));
    }
}

fn lines(
    text: &mut String,
    (name, narrow): (&str, bool),
    first: i32,
    values: &[Option<i32>],
    resolution: Resolution,
) {
    let mut year = first;
    let mut rest: Vec<Option<i32>> = values.to_vec();
    rest.push(Some(resolution.stop()));
    let mut rest = rest.as_slice();
    while !rest.is_empty() {
        let (now, later) = rest.split_at(slots(year).min(rest.len()));
        // Writing to a String cannot fail.
        let _ = if narrow {
            write!(text, "{name:<7}{year:>5}")
        } else {
            write!(text, "{name:<8}{year:>4}")
        };
        for value in now {
            match value {
                Some(value) => {
                    let _ = write!(text, "{value:>6}");
                }
                None => text.push_str("      "),
            }
        }
        let kept = text.trim_end_matches(' ').len();
        text.truncate(kept);
        text.push('\n');
        year += now.len() as i32;
        rest = later;
    }
}

/// A name of at most eight plain letters and digits (seven when the year needs
/// the eighth column), unlike those before it.
fn short_name(name: &str, narrow: bool, taken: &mut BTreeSet<String>) -> String {
    let most = if narrow { 7 } else { 8 };
    let mut plain: String = name
        .chars()
        .filter(|letter| letter.is_ascii_alphanumeric() || matches!(letter, '-' | '_'))
        .collect();
    // A minus at the end would be read as the year's.
    plain.truncate(most);
    let plain = plain.trim_end_matches('-');
    let plain = if plain.is_empty() { "STUMP" } else { plain };
    let numbered = |number: u32| {
        let digits = number.to_string();
        let kept = plain.len().min(most - digits.len());
        format!("{}{digits}", &plain[..kept])
    };
    let short = std::iter::once(plain.to_owned())
        .chain((1..1_000_000).map(numbered))
        .find(|short| !taken.contains(short))
        .unwrap_or_else(|| plain.to_owned());
    taken.insert(short.clone());
    short
}
