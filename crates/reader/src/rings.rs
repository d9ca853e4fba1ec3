//! Rings with outlines, radii and widths, from boundaries in courses.

use crate::strips;
use crate::traced::{STEPS, TracedFace, in_photo};
use boundary::Boundary;
use photo::Face;
use sight::clarity;
use std::f64::consts::TAU;
use wood::{Angle, Mm, Point, Px, Ring, RingNote, Scale};

/// Chance under which a boundary is called doubtful. Of those called so, one in two
/// to one in five is none (measured 2026-11-26).
const DOUBTFUL: f64 = 0.8;
/// What the log odds of a boundary count for, what those of the face's clarity
/// count for, and what is taken off: logistic regression over 10,537 boundaries
/// of 101 practice faces (seeds 301 to 470, 2026-11-25), its log odds then made
/// 1.3 times as large and 0.3 more, for rings are followed better now: so measured
/// 2026-11-26 over 17,478 of 220 faces (seeds 501 to 580 and 1101 to 1200, and 40
/// that nobody prepared).
const BELIEVED: (f64, f64, f64) = (0.88, 2.12, 3.9);
/// Clarities between which [`BELIEVED`] was measured well; [`sight::clarity::LEVEL`] is
/// the lower one.
const MEASURED: (f64, f64) = (clarity::LEVEL, 0.98);
/// Times its neighbors' width from which a ring may be two. Chosen: years side by side
/// seldom differ by more than a half.
pub(crate) const MAYBE_TWO: f64 = 1.8;

/// The rings of a face, pith first, in pixels.
pub(crate) fn rings(face: &Face, traced: &TracedFace) -> Vec<Ring> {
    let list = &traced.boundaries.list;
    let mut out: Vec<Ring> = Vec::with_capacity(list.len());
    let mut radius = if traced.start > 0.0 {
        traced
            .straightened
            .mean_radius(&traced.unrolled, traced.start)
            .0
    } else {
        0.0
    };
    let clarity = traced.clarity();
    for (index, (boundary, width)) in list.iter().zip(mean_widths(traced)).enumerate() {
        let confidence = believed(boundary.confidence, clarity);
        radius += width;
        let outline_px: Vec<Option<Point>> = (0..STEPS)
            .map(|step| place(face, traced, boundary, step))
            .collect();
        let mut notes = Vec::new();
        if boundary.marked {
            notes.push(RingNote::Marked);
        }
        if confidence < DOUBTFUL {
            notes.push(RingNote::Doubtful);
        }
        if boundary.at_bark {
            notes.push(RingNote::AtBark);
        }
        if traced.strip.is_none() && outline_px.iter().any(Option::is_none) {
            notes.push(RingNote::CutByPhoto);
        }
        out.push(Ring {
            number: index as u32 + 1,
            year: None,
            radius_px: Px(round(radius)),
            radius_mm: None,
            width_px: Px(round(width)),
            width_mm: None,
            confidence: round(confidence),
            notes,
            outline_px,
        });
    }
    note_doubles(&mut out);
    out
}

/// Gives the rings their lengths in millimeters, where a scale is known.
pub(crate) fn measure(rings: &mut [Ring], scale: Option<&Scale>) {
    let Some(scale) = scale else { return };
    for ring in rings {
        let mm = |px: Px| Some(Mm(round((px * scale.mm_per_px).0)));
        ring.radius_mm = mm(ring.radius_px);
        ring.width_mm = mm(ring.width_px);
    }
}

/// How far a chance from the paths can be believed on a face of some clarity:
/// paths know the candidates, not whether rings were followed askew. Marks and
/// the bark edge, which have chance 1, are certain.
fn believed(chance: f64, clarity: f64) -> f64 {
    if chance >= 1.0 {
        return 1.0;
    }
    let log_odds = |p: f64| (p / (1.0 - p)).ln();
    let (chance, clarity) = (
        log_odds(chance.clamp(0.001, 0.9995)),
        log_odds(clarity.clamp(MEASURED.0, MEASURED.1)),
    );
    let (of_chance, of_clarity, less) = BELIEVED;
    1.0 / (1.0 + (less - of_chance * chance - of_clarity * clarity).exp())
}

/// To a thousandth: more digits would claim more than was measured.
pub(crate) fn round(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0
}

fn note_doubles(rings: &mut [Ring]) {
    for i in 2..rings.len().saturating_sub(1) {
        let beside = 0.5 * (rings[i - 1].width_px.0 + rings[i + 1].width_px.0);
        if rings[i].width_px.0 > MAYBE_TWO * beside {
            rings[i].notes.push(RingNote::MaybeTwo);
        }
    }
}

/// The course of a boundary in one row: the bark edge has its own line.
fn course(traced: &TracedFace, boundary: &Boundary, row: usize) -> f64 {
    if boundary.at_bark {
        f64::from(traced.edge.course_at(row))
    } else {
        boundary.course
    }
}

/// The mean width of each ring, in photo pixels, over the rows in which both sides are
/// seen.
fn mean_widths(traced: &TracedFace) -> Vec<f64> {
    let TracedFace {
        straightened,
        boundaries,
        ..
    } = traced;
    let rows = straightened.radius.nrows();
    // Of each ring, widths where it is seen, how far it is, and widths everywhere.
    let mut sums = vec![[0.0_f64; 3]; boundaries.list.len()];
    // Row by row, as they lie in memory.
    for row in 0..rows {
        let radius = |course: f64| f64::from(straightened.radius_at(row, course));
        // Inside a hollow of known radius nothing was read: the first ring begins at its
        // rim.
        let mut inner = radius(traced.start);
        for (boundary, [sum, weight, all]) in boundaries.list.iter().zip(&mut sums) {
            let end = course(traced, boundary, row);
            let outer = radius(end);
            let width = (outer - inner).max(0.0);
            let column = (end as usize)
                .saturating_sub(2)
                .min(straightened.seen.ncols() - 1);
            let seen = f64::from(straightened.seen[[row, column]]);
            *sum += seen * width;
            *weight += seen;
            *all += width;
            inner = outer;
        }
    }
    let mean = |[sum, weight, all]: [f64; 3]| {
        let steps = if weight > 0.0 {
            sum / weight
        } else {
            all / rows as f64
        };
        steps * traced.unrolled.step_px
    };
    sums.into_iter().map(mean).collect()
}

/// The row of a step of angle; `None` where none covers it.
pub(crate) fn row_of(traced: &TracedFace, step: usize) -> Option<usize> {
    let angle = Angle(step as f64 / STEPS as f64 * TAU);
    traced.unrolled.row_of(angle)
}

/// The place of a boundary at one step of angle; `None` where it is not seen.
fn place(face: &Face, traced: &TracedFace, boundary: &Boundary, step: usize) -> Option<Point> {
    let row = row_of(traced, step)?;
    let end = f64::from(traced.edge.course_at(row));
    let at = course(traced, boundary, row);
    if !boundary.at_bark && at > end + 1.0 {
        return None;
    }
    let place = in_photo(face, traced, row, at)?;
    let shown = traced
        .strip
        .as_ref()
        .is_none_or(|strip| strips::shows(strip, &traced.pith, place));
    shown.then_some(place)
}

/// The outline of the bark edge; empty when it was not found.
pub(crate) fn bark_edge(face: &Face, traced: &TracedFace) -> Vec<Option<Point>> {
    if traced.bark.is_none() {
        return Vec::new();
    }
    (0..STEPS)
        .map(|step| {
            let row = row_of(traced, step)?;
            let seen = traced.edge.seen[(row / traced.edge.block).min(traced.edge.seen.len() - 1)];
            if seen {
                in_photo(face, traced, row, f64::from(traced.edge.course_at(row)))
            } else {
                None
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn belief_grows_with_the_chance_and_with_clarity_and_marks_are_certain() {
        assert!(believed(0.9, 0.9) > believed(0.8, 0.9));
        assert!(believed(0.9, 0.9) > believed(0.9, 0.7));
        assert!(believed(0.995, 0.95) > 0.98);
        assert!((believed(1.0, 0.3) - 1.0).abs() < 1e-12);
    }
}
