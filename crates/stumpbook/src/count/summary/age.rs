//! The age, and part by part where it comes from.

use super::layout::Sheet;
use wood::{AgePart, AgePartKind, Facts, Felled, Reading};

pub(super) fn write(sheet: &mut Sheet, reading: &Reading, facts: &Facts) {
    let Some(age) = &reading.age else {
        return;
    };
    let when = match (facts.felled, age.as_of) {
        (Some(felled), _) => format!(" when felled in {}", spoken(felled)),
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
        sheet.under(&spell(part));
    }
}

/// One part, as an addition.
fn spell(part: &AgePart) -> String {
    let what = match part.what {
        AgePartKind::Rings => "rings counted",
        AgePartKind::MissingPith => "for rings that the face does not show",
        AgePartKind::CutHeight => "to grow to the height of the cut",
    };
    let (best, low, high) = (whole(part.best.0), whole(part.low.0), whole(part.high.0));
    let plus = match part.what {
        AgePartKind::Rings => "",
        AgePartKind::MissingPith | AgePartKind::CutHeight => "+ ",
    };
    let range = if low == high {
        String::new()
    } else {
        format!(" ({low} to {high})")
    };
    // The sources stand in the JSON; here what was assumed is enough.
    let assumed = match part.what {
        AgePartKind::Rings => "",
        AgePartKind::MissingPith | AgePartKind::CutHeight => {
            part.how.split([':', ';']).next().unwrap_or_default().trim()
        }
    };
    let how = if assumed.is_empty() {
        String::new()
    } else {
        format!(": {assumed}")
    };
    format!("{plus}{best}{range} {what}{how}")
}

/// Years rounded to whole ones; a range is never told finer than it is known.
fn whole(years: f64) -> String {
    format!("{}", years.round().max(0.0))
}

/// A date as it is said: "8 November 2025".
fn spoken(felled: Felled) -> String {
    match (felled, felled.month_name()) {
        (Felled::Day(day), Some(month)) => {
            format!("{month} {} (on the {})", day.year(), ordinal(day.day()))
        }
        (_, Some(month)) => format!("{month} {}", felled.year()),
        (_, None) => felled.year().to_string(),
    }
}

fn ordinal(day: i8) -> String {
    let ending = match (day % 10, day / 10) {
        (_, 1) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{day}{ending}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_are_said_as_people_say_them() {
        for (text, said) in [
            ("2025-11-03", "November 2025 (on the 3rd)"),
            ("2025-11-12", "November 2025 (on the 12th)"),
            ("2025-11", "November 2025"),
            ("2025", "2025"),
        ] {
            assert_eq!(spoken(text.parse().unwrap()), said);
        }
    }
}
