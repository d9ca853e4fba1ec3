//! The size of a pixel, from a tape or from the known width inside the bark.

use photo::{ScaleError, scale_from_across, scale_from_tape};
use profile::{Straightened, Unrolled};
use wood::{Caution, Facts, Marks, Mm, Point, Px, Ring, RingNote, Scale, Tape};

/// How far the bark edge as a whole may be off, as a share of the radius (judged).
const EDGE_SHARE: f64 = 0.015;

/// How far the mean radius may be off when none of the circle is seen, as a
/// share of it (judged: lobes and an off-center pith make single radii differ by
/// ten to twenty percent).
const UNSEEN_SHARE: f64 = 0.15;

/// Long axis over short axis of the face from which a leaning camera is
/// suspected. Judged: trunks are oval too, but seldom that much; a camera that
/// leans 30 degrees makes a round face look this oval.
const OVAL: f64 = 1.15;

/// The scale while rings are still to be found, for the rim of a hollow; `None`
/// when neither a tape nor a width gives one. The final scale is [`scale`].
pub(crate) fn scale_of(
    facts: &Facts,
    marks: &Marks,
    straightened: &Straightened,
    unrolled: &Unrolled,
    bark: Option<f64>,
) -> Option<Scale> {
    if let Some(scale) = marks
        .tape
        .as_ref()
        .and_then(|tape| scale_from_tape(tape).ok())
    {
        return Some(scale);
    }
    let bark = bark?;
    let rows = straightened.radius.nrows();
    let sum: f64 = (0..rows)
        .map(|row| f64::from(straightened.radius_at(row, bark)))
        .sum();
    let radius = Px(sum / rows.max(1) as f64 * unrolled.step_px);
    from_width(radius, facts.across_inside_bark_mm?, 1.0).ok()
}

/// The scale, and what to know about it or when there is none.
///
/// A known width is divided by twice the radius of the outermost ring as it is
/// given in the reading, so that the width given is the width shown.
pub(crate) fn scale(
    facts: &Facts,
    marks: &Marks,
    rings: &[Ring],
    bark_edge: &[Option<Point>],
    cautions: &mut Vec<Caution>,
) -> Option<Scale> {
    let mut say = |about: &str, text: String| {
        cautions.push(Caution {
            about: about.to_owned(),
            text,
        })
    };
    let oval = ovalness(bark_edge).filter(|ratio| *ratio >= OVAL);
    let mut found = None;
    if let Some(tape) = &marks.tape {
        match from_tape(tape, oval) {
            Ok(scale) => found = Some(scale),
            Err(error) => say("tape-unused", format!("the tape gives no scale: {error}")),
        }
    }
    if found.is_none()
        && let Some(across) = facts.across_inside_bark_mm
    {
        let outermost = rings
            .last()
            .filter(|ring| ring.notes.contains(&RingNote::AtBark));
        found = outermost.and_then(|ring| from_width(ring.radius_px, across, seen(ring)).ok());
        if found.is_none() {
            say(
                "across-unused",
                "the width inside the bark is known, but no bark edge was found in the photo; use --tape"
                    .to_owned(),
            );
        }
    }
    if found.is_none() && marks.tape.is_none() && facts.across_inside_bark_mm.is_none() {
        say(
            "no-scale",
            "no scale is known, so widths are in pixels; give --across or --tape".to_owned(),
        );
    }
    if let (Some(_), Some(ratio)) = (found.as_ref(), oval) {
        say(
            "face-oval",
            format!(
                "the face looks {:.0} percent longer than it is wide: either the trunk is oval, or \
                 the camera leaned. If it leaned, single radii and a tape across the photo can be \
                 off by as much, while a mean width given with --across keeps the mean right; take \
                 the photo from straight above",
                (ratio - 1.0) * 100.0
            ),
        );
    }
    found
}

/// The scale from the radius of the outermost ring and the mean width; `seen`
/// is the share of the circle on which the ring is in the photo.
fn from_width(radius: Px, across: Mm, seen: f64) -> Result<Scale, ScaleError> {
    let share = EDGE_SHARE.hypot(UNSEEN_SHARE * (1.0 - seen));
    scale_from_across(radius * 2.0, across, Px(radius.0 * share))
}

/// The scale from a tape. On a face that a leaning camera may have made oval,
/// the tape is along one direction only, and the mean over all directions may
/// be smaller by up to half of what the axes differ.
fn from_tape(tape: &Tape, oval: Option<f64>) -> Result<Scale, ScaleError> {
    let scale = scale_from_tape(tape)?;
    let lean = oval.map_or(0.0, |ratio| (ratio - 1.0) / 2.0);
    Ok(Scale {
        uncertainty: scale.uncertainty.hypot(lean),
        ..scale
    })
}

/// Share of the circle on which a ring is in the photo, 0 to 1.
fn seen(ring: &Ring) -> f64 {
    let places = ring.outline_px.len().max(1);
    ring.outline_px.iter().flatten().count() as f64 / places as f64
}

/// Long axis over short axis of the ellipse with the same second moments of
/// area as the bark edge; `None` where a part of the edge is not seen, for then
/// the shape is not known.
fn ovalness(bark_edge: &[Option<Point>]) -> Option<f64> {
    let edge: Vec<Point> = bark_edge.iter().copied().collect::<Option<_>>()?;
    let origin = *edge.first()?;
    let corners: Vec<(f64, f64)> = edge
        .iter()
        .map(|place| (place.x_px - origin.x_px, place.y_px - origin.y_px))
        .collect();
    // Moments of a polygon, one triangle to the origin for each side.
    let (mut area, mut x, mut y, mut xx, mut yy, mut xy) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
    let next = corners.iter().cycle().skip(1);
    for (&(x0, y0), &(x1, y1)) in corners.iter().zip(next) {
        let cross = x0 * y1 - x1 * y0;
        area += cross / 2.0;
        x += (x0 + x1) * cross / 6.0;
        y += (y0 + y1) * cross / 6.0;
        xx += (x0 * x0 + x0 * x1 + x1 * x1) * cross / 12.0;
        yy += (y0 * y0 + y0 * y1 + y1 * y1) * cross / 12.0;
        xy += (2.0 * x0 * y0 + x0 * y1 + x1 * y0 + 2.0 * x1 * y1) * cross / 24.0;
    }
    let (x, y) = (x / area, y / area);
    let (xx, yy, xy) = (xx / area - x * x, yy / area - y * y, xy / area - x * y);
    let (middle, half) = ((xx + yy) / 2.0, ((xx - yy) / 2.0).hypot(xy));
    let ratio = ((middle + half) / (middle - half)).sqrt();
    ratio.is_finite().then_some(ratio)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ellipse(long: f64, short: f64, turn: f64) -> Vec<Option<Point>> {
        (0..120)
            .map(|step| {
                let (sin, cos) = (f64::from(step) * 3.0_f64.to_radians()).sin_cos();
                let (x, y) = (long * cos, short * sin);
                let (s, c) = turn.sin_cos();
                Some(Point::new(900.0 + x * c - y * s, 700.0 + x * s + y * c))
            })
            .collect()
    }

    #[test]
    fn the_axes_of_a_face_are_found_however_it_is_turned() {
        for turn in [0.0, 0.4, 2.0] {
            let ratio = ovalness(&ellipse(600.0, 500.0, turn)).unwrap();
            assert!((ratio - 1.2).abs() < 1e-3, "{ratio}");
        }
        let mut cut = ellipse(600.0, 500.0, 0.0);
        cut[7] = None;
        assert_eq!(ovalness(&cut), None, "a shape that is not seen");
        assert_eq!(ovalness(&[]), None);
    }

    #[test]
    fn a_tape_on_an_oval_face_claims_less() {
        let tape = Tape {
            from: Point::new(0.0, 0.0),
            to: Point::new(1000.0, 0.0),
            length_mm: Mm(500.0),
        };
        let round = from_tape(&tape, None).unwrap().uncertainty;
        let oval = from_tape(&tape, Some(1.2)).unwrap().uncertainty;
        assert!(round < 0.005 && oval > 0.1, "{round} {oval}");
    }

    #[test]
    fn a_width_on_a_face_that_is_partly_out_of_the_photo_claims_less() {
        let whole = from_width(Px(500.0), Mm(300.0), 1.0).unwrap();
        let part = from_width(Px(500.0), Mm(300.0), 0.7).unwrap();
        assert!((whole.uncertainty - EDGE_SHARE).abs() < 1e-9);
        assert!(part.uncertainty > 2.0 * EDGE_SHARE);
    }
}
