//! The age, and part by part where it comes from.

use super::layout::Sheet;
use wood::{AgePart, AgePartKind, Facts, Felled, Reading, Units};

pub(super) fn write(sheet: &mut Sheet, reading: &Reading, facts: &Facts, units: Units) {
    let Some(age) = &reading.age else {
        return;
    };
    let when = match (facts.felled, age.as_of) {
        (Some(felled), _) => format!(" when felled {}", spoken(felled)),
        (None, Some(year)) => format!(" in {year}"),
        (None, None) => " when felled".to_owned(),
    };
    let range = if age.low == age.high {
        String::new()
    } else {
        format!(" ({} to {})", age.low, age.high)
    };
    sheet.line("Age", &format!("about {} years{range}{when}", age.best));
    for part in &age.parts {
        sheet.under(&spell(part, facts, units));
    }
}

/// One part, as an addition.
fn spell(part: &AgePart, facts: &Facts, units: Units) -> String {
    // The sources are in the JSON; here what was assumed is enough.
    let assumed = part.how.split([':', ';']).next().unwrap_or_default().trim();
    let (plus, what) = match part.what {
        AgePartKind::Rings => ("", "rings counted".to_owned()),
        AgePartKind::MissingPith if facts.hollow_radius_mm.is_some() => {
            ("+ ", format!("for rings lost in the hollow: {assumed}"))
        }
        AgePartKind::MissingPith => ("+ ", format!("for rings lost at the heart: {assumed}")),
        AgePartKind::CutHeight => {
            let height = facts.cut_height_mm.map_or_else(
                || "an ordinary stump, from ankle to knee height".to_owned(),
                |height| format!("the cut, {}", units.show(height)),
            );
            // The species and how it starts; the height is said in the units asked for.
            let whom = assumed.split(", ").next().unwrap_or_default();
            ("+ ", format!("to grow to the height of {height}: {whom}"))
        }
    };
    let (best, low, high) = (whole(part.best.0), whole(part.low.0), whole(part.high.0));
    let range = if low == high {
        String::new()
    } else {
        format!(" ({low} to {high})")
    };
    format!("{plus}{best}{range} {what}")
}

/// Years rounded to whole ones; a range is never given finer than it is known.
fn whole(years: f64) -> String {
    format!("{}", years.round().max(0.0))
}

/// A date as it is said: "on November 8, 2025" or "in November 2025".
fn spoken(felled: Felled) -> String {
    match (felled, felled.month_name()) {
        (Felled::Day(day), Some(month)) => format!("on {month} {}, {}", day.day(), day.year()),
        (_, Some(month)) => format!("in {month} {}", felled.year()),
        (_, None) => format!("in {}", felled.year()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_are_said_as_people_say_them() {
        for (text, said) in [
            ("2025-11-03", "on November 3, 2025"),
            ("2025-11", "in November 2025"),
            ("2025", "in 2025"),
        ] {
            assert_eq!(spoken(text.parse().unwrap()), said);
        }
    }
}
