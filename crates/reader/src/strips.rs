//! What a strip that a person marked says of pith, bark and where rings are seen.

use crate::traced::STEPS;
use profile::{BarkEdge, Straightened, Unrolled};
use sight::SeenScene;
use std::f64::consts::PI;
use wood::{Marks, Pith, Point, Px, Strip};

/// How far from the pith a strip may begin and still begin at it, as a share of its
/// length (chosen: a fingertip on a phone).
const AT_PITH: f64 = 0.03;
/// How far before a strip's inner end the pith that the photo shows may be to be taken
/// in its place, as a share of the strip's length (chosen).
const NEAR_PITH: f64 = 0.1;
/// How far off a strip's inner end may be as the pith, as a share of its length.
/// Chosen: a click on a photo shown whole.
const PITH_OFF: f64 = 0.01;
/// How far from a strip's outer end the bark edge may be, as a share of its length.
/// Chosen: a click on a photo shown whole, and thick bark.
const AT_BARK: f64 = 0.06;

/// How far past a strip's outer end the photo may show wood for the strip to end at the
/// bark, as a share of its length. Chosen: on 60 drawn faces with a dressed strip (seeds
/// 12001 to 12060) wood goes on for 2 % or less where the strip ends at the bark, and for
/// 3 % or more where it stops short of it.
const PAST_BARK: f64 = 0.025;

/// Chance of the pith that the photo shows under which a person's mark is nearer to it
/// (chosen on drawn faces, seeds 3001 to 3024).
const SURE: f32 = 0.6;

/// The pith of a strip: the one in the photo where that is sure and the strip leads
/// away from it; else the strip's inner end. A person draws from the pith or from short
/// of it, so one that seems to lie within the strip is none: on 80 drawn faces (seeds
/// 12001 to 12040 and 14001 to 14040) five lay 4 to 9 % of the length within, all wrong.
pub(crate) fn pith(strip: &Strip, scene: &SeenScene) -> (Point, Px) {
    let Px(length) = strip.length();
    let (seen, chance) = scene.pith;
    let (Px(along), Px(aside)) = strip.locate(seen);
    let reach = NEAR_PITH * length;
    let near = along > -reach
        && along <= AT_PITH * length
        && aside.abs() < reach.max(0.5 * strip.width().0);
    let behind = along < 0.0 && aside.abs() < 0.5 * along.abs();
    if chance > SURE && (near || behind) {
        (seen, Px(0.3 * scene.cell_px))
    } else {
        (strip.from, Px(PITH_OFF * length))
    }
}

/// Where the strip begins, if that is not at the pith: a wide strip holds the pith though
/// its middle line passes beside it.
pub(crate) fn begins(strip: &Strip, pith: &Pith) -> Option<Point> {
    let Px(length) = strip.length();
    let (Px(along), Px(aside)) = strip.locate(pith.point());
    let beside = (AT_PITH * length).max(0.5 * strip.width().0);
    let at_pith = along > -AT_PITH * length && aside.abs() < beside;
    (!at_pith).then_some(strip.from)
}

/// Whether the strip ends at the bark: a mark on the bark edge is there, or the wood
/// ends there in the photo.
pub(crate) fn ends_at_bark(strip: &Strip, marks: &Marks, scene: Option<&SeenScene>) -> bool {
    let Px(length) = strip.length();
    let marked = marks
        .bark
        .iter()
        .any(|mark| mark.distance(strip.to).0 < AT_BARK * length);
    let shown = || scene.and_then(|scene| wood_end(strip, scene));
    marked || shown().is_some_and(|end| end <= 1.0 + PAST_BARK)
}

/// Where the photo shows the wood to end near a strip's outer end, as a share of its
/// length; `None` where no end of the wood is near.
pub(crate) fn wood_end(strip: &Strip, scene: &SeenScene) -> Option<f64> {
    /// Step of the search, as a share of the length: less than a cell of the scene.
    const STEP: f64 = 0.005;
    let Px(length) = strip.length();
    let wood = |share: f64| scene.wood_at(strip.place(Px(share * length), Px(0.0)));
    let first = 1.0 - 2.0 * AT_BARK;
    let steps = (4.0 * AT_BARK / STEP) as usize;
    (0..=steps)
        .map(|step| first + step as f64 * STEP)
        .find(|&share| wood(share) < 0.5)
        .filter(|&share| share > first)
}

/// Where a strip ends.
#[derive(Debug, Clone, Copy)]
pub(crate) struct End {
    /// The course of its outer end.
    pub(crate) course: f64,
    /// The course of the bark edge, where it ends there.
    pub(crate) bark: Option<f64>,
}

/// Finds where a strip ends and makes that the edge of what is read.
pub(crate) fn end(
    strip: &Strip,
    at_bark: bool,
    edge: &mut BarkEdge,
    unrolled: &Unrolled,
    straightened: &Straightened,
) -> End {
    let (row, radius) = unrolled.locate(strip.to);
    let row = (row as usize).min(unrolled.angles() - 1);
    let course = straightened.course_at(row, radius as f32);
    // Blocks of the edge whose middle is in the strip.
    let within: Vec<usize> = (0..edge.course.len())
        .filter(|block| {
            let row = block * edge.block + edge.block / 2;
            strip.holds(unrolled.place(row as f64, 0.97 * radius))
        })
        .collect();
    let mut found: Vec<f64> = within
        .iter()
        .filter(|&&block| edge.seen[block])
        .map(|&block| f64::from(edge.course[block]))
        .filter(|found| (found - course).abs() < AT_BARK * course)
        .collect();
    found.sort_by(f64::total_cmp);
    let bark = at_bark.then(|| found.get(found.len() / 2).copied().unwrap_or(course));
    let last = straightened.courses.ncols() as f64 - 1.0;
    let to = bark.unwrap_or(course).clamp(1.0, last.max(1.0));
    edge.course.fill(to as f32);
    edge.seen.fill(false);
    for block in within {
        edge.seen[block] = at_bark;
    }
    End {
        course: to,
        bark: bark.map(|_| to),
    }
}

/// Whether the outline of a ring is shown at a place: within the strip, and at one
/// step of angle at least.
pub(crate) fn shows(strip: &Strip, pith: &Pith, place: Point) -> bool {
    let (Px(along), Px(aside)) = strip.locate(place);
    let step = PI / STEPS as f64 * pith.point().distance(place).0;
    along >= 0.0 && aside.abs() <= step.max(0.5 * strip.width().0)
}
