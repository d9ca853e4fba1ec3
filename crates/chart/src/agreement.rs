//! How the stumps of a woodlot agree over the years: one row a stump.

use crate::ChartError;
use crate::axis::round_step;
use crate::palette::{GROWTH, INK, SOFT_INK};
use crate::sheet::{Anchor, LABEL_PX, LEFT, Sheet, Size, TOP};

/// A stretch of years of one stump, compared with the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// First year.
    pub from_year: i32,
    /// Last year.
    pub to_year: i32,
    /// Correlation with the mean of the others, −1 to 1.
    pub r: f64,
    /// Whether it departs from the others there.
    pub departs: bool,
}

/// One stump's row.
#[derive(Debug, Clone, PartialEq)]
pub struct AgreementRow {
    /// The stump's name.
    pub name: String,
    /// Stretches of years, oldest first; where they overlap the later one is
    /// drawn from the middle of the overlap on.
    pub stretches: Vec<Stretch>,
}

/// Room for the names, beyond the usual left end of the plot.
const NAMES_PX: f64 = 90.0;
/// Letters of a name that fit there.
const NAME_LETTERS: usize = 17;
/// Highest row, so that few stumps do not fill the sheet.
const HIGHEST_ROW_PX: f64 = 26.0;
/// Least distance of two labels on the axis of years.
const LEAST_LABEL_GAP_PX: f64 = 62.0;
/// Correlations from which a stretch is drawn darker.
const DARKER_FROM: [f64; 2] = [0.5, 0.75];

/// A chart of agreement: SVG text, 1000 by 470 CSS pixels. Dark where a stump
/// follows the others, an open box where it departs.
///
/// # Errors
/// [`ChartError::NothingToDraw`] without a stretch.
pub fn agreement_svg(rows: &[AgreementRow]) -> Result<String, ChartError> {
    let all = || rows.iter().flat_map(|row| &row.stretches);
    let first = all().map(|stretch| stretch.from_year).min();
    let last = all().map(|stretch| stretch.to_year).max();
    let (Some(first), Some(last)) = (first, last) else {
        return Err(ChartError::NothingToDraw);
    };
    let unit = "dark: follows the others; open box: departs from them";
    Sheet::svg(Size::Full, "Agreement over the years", unit, |sheet| {
        let left = LEFT + NAMES_PX;
        let per_year = (sheet.right() - left) / f64::from(last - first + 1);
        let x = |year: i32| left + per_year * f64::from(year - first);
        let pitch = ((sheet.foot() - TOP) / rows.len().max(1) as f64).min(HIGHEST_ROW_PX);
        let letters_px = (pitch * 0.8).min(LABEL_PX);
        for (index, row) in rows.iter().enumerate() {
            let middle = TOP + pitch * (index as f64 + 0.5);
            let name: String = row.name.chars().take(NAME_LETTERS).collect();
            sheet.text((left - 8.0, middle), letters_px, INK, Anchor::End, &name)?;
            let half = pitch * 0.36;
            for (stretch, (from, to)) in row.stretches.iter().zip(shown(&row.stretches)) {
                let (upper, lower) = ((x(from), middle - half), (x(to + 1), middle + half));
                let strength = DARKER_FROM
                    .iter()
                    .filter(|limit| stretch.r >= **limit)
                    .count();
                if stretch.departs {
                    let around = [upper, (lower.0, upper.1), lower, (upper.0, lower.1), upper];
                    sheet.line(&around, 1.2, INK)?;
                } else {
                    sheet.rectangle(upper, lower, GROWTH[(strength + 1).min(3)])?;
                }
            }
        }
        let foot = TOP + pitch * rows.len() as f64 + 4.0;
        sheet.line(&[(left, foot), (sheet.right(), foot)], 1.2, INK)?;
        let most = (sheet.right() - left) / LEAST_LABEL_GAP_PX;
        let step = round_step(f64::from(last - first + 1), most).max(1.0) as i32;
        for year in (first..=last).filter(|year| year.rem_euclid(step) == 0) {
            let at = x(year) + per_year / 2.0;
            sheet.line(&[(at, foot), (at, foot + 5.0)], 1.2, INK)?;
            let text = year.to_string();
            sheet.text((at, foot + 17.0), LABEL_PX, SOFT_INK, Anchor::Middle, &text)?;
        }
        Ok(())
    })
}

/// The years that each stretch is drawn over.
fn shown(stretches: &[Stretch]) -> impl Iterator<Item = (i32, i32)> + '_ {
    stretches.iter().enumerate().map(|(index, stretch)| {
        let before = index.checked_sub(1).and_then(|at| stretches.get(at));
        let after = stretches.get(index + 1);
        let from = before.map_or(stretch.from_year, |before| {
            split(before.to_year, stretch.from_year)
        });
        let to = after.map_or(stretch.to_year, |after| {
            split(stretch.to_year, after.from_year) - 1
        });
        (from, to)
    })
}

/// Where one stretch ends and the next begins.
fn split(end: i32, start: i32) -> i32 {
    if start > end {
        start
    } else {
        start + (end - start + 1) / 2
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stretch(from_year: i32, to_year: i32, r: f64) -> Stretch {
        Stretch {
            from_year,
            to_year,
            r,
            departs: r < 0.4,
        }
    }

    #[test]
    fn overlapping_stretches_are_drawn_side_by_side() {
        let stretches = [
            stretch(1944, 1963, 0.9),
            stretch(1954, 1973, 0.1),
            stretch(1964, 1983, 0.1),
        ];
        let drawn: Vec<(i32, i32)> = shown(&stretches).collect();
        assert_eq!(drawn, [(1944, 1958), (1959, 1968), (1969, 1983)]);
    }

    #[test]
    fn a_stretch_that_departs_is_an_open_box() {
        let row = |r| AgreementRow {
            name: "oak <by the wall>".to_owned(),
            stretches: vec![stretch(1944, 1963, 0.9), stretch(1964, 1983, r)],
        };
        let boxes = |svg: &str| svg.matches("<polyline").count();
        let sound = agreement_svg(&[row(0.9)]).unwrap();
        let departs = agreement_svg(&[row(0.1)]).unwrap();
        assert_eq!(boxes(&departs), boxes(&sound) + 1);
        assert!(sound.contains("1960") && !sound.contains("NaN"));
        assert_eq!(agreement_svg(&[]), Err(ChartError::NothingToDraw));
    }
}
