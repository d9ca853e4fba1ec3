//! The decadal layout as stumps.

use super::{Resolution, slots};
use crate::{ExchangeError, Format, Notice, Place, Series, Widths, bytes};
use wood::{Facts, Mm, Year};

/// A file may begin with up to three lines about its site.
const MOST_HEADERS: usize = 3;

/// Columns of a value.
const VALUE: usize = 6;

/// Where the values begin and end, in columns counted from 0.
const FIRST_VALUE: usize = 12;
const AFTER_VALUES: usize = 72;

/// Series in the order of the file.
pub(crate) fn read(raw: &[u8], notices: &mut Vec<Notice>) -> Result<Vec<Series>, ExchangeError> {
    let text = bytes::old_text(raw);
    let lines = lines(&text, notices)?;
    let mut all = Vec::new();
    let mut rest = lines.as_slice();
    while !rest.is_empty() {
        let (one, after) = one_series(rest)?;
        if all.iter().any(|other: &Series| other.name == one.name) {
            let text = "is in the file more than once: each is kept as a stump of its own";
            notices.push(Notice::of(&one.name, text));
        }
        if one.first_year == Some(Year(1)) {
            let text = "begins in the year 1: perhaps its rings are numbered and not dated";
            notices.push(Notice::of(&one.name, text));
        }
        all.push(one);
        rest = after;
    }
    if !all.is_empty() {
        notices.push(Notice::all(
            "the decadal layout has no species, felling date, height of cut or place of the pith",
        ));
    }
    Ok(all)
}

/// One line, taken apart.
struct Line {
    /// Its number, from 1.
    number: usize,
    name: String,
    year: i32,
    /// `None` where the columns are blank.
    values: Vec<Option<i32>>,
}

fn wrong(line: usize, column: usize, problem: impl Into<String>) -> ExchangeError {
    ExchangeError::Malformed {
        format: Format::Decadal(Resolution::Hundredth),
        place: Place {
            line,
            // Counted from 0 here, from 1 by people.
            column: column + 1,
        },
        problem: problem.into(),
    }
}

fn lines(text: &str, notices: &mut Vec<Notice>) -> Result<Vec<Line>, ExchangeError> {
    let mut lines = Vec::new();
    let mut headers = 0;
    for (index, raw) in text.lines().enumerate() {
        let number = index + 1;
        let raw = raw.trim_end();
        if raw.is_empty() || raw.starts_with('#') {
            continue;
        }
        match line(number, raw) {
            Ok(line) => lines.push(line),
            Err(_) if lines.is_empty() && headers < MOST_HEADERS && !raw.contains('\t') => {
                headers += 1;
                notices.push(Notice::all(format!(
                    "line {number} is taken for a heading and left out: {raw}"
                )));
            }
            Err(error) => return Err(error),
        }
    }
    Ok(lines)
}

fn line(number: usize, raw: &str) -> Result<Line, ExchangeError> {
    let letters: Vec<char> = raw.chars().collect();
    if let Some(tab) = letters.iter().position(|letter| *letter == '\t') {
        return Err(wrong(
            number,
            tab,
            "a tab; the layout goes by columns of spaces",
        ));
    }
    let columns = |from: usize, to: usize| -> String {
        letters
            .iter()
            .skip(from)
            .take(to.saturating_sub(from))
            .collect()
    };
    // Years before −999 take the eighth column for their sign.
    let name_ends =
        if letters.get(7) == Some(&'-') && letters.get(8).is_some_and(char::is_ascii_digit) {
            7
        } else {
            8
        };
    let year_text = columns(name_ends, FIRST_VALUE);
    let year = year_text.trim().parse().map_err(|_| {
        let what = year_text.trim();
        wrong(
            number,
            8,
            format!("\"{what}\" stands where the year should"),
        )
    })?;
    let mut values = Vec::new();
    let end = letters.len().min(AFTER_VALUES);
    let mut from = FIRST_VALUE;
    while from < end {
        let field = columns(from, (from + VALUE).min(end));
        let trimmed = field.trim();
        values.push(if trimmed.is_empty() {
            None
        } else {
            let blank = field.chars().take_while(|letter| *letter == ' ').count();
            let problem = || format!("\"{trimmed}\" is no whole number");
            Some(
                trimmed
                    .parse()
                    .map_err(|_| wrong(number, from + blank, problem()))?,
            )
        });
        from += VALUE;
    }
    Ok(Line {
        number,
        name: columns(0, name_ends).trim().to_owned(),
        year,
        values,
    })
}

/// The series that begins with the first line, and the lines after it.
fn one_series(lines: &[Line]) -> Result<(Series, &[Line]), ExchangeError> {
    let count = length(lines)?;
    let (mine, after) = lines.split_at(count);
    let mut values: Vec<(Option<i32>, usize, usize)> = Vec::new();
    for line in mine {
        let room = slots(line.year);
        if line.values.len() > room {
            let problem = format!(
                "a line that begins in {} holds at most {room} years",
                line.year
            );
            return Err(wrong(line.number, FIRST_VALUE + VALUE * room, problem));
        }
        for slot in 0..room {
            let value = line.values.get(slot).copied().flatten();
            values.push((value, line.number, FIRST_VALUE + VALUE * slot));
        }
    }
    let name = mine.first().map_or("", |line| line.name.as_str());
    let stop_at = values.iter().rposition(|(value, ..)| value.is_some());
    let Some((resolution, stop_at)) = stop_at.and_then(|at| {
        [Resolution::Hundredth, Resolution::Thousandth]
            .into_iter()
            .find(|resolution| values[at].0 == Some(resolution.stop()))
            .map(|resolution| (resolution, at))
    }) else {
        let (_, line, column) = stop_at.map_or(
            (None, mine.first().map_or(1, |l| l.number), FIRST_VALUE),
            |at| values[at],
        );
        let problem = format!(
            "the series {name} ends without a stop code, so the unit of its widths is not known"
        );
        return Err(wrong(line, column, problem));
    };
    let widths = values[..stop_at]
        .iter()
        .map(|&(value, line, column)| {
            width(value, resolution).map_err(|problem| wrong(line, column, problem))
        })
        .collect::<Result<Vec<_>, _>>()?;
    if widths.is_empty() {
        let line = mine.first().map_or(1, |line| line.number);
        return Err(wrong(
            line,
            FIRST_VALUE,
            format!("the series {name} has a stop code and no ring"),
        ));
    }
    let series = Series {
        name: name.to_owned(),
        facts: Facts::default(),
        scope: None,
        first_year: mine.first().map(|line| Year(line.year)),
        widths: Widths::Mm(widths),
        confidence: Vec::new(),
        from_photo: false,
    };
    Ok((series, after))
}

/// How many lines the first series takes: those of its name whose years follow
/// one another.
fn length(lines: &[Line]) -> Result<usize, ExchangeError> {
    let Some(first) = lines.first() else {
        return Ok(0);
    };
    let mut next = first.year;
    for (index, line) in lines.iter().enumerate() {
        if line.name != first.name {
            return Ok(index);
        }
        if line.year != next {
            let ended = index
                .checked_sub(1)
                .and_then(|before| lines.get(before)?.values.iter().flatten().last())
                .is_some_and(|last| *last == 999 || *last == -9999);
            if ended {
                return Ok(index);
            }
            let problem = format!("{} stands where {next} should follow", line.year);
            return Err(wrong(line.number, 8, problem));
        }
        let Some(after) = next.checked_add(slots(next) as i32) else {
            return Err(wrong(line.number, 8, "this year is far out of range"));
        };
        next = after;
    }
    Ok(lines.len())
}

/// A value's width; the stop code within a series, and a blank, are a width
/// that is not known.
fn width(value: Option<i32>, resolution: Resolution) -> Result<Option<Mm>, String> {
    match value {
        None => Ok(None),
        Some(value) if value == resolution.stop() || value == -resolution.stop().abs() => Ok(None),
        Some(value) if value < 0 => Err(format!("a width of {value}")),
        Some(value) => Ok(Some(Mm(f64::from(value) / resolution.per_mm()))),
    }
}
