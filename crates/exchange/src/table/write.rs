//! Stumps as a table.

use super::COLUMNS;
use crate::{Notice, Series, Widths};
use wood::{Hemisphere, Scope};

/// Places after the point of a length in millimeters or pixels: a tenth of a
/// thousandth is finer than any ring can be measured.
const PLACES: usize = 4;

/// The text and how many stumps it holds.
pub(crate) fn write(all: &[Series], notices: &mut Vec<Notice>) -> (String, usize) {
    let mut lines = Lines::default();
    lines.line(COLUMNS.iter().map(|name| (*name).to_owned()));
    for series in all {
        note_lost_facts(series, notices);
        rings(series, &mut lines);
    }
    (lines.finish(), all.len())
}

fn note_lost_facts(series: &Series, notices: &mut Vec<Notice>) {
    let facts = &series.facts;
    let lost: Vec<&str> = [
        ("the note", facts.note.is_some()),
        ("the hollow's radius", facts.hollow_radius_mm.is_some()),
        ("the wood class", facts.wood.is_some()),
        ("the hemisphere", facts.hemisphere == Hemisphere::Southern),
        ("remembered years", !facts.remembered.is_empty()),
        ("tag, owner, place or counter", facts.has_labels()),
        ("the scale card's bar", facts.card_bar_mm.is_some()),
    ]
    .into_iter()
    .filter(|(_, is)| *is)
    .map(|(what, _)| what)
    .collect();
    if !lost.is_empty() {
        notices.push(Notice::of(
            &series.name,
            format!("CSV has no column for {}", lost.join(", ")),
        ));
    }
    if series.name.starts_with(['=', '+', '-', '@', '\t', '\r']) {
        notices.push(Notice::of(
            &series.name,
            "a spreadsheet may take this name for a formula: import the column as text",
        ));
    }
}

fn rings(series: &Series, lines: &mut Lines) {
    let facts = &series.facts;
    let text = |value: Option<String>| value.unwrap_or_default();
    let in_mm = matches!(series.widths, Widths::Mm(_));
    let mut radius = Some(0.0);
    for (index, width) in series.widths.numbers().into_iter().enumerate() {
        // The sum of the widths as they are written, so that whoever adds them up agrees.
        radius = radius
            .zip(width)
            .map(|(radius, width)| radius + rounded(width));
        let year = series
            .first_year
            .map(|first| i64::from(first.0) + index as i64);
        lines.line([
            series.name.clone(),
            text(facts.species.clone()),
            text(facts.felled.map(|felled| felled.to_string())),
            text(series.scope.map(|scope| scope_name(scope).to_owned())),
            text(facts.cut_height_mm.map(|mm| number(mm.0))),
            text(facts.across_inside_bark_mm.map(|mm| number(mm.0))),
            (index + 1).to_string(),
            text(year.map(|year| year.to_string())),
            text(width.filter(|_| in_mm).map(number)),
            text(radius.filter(|_| in_mm).map(number)),
            text(width.filter(|_| !in_mm).map(number)),
            text(series.confidence.get(index).copied().map(number)),
        ]);
    }
}

pub(crate) fn scope_name(scope: Scope) -> &'static str {
    match scope {
        Scope::WholeFace => "whole-face",
        Scope::RingsInView => "rings-in-view",
        Scope::OutsideHeart => "outside-heart",
    }
}

/// A number as it is written.
fn rounded(value: f64) -> f64 {
    // What was just written as a number is one.
    number(value).parse().unwrap_or(value)
}

/// A number without zeros at its end.
pub(crate) fn number(value: f64) -> String {
    let text = format!("{value:.PLACES$}");
    let short = text.trim_end_matches('0').trim_end_matches('.');
    if short == "-0" { "0" } else { short }.to_owned()
}

/// Lines of fields, as RFC 4180 has them.
#[derive(Default)]
pub(crate) struct Lines {
    text: String,
}

impl Lines {
    pub(crate) fn line(&mut self, fields: impl IntoIterator<Item = String>) {
        for (index, field) in fields.into_iter().enumerate() {
            if index > 0 {
                self.text.push(',');
            }
            // Spaces at the ends are quoted too: some readers cut them off.
            let plain = !field.contains([',', '"', '\r', '\n']) && field.trim() == field;
            if plain {
                self.text.push_str(&field);
            } else {
                self.text.push('"');
                self.text.push_str(&field.replace('"', "\"\""));
                self.text.push('"');
            }
        }
        self.text.push_str("\r\n");
    }

    /// The file's text.
    pub(crate) fn finish(self) -> String {
        // Spreadsheets misread letters beyond ASCII unless the file begins with
        // this mark; without such letters it would only be in the way.
        let mark = if self.text.is_ascii() { "" } else { "\u{feff}" };
        format!("{mark}{}", self.text)
    }
}
