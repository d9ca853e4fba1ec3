//! The one strip of a face that is plain to see, where the rest is rough: dressed for
//! the photo, or spared by the saw.

use crate::first_pass::{Inputs, Overview};
use crate::trace::trace;
use crate::traced::TracedFace;
use crate::unmarked::UnmarkedFace;
use crate::watch::{BrokenOff, UNWATCHED};
use ndarray::{Array2, Axis, Slice};
use sight::clarity;
use std::f64::consts::TAU;
use wood::{Marks, Px, Strip, stats};

/// By how much more clarity a strip must have than the whole face to be read in its
/// place (chosen on the faces under [`clarity::PLAIN_STRIP`]).
const PLAINER: f64 = 0.15;
/// How much a strip must stand out from the rest of the face, in spreads: those of the
/// same faces stand out by 2.2 or more but one, what is plainest on sixteen real photos
/// without a dressed strip by 1.9 at most.
const STANDS_OUT: f64 = 2.1;
/// The part of the radius that is compared (chosen): rings near the pith are too few,
/// and what is near the bark may not be wood.
const COMPARED: (f64, f64) = (0.2, 0.95);
/// Rows on each side that a row is compared with. Chosen: five rows are seven degrees,
/// a narrow dressed strip at half its length.
const BESIDE: usize = 2;
/// Most rows of a strip on each side of its plainest. Chosen: what is wider than 114
/// degrees is no strip.
const WIDEST: usize = 40;
/// Share of the width seen that is read (chosen): the edges of a strip are ragged.
const SURE_SHARE: f64 = 0.8;
/// Share of the length at which the width is taken. Chosen: near the middle of
/// [`COMPARED`].
const HALFWAY: f64 = 0.55;

/// A face of which one strip is read, with that strip.
pub(crate) type Plainer = (TracedFace, UnmarkedFace, Strip);

/// Reads the plainest strip in place of a face that is unclear; `None` where the face is
/// clear enough, a strip is marked already, a pith is marked where the photo shows none,
/// or no strip is much plainer.
pub(crate) fn plainer(
    inputs: &Inputs<'_>,
    whole: &Overview,
    unclear: &TracedFace,
) -> Result<Option<Plainer>, BrokenOff> {
    let pith_elsewhere = inputs.marks.pith.is_some() && unclear.pith_chance <= 0.0;
    if inputs.marks.strip.is_some() || pith_elsewhere || unclear.clarity() >= clarity::NO_STRIP {
        return Ok(None);
    }
    let Some(strip) = plainest(unclear) else {
        return Ok(None);
    };
    let marks = Marks {
        strip: Some(strip.clone()),
        ..inputs.marks.clone()
    };
    let again = Inputs {
        marks: &marks,
        watch: UNWATCHED,
        ..*inputs
    };
    let (traced, unmarked) = trace(&again, whole)?;
    let clear = traced.clarity() >= clarity::PLAIN_STRIP.max(unclear.clarity() + PLAINER);
    Ok(clear.then_some((traced, unmarked, strip)))
}

/// The strip from the pith outward in which lines stand out and the wood is smooth.
fn plainest(whole: &TracedFace) -> Option<Strip> {
    let (from, to) = (COMPARED.0 * whole.to, COMPARED.1 * whole.to);
    let ends = &whole.seen.ends;
    let rows = ends.nrows();
    let columns = from as usize..(to as usize).min(ends.ncols());
    if columns.len() < LEAST_COURSES {
        return None;
    }
    let lines = standing_out(
        &ends
            .slice_axis(Axis(1), Slice::from(columns.clone()))
            .to_owned(),
    );
    let rough = roughness(whole, columns);
    let plain: Vec<f64> = spreads(&lines)
        .into_iter()
        .zip(spreads(&rough))
        .map(|(lines, rough)| lines - rough)
        .collect();
    let plain = beside(&plain);
    let best = (0..rows).max_by(|&a, &b| plain[a].total_cmp(&plain[b]))?;
    if plain[best] < STANDS_OUT {
        return None;
    }
    let within = |row: usize| plain[row % rows] > 0.5 * plain[best];
    let before = (1..=WIDEST)
        .take_while(|off| within(best + rows - off))
        .count();
    let after = (1..=WIDEST).take_while(|off| within(best + off)).count();
    let angles = whole.unrolled.angles();
    let middle = (best + rows) as f64 + 0.5 * (after as f64 - before as f64) + 0.5;
    let angle = ((middle / rows as f64).fract() * angles as f64) as usize % angles;
    let pith = whole.pith.point();
    let end = whole.straightened.place(&whole.unrolled, angle, whole.to);
    let Px(length) = pith.distance(end);
    let seen = (before + after + 1) as f64 / rows as f64 * TAU * HALFWAY * length;
    (length > Strip::SHORTEST.0).then(|| Strip {
        from: pith,
        to: end,
        width_px: Some(Px((SURE_SHARE * seen).max(Strip::NARROWEST.0))),
        by_hand: false,
        rings: Vec::new(),
    })
}

/// Fewest courses that can be compared (chosen): three rings or so.
const LEAST_COURSES: usize = 30;

/// How much the chance of a year's end varies along each row, averaged with the rows
/// beside it, against its mean: much where lines stand out.
fn standing_out(ends: &Array2<f32>) -> Vec<f64> {
    let rows = ends.nrows();
    (0..rows)
        .map(|row| {
            let line: Vec<f64> = (0..ends.ncols())
                .map(|column| {
                    let near = (0..=2 * BESIDE).map(|off| (row + rows + off - BESIDE) % rows);
                    near.map(|row| f64::from(ends[[row, column]])).sum::<f64>()
                        / (2 * BESIDE + 1) as f64
                })
                .collect();
            let mean = line.iter().sum::<f64>() / line.len() as f64;
            let square = line.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / line.len() as f64;
            square / (mean + 1e-3)
        })
        .collect()
}

/// How much lightness changes from each row to the next, averaged with the rows beside
/// it: little where the wood is smooth.
fn roughness(whole: &TracedFace, columns: std::ops::Range<usize>) -> Vec<f64> {
    let rows = whole.seen.ends.nrows();
    let light = &whole.straightened.courses;
    let together = light.nrows() / rows;
    let means = Array2::from_shape_fn((rows, columns.len()), |(row, column)| {
        let angles = row * together..(row + 1) * together;
        let sum: f32 = angles
            .map(|angle| light[[angle, columns.start + column]])
            .sum();
        sum / together as f32
    });
    let change: Vec<f64> = (0..rows)
        .map(|row| {
            let next = means.row((row + 1) % rows);
            let pairs = next.iter().zip(means.row(row));
            let sum: f32 = pairs.map(|(next, this)| (next - this).abs()).sum();
            f64::from(sum) / columns.len() as f64
        })
        .collect();
    beside(&change)
}

/// Each value averaged with those beside it, around the circle.
fn beside(values: &[f64]) -> Vec<f64> {
    let rows = values.len();
    (0..rows)
        .map(|row| {
            let near = (0..=2 * BESIDE).map(|off| values[(row + rows + off - BESIDE) % rows]);
            near.sum::<f64>() / (2 * BESIDE + 1) as f64
        })
        .collect()
}

/// How far each value is above the middle one, in spreads of the middle two thirds.
fn spreads(values: &[f64]) -> Vec<f64> {
    let at = |share: f64| stats::quantile(values, share).unwrap_or(0.0);
    let (middle, spread) = (at(0.5), at(0.84) - at(0.16));
    values
        .iter()
        .map(|value| (value - middle) / (spread + 1e-6))
        .collect()
}
