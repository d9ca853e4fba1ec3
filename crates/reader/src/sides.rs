//! Rings that some sides of a face show and the whole circle does not.
//!
//! Where a sector could not be laid level with the others, narrow rings blur into one
//! another in the mean of the circle. Read by itself such a sector still shows them.

use boundary::{Boundaries, Request, find_boundaries};
use ndarray::{Array2, Axis, Slice};
use rayon::prelude::*;
use sight::{SeenPlaces, SeenRings};
use wood::stats;

/// Sectors that are read by themselves. Chosen: 22 degrees each, wide enough to average
/// out pores, and narrow enough for rings to run level in them.
const SECTORS: usize = 16;
/// How far what a sector shows can be relied on at least, as a mean along the radius
/// (chosen: 0.8 and more in plain sectors of real photos, 0.5 and less in rough ones).
const RELIABLE: f32 = 0.7;
/// Share of the radius of the wood that a sector shows at least (chosen).
const REACH: f64 = 0.5;
/// How far a course is seen as wood in a sector that reaches it, 0 to 1 (chosen).
const REACHED: f32 = 0.3;
/// Fewest sectors of which anything is concluded (chosen).
const FEWEST: usize = 3;
/// Rings of the circle that a share is taken of, at least (chosen).
const FEWEST_RINGS: f64 = 3.0;
/// Of the sectors, the share that shows no more than what is taken. Chosen: one sector
/// in ten may be wrong. On 38 rough drawn faces (seeds from 12001) the range then holds
/// the truth on one more, and is 0.2 rings wider.
const OF_SECTORS: f64 = 0.9;

/// The boundaries of what is seen, before the bark edge is found and anything is marked.
pub(crate) fn bare_boundaries(seen: &SeenRings, from: f64, to: f64) -> Boundaries {
    find_boundaries(&Request {
        seen,
        from,
        bark: None,
        to,
        required: &[],
        forbidden: &[],
    })
}

/// The rings that the plainer sectors show beyond those of the circle, as a share of
/// those of the circle, 0 or more; 0 where too few sectors can be relied on. `from` is
/// the first course on which a year can end.
pub(crate) fn lost_share(places: &SeenPlaces, from: f64) -> f64 {
    let all = places.rings(None, None);
    let to = all.last_wood().min(all.visible.ncols().saturating_sub(1));
    let circle = bare_boundaries(&all, from, to as f64).list;
    let more: Vec<f64> = (0..SECTORS)
        .into_par_iter()
        .filter_map(|sector| {
            let rows = all.visible.nrows();
            let these = sector * rows / SECTORS..(sector + 1) * rows / SECTORS;
            let part = Slice::from(these.clone());
            let visible = all.visible.slice_axis(Axis(0), part);
            let wood = &visible * &all.wood.slice_axis(Axis(0), part);
            let share = |course| wood.column(course).sum() / these.len() as f32;
            let end = (0..=to).rfind(|&course| share(course) > REACHED)?;
            let relied = visible.slice_axis(Axis(1), Slice::from(..=end)).mean()?;
            if relied < RELIABLE || (end as f64) < REACH * to as f64 {
                return None;
            }
            let mut open = Array2::zeros(all.visible.raw_dim());
            open.slice_axis_mut(Axis(0), part).fill(1.0);
            let alone = places.rings(Some(&open), None);
            let shown = bare_boundaries(&alone, from, end as f64).list.len() as f64;
            let inside = circle.iter().filter(|one| one.course <= end as f64);
            let counted = inside.count() as f64;
            Some((shown - counted) / counted.max(FEWEST_RINGS))
        })
        .collect();
    if more.len() < FEWEST {
        return 0.0;
    }
    stats::quantile(&more, OF_SECTORS).unwrap_or(0.0).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use profile::{Directions, Fineness, Span, StraightenParams, straighten, unroll};
    use wood::Point;

    #[test]
    fn rings_that_only_sides_show_are_missed_in_the_circle() {
        let made = practice::render(&practice::Recipe::random(8));
        let bytes = practice::jpeg(&made.rgb, 90);
        let face = photo::open(&bytes, &photo::Limits::default()).unwrap();
        let pith = Point::from(made.truth.pith);
        let none = |_: Point| false;
        let unrolled = unroll(&face, pith, None, Span::CIRCLE, Fineness::COARSE, &none);
        let directions = Directions::of(&face.lightness);
        let level = straighten(&unrolled, &directions, &StraightenParams::default());
        let places = sight::see_places(&sight::strip(&face, &unrolled, &level), 1);
        let seen = places.rings(None, None);
        let share = lost_share(&places, 3.0);
        assert!(share < 0.05, "level rings: {share:.2} lost");
        // Each sector another part of a ring farther out: the circle shows a blur.
        let ring = seen.usual_spacing();
        let askew = Array2::from_shape_fn((SECTORS, seen.courses.len()), |(sector, _)| {
            ring * (sector * 5 % SECTORS) as f32 / SECTORS as f32
        });
        let share = lost_share(&places.shifted(&askew), 3.0);
        assert!(share > 0.1, "rings askew: only {share:.2} lost");
    }
}
