//! The one strip of a face that is plain to see, where the rest is rough: dressed for
//! the photo, or spared by the saw.

use crate::first_pass::{Inputs, Overview};
use crate::strips;
use crate::trace::trace;
use crate::traced::TracedFace;
use crate::unmarked::UnmarkedFace;
use crate::watch::{BrokenOff, UNWATCHED};
use ndarray::Array2;
use sight::{SeenScene, clarity};
use std::cmp::Ordering;
use std::f64::consts::TAU;
use std::ops::Range;
use wood::{Marks, Px, Strip, stats};

/// By how much more clarity a strip must have than the whole face to be read in its
/// place (chosen on the faces under [`clarity::PLAIN_STRIP`]).
const PLAINER: f64 = 0.15;
/// How far a place can be relied on from which it is taken for dressed. The likelier of
/// the two.
const DRESSED: f32 = 0.5;
/// How far the plainest row can be relied on at least, as a mean along the radius
/// (chosen on drawn faces with a dressed strip, seeds 3001 to 3036).
const PLAIN: f64 = 0.3;
/// How far the usual row can be relied on at most, as a share of the plainest: of eleven
/// such faces one has 0.26 and the others 0.16 or less, 16 real photos without a dressed
/// strip 0.33 or more.
const MOST_BESIDE: f64 = 0.28;
/// How far a face must point at its pith for a strip of it to be looked for. Chosen: 0.96
/// and more on the same drawn faces, 0.7 or less on real photos whose pith is taken in
/// the wrong place.
const NEARLY_CENTERED: f64 = 0.9;
/// The part of the radius that is compared (chosen): nearer to the pith a strip takes
/// all of the circle, farther out a narrow one takes too little of it to be seen among
/// the rest.
const COMPARED: (f64, f64) = (0.15, 0.65);
/// Share of the radius at which a strip is followed from. Chosen: the middle of
/// [`COMPARED`].
const HALFWAY: f64 = 0.4;
/// Most rows of a strip on each side of its plainest. Chosen: what is wider than 114
/// degrees is no strip.
const WIDEST: usize = 40;
/// Fewest courses that can be compared (chosen): three rings or so.
const LEAST_COURSES: usize = 30;
/// Courses at the outer end of what is compared over which the direction of a strip is
/// taken (chosen).
const ENDS: usize = 40;
/// Rows beside the plainest in which a strip is looked for on each course (chosen: a
/// strip is not quite straight).
const NEAR: usize = 4;
/// How near to the pith and to the end of the wood a strip must begin and end to be taken
/// to go all the way, as a share of the radius (chosen).
const ALL_THE_WAY: f64 = 0.03;
/// How far what is seen of a strip can be relied on where it goes on. Chosen on drawn
/// faces with a dressed strip (seeds 3001 to 3036): 0.41 or more in strips from pith to
/// bark, under 0.4 beyond the ends of others.
const GOES_ON: f32 = 0.4;
/// Courses on each side over which that is the mean (chosen: a ring or less).
const BESIDE: usize = 4;
/// Courses without a dressed place, as a share of the radius, that end a strip (chosen: a
/// crack or a knot is narrower).
const GAP: f64 = 0.05;
/// Share of the radius that a strip takes at least (chosen).
const LEAST_LENGTH: f64 = 0.5;

/// A face of which one strip is read, with that strip.
pub(crate) type Plainer = (TracedFace, UnmarkedFace, Strip);

/// Reads the plainest strip in place of a face that is unclear; `None` where the face is
/// clear enough, a strip is marked already, the face does not point at its pith, or no
/// strip is much plainer.
pub(crate) fn plainer(
    inputs: &Inputs<'_>,
    whole: &Overview,
    unclear: &TracedFace,
) -> Result<Option<Plainer>, BrokenOff> {
    let off_center = unclear
        .centered
        .is_some_and(|centered| centered < NEARLY_CENTERED);
    if inputs.marks.strip.is_some() || off_center || unclear.clarity() >= clarity::NO_STRIP {
        return Ok(None);
    }
    let Some(mut strip) = plainest(unclear, &whole.scene) else {
        return Ok(None);
    };
    let along = |strip: &Strip| {
        let marks = Marks {
            strip: Some(strip.clone()),
            ..inputs.marks.clone()
        };
        let again = Inputs {
            marks: &marks,
            known_pith: Some((unclear.pith.point(), unclear.pith.uncertainty_px)),
            watch: UNWATCHED,
            ..*inputs
        };
        trace(&again, whole)
    };
    let (mut traced, mut unmarked) = along(&strip)?;
    if let Some(shorter) = shortened(&strip, &traced) {
        (traced, unmarked) = along(&shorter)?;
        strip = shorter;
    }
    let clear = traced.clarity() >= clarity::PLAIN_STRIP.max(unclear.clarity() + PLAINER);
    Ok(clear.then_some((traced, unmarked, strip)))
}

/// The strip from the pith to the end of the wood in which rings can be relied on, and
/// not beside it.
fn plainest(whole: &TracedFace, scene: &SeenScene) -> Option<Strip> {
    let seen = &whole.seen;
    let (rows, courses) = seen.visible.dim();
    let course = |share: f64| ((share * whole.to) as usize).min(courses);
    let compared = course(COMPARED.0)..course(COMPARED.1);
    if compared.len() < LEAST_COURSES {
        return None;
    }
    let relied: Vec<f64> = (0..rows)
        .map(|row| {
            let sum: f32 = compared.clone().map(|at| seen.visible[[row, at]]).sum();
            f64::from(sum) / compared.len() as f64
        })
        .collect();
    let best = (0..rows).max_by(|&a, &b| relied[a].total_cmp(&relied[b]))?;
    let usual = stats::quantile(&relied, 0.5)?;
    if relied[best] < PLAIN || usual > MOST_BESIDE * relied[best] {
        return None;
    }
    let spans = spans(&seen.visible, compared, best, course(HALFWAY));
    let pith = whole.pith.point();
    let angles = whole.unrolled.angles();
    let place = |row: f64, course: f64| {
        let angle = ((row / rows as f64).fract() * angles as f64) as usize % angles;
        whole.straightened.place(&whole.unrolled, angle, course)
    };
    let middle = |(_, (first, last)): &(usize, (usize, usize))| 0.5 * (first + last) as f64 + 0.5;
    let widths: Vec<f64> = spans
        .iter()
        .map(|span| {
            let (course, (first, last)) = *span;
            let radius = pith.distance(place(middle(span), course as f64)).0;
            (last - first + 1) as f64 / rows as f64 * TAU * radius
        })
        .collect();
    let outer: Vec<f64> = spans.iter().rev().take(ENDS).map(middle).collect();
    let to = place(stats::quantile(&outer, 0.5)?, whole.to);
    let length = pith.distance(to).0;
    let wide = stats::quantile(&widths, 0.5)?.max(Strip::USUAL_SHARE * length);
    let mut strip = Strip::to_read(pith, to, Some(Px(wide)));
    if let Some(end) = strips::wood_end(&strip, scene) {
        strip.to = strip.place(Px(end * length), Px(0.0));
    }
    (length > Strip::SHORTEST.0).then_some(strip)
}

/// The courses of `compared` on which a strip is dressed, from the pith outward, each with
/// its first and last row. The strip is followed in and out from its plainest row at the
/// course `halfway`; rows are counted some turns up, so that a strip may pass the first.
fn spans(
    visible: &Array2<f32>,
    compared: Range<usize>,
    plainest: usize,
    halfway: usize,
) -> Vec<(usize, (usize, usize))> {
    let rows = visible.nrows();
    let dressed = |row: usize, course: usize| visible[[row % rows, course]] > DRESSED;
    let mut spans = Vec::new();
    let mut follow = |course: usize, row: &mut usize| {
        let mut near = (0..=NEAR).flat_map(|off| [*row - off, *row + off]);
        let Some(from) = near.find(|&row| dressed(row, course)) else {
            return;
        };
        let before = (1..=WIDEST).take_while(|off| dressed(from - off, course));
        let after = (1..=WIDEST).take_while(|off| dressed(from + off, course));
        let (first, last) = (from - before.count(), from + after.count());
        spans.push((course, (first, last)));
        // A strip turns slowly.
        match ((first + last) / 2).cmp(row) {
            Ordering::Less => *row -= 1,
            Ordering::Equal => {}
            Ordering::Greater => *row += 1,
        }
    };
    // However far the strip turns, its rows stay above 0.
    let start = plainest + rows * (2 + compared.len() / rows);
    let mut row = start;
    (compared.start..halfway)
        .rev()
        .for_each(|course| follow(course, &mut row));
    let mut row = start;
    (halfway..compared.end).for_each(|course| follow(course, &mut row));
    spans.sort_unstable();
    spans
}

/// The strip without what of its ends is not dressed, as it looks when nothing else is
/// looked at; `None` where it is dressed from end to end or hardly anywhere.
fn shortened(strip: &Strip, traced: &TracedFace) -> Option<Strip> {
    let last = (traced.to as usize).clamp(1, traced.seen.visible.ncols());
    let share_of = |field: &Array2<f32>, course: usize| {
        let near = course.saturating_sub(BESIDE)..(course + BESIDE + 1).min(last);
        let sum: f32 = near.map(|at| field.column(at).sum()).sum();
        sum / field.nrows() as f32
    };
    let dressed: Vec<bool> = (0..last)
        .map(|course| {
            let relied = share_of(&traced.seen.visible, course);
            relied > GOES_ON * share_of(&traced.straightened.seen, course)
        })
        .collect();
    let share = |course: usize| course as f64 / last as f64;
    let (first, end) = longest(&dressed, (GAP * last as f64) as usize)?;
    let (inner, outer) = (share(first) > ALL_THE_WAY, share(end) < 1.0 - ALL_THE_WAY);
    if share(end - first) < LEAST_LENGTH || !(inner || outer) {
        return None;
    }
    let Px(length) = strip.length();
    let place = |share: f64| strip.place(Px(share * length), Px(0.0));
    Some(Strip {
        from: if inner {
            place(share(first))
        } else {
            strip.from
        },
        to: if outer { place(share(end)) } else { strip.to },
        ..strip.clone()
    })
}

/// The longest run of courses that are full with no gap wider than `gap`: the first and
/// one past the last.
fn longest(full: &[bool], gap: usize) -> Option<(usize, usize)> {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    for (course, _) in full.iter().enumerate().filter(|(_, full)| **full) {
        match runs.last_mut() {
            Some((_, end)) if course - *end <= gap => *end = course + 1,
            _ => runs.push((course, course + 1)),
        }
    }
    runs.into_iter().max_by_key(|(first, end)| end - first)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_strip_that_passes_the_first_row_again_and_again_is_followed() {
        let (rows, courses) = (8, 60);
        let at = |course: usize| (rows * courses - course) % rows;
        let visible = Array2::from_shape_fn((rows, courses), |(row, course)| {
            f32::from(u8::from(row == at(course)))
        });
        let spans = spans(&visible, 0..courses, at(5), 5);
        assert_eq!(spans.len(), courses);
        for (course, (first, last)) in spans {
            assert_eq!((first % rows, last), (at(course), first));
        }
    }

    #[test]
    fn a_strip_goes_on_over_a_narrow_gap_and_ends_at_a_wide_one() {
        let full = |text: &str| text.chars().map(|c| c == '#').collect::<Vec<_>>();
        assert_eq!(longest(&full("..###..####.....##"), 2), Some((2, 11)));
        assert_eq!(longest(&full("..###..####.....##"), 1), Some((7, 11)));
        assert_eq!(longest(&full("....."), 1), None);
    }
}
