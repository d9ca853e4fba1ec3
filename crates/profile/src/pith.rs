//! The pith: the place that most ring normals pass through.

use crate::direction::{DirectionField, Directions};
use rayon::prelude::*;
use wood::{Point, Px};

/// How the pith is looked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PithParams {
    /// How far beyond the photo to look, as a share of its longer side.
    pub beyond: f64,
    /// Most votes used in the search over the whole photo.
    pub most_votes: usize,
}

impl Default for PithParams {
    fn default() -> Self {
        Self {
            beyond: 0.6,
            most_votes: 4000,
        }
    }
}

/// The pith as found from ring normals.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FoundPith {
    /// Its place.
    pub at: Point,
    /// One standard deviation of its place.
    pub uncertainty_px: Px,
    /// Where all rings together point, before closing in: the better guess
    /// where specks or saw marks near the pith lead astray.
    pub from_afar: Point,
}

/// One ring normal: where, in which direction, and how much it counts.
#[derive(Debug, Clone, Copy)]
struct Vote {
    x: f32,
    y: f32,
    nx: f32,
    ny: f32,
    weight: f32,
}

/// The square of the sine beyond which a normal is not counted further: 30 degrees.
/// Chosen: a knot or a check turns normals by more, growth that is not round by less.
const CAP: f32 = 0.25;

/// How much less a pith outside the photo must misfit than the best one inside. Chosen:
/// from outside all normals come from one side, so that a small gain is chance.
const OUTSIDE_MUST_GAIN: f64 = 0.08;

/// Weighted, capped misfit of the votes for a pith at (`x`, `y`), 0 to 1.
fn misfit(votes: &[Vote], x: f64, y: f64) -> f64 {
    let (x, y) = (x as f32, y as f32);
    let (mut sum, mut weights) = (0.0_f64, 0.0_f64);
    for vote in votes {
        let (dx, dy) = (x - vote.x, y - vote.y);
        let squared = dx * dx + dy * dy + 1.0;
        let across = vote.nx * dy - vote.ny * dx;
        let sine_squared = (across * across / squared).min(CAP);
        sum += f64::from(vote.weight * sine_squared);
        weights += f64::from(vote.weight);
    }
    sum / (weights * f64::from(CAP)).max(1e-12)
}

/// The median of a set of values, which is reordered.
fn median(values: &mut [f32]) -> f32 {
    if values.is_empty() {
        return 0.0;
    }
    let middle = values.len() / 2;
    *values.select_nth_unstable_by(middle, f32::total_cmp).1
}

/// Votes of one scale, each weighted by its coherence squared and by its
/// strength up to the median strength, so that a few hard edges do not rule.
fn votes(field: &DirectionField, keep: impl Fn(f64, f64) -> bool + Sync) -> Vec<Vote> {
    let (rows, columns) = field.xx.dim();
    let mut energies: Vec<f32> = field.xx.iter().zip(&field.yy).map(|(a, c)| a + c).collect();
    let typical = median(&mut energies).max(1e-3);
    let vote = |row: usize, column: usize| {
        let x = (column as f64 + 0.5) * field.cell_px;
        let y = (row as f64 + 0.5) * field.cell_px;
        if !keep(x, y) {
            return None;
        }
        let strength = (field.energy(row, column) / typical).min(1.0);
        let weight = field.coherence(row, column).powi(2) * strength;
        let (ny, nx) = field.normal(row, column).sin_cos();
        Some(Vote {
            x: x as f32,
            y: y as f32,
            nx,
            ny,
            weight,
        })
    };
    let vote = &vote;
    (1..rows.saturating_sub(1))
        .into_par_iter()
        .flat_map_iter(|row| (1..columns.saturating_sub(1)).filter_map(move |at| vote(row, at)))
        .collect()
}

/// Every `n`th vote, so that at most `most` are left.
fn thin(votes: &[Vote], most: usize) -> Vec<Vote> {
    votes
        .iter()
        .step_by(votes.len().div_ceil(most.max(1)).max(1))
        .copied()
        .collect()
}

/// The best of the given places, with its misfit.
fn best_of(votes: &[Vote], places: &[(f64, f64)]) -> ((f64, f64), f64) {
    let costs: Vec<f64> = places
        .par_iter()
        .map(|&(x, y)| misfit(votes, x, y))
        .collect();
    let best = (0..places.len())
        .min_by(|&a, &b| costs[a].total_cmp(&costs[b]))
        .unwrap_or(0);
    (places[best], costs[best])
}

/// Steps downhill on ever finer grids around `start`, never farther than `bound` from it.
fn descend(
    votes: &[Vote],
    start: (f64, f64),
    first_step: f64,
    last_step: f64,
    bound: f64,
) -> (f64, f64) {
    let mut at = start;
    let mut step = first_step;
    while step >= last_step {
        let places: Vec<(f64, f64)> = (-2..=2)
            .flat_map(|i| (-2..=2).map(move |j| (i, j)))
            .map(|(i, j)| (at.0 + f64::from(i) * step, at.1 + f64::from(j) * step))
            .filter(|place| (place.0 - start.0).hypot(place.1 - start.1) <= bound)
            .collect();
        let (best, _) = best_of(votes, &places);
        if best == at {
            step /= 2.0;
        } else {
            at = best;
        }
    }
    at
}

/// Places on an even grid within `bound` of `center`.
fn around(center: (f64, f64), bound: f64) -> Vec<(f64, f64)> {
    /// Places tried on each side of the middle (chosen): 17 by 17 in all.
    const HALF: i32 = 8;
    (-HALF..=HALF)
        .flat_map(|i| (-HALF..=HALF).map(move |j| (i, j)))
        .filter(|(i, j)| i * i + j * j <= HALF * HALF)
        .map(|(i, j)| {
            (
                center.0 + bound * f64::from(i) / f64::from(HALF),
                center.1 + bound * f64::from(j) / f64::from(HALF),
            )
        })
        .collect()
}

/// Closes in on the pith: a smaller circle of votes each time, as long as it
/// holds enough of them and they agree on a place near its middle.
///
/// Where growth is uneven the normals far out do not meet at the pith.
fn close_in(
    directions: &Directions,
    first: (f64, f64),
    longest: f64,
    most_votes: usize,
) -> ((f64, f64), f64) {
    let mut at = first;
    let mut reach = longest / 4.0;
    let mut uncertainty = longest / 50.0;
    while reach > 24.0 {
        let near = |x: f64, y: f64| {
            let d = (x - at.0).hypot(y - at.1);
            d <= reach && d > reach * 0.1
        };
        let close: Vec<Vote> = directions
            .scales
            .iter()
            .flat_map(|field| votes(field, near))
            .collect();
        if close.len() < 60 {
            break;
        }
        let bound = reach * 0.35;
        let (start, _) = best_of(&thin(&close, most_votes), &around(at, bound));
        let next = descend(&close, start, bound / 16.0, (reach / 256.0).max(0.5), bound);
        // Votes that draw out of the circle follow a knot, a check or saw
        // marks and not the pith.
        if (next.0 - at.0).hypot(next.1 - at.1) > bound * 1.05 {
            break;
        }
        let (here, there) = (misfit(&close, at.0, at.1), misfit(&close, next.0, next.1));
        if there < here {
            at = next;
        }
        uncertainty = (reach * 0.06 * (0.2 + there.min(here))).max(1.0);
        reach *= 0.6;
    }
    (at, uncertainty)
}

/// How badly the ring normals of the places that count point at `at`, 0 to 1.
#[must_use]
pub fn misfit_at(
    directions: &Directions,
    at: Point,
    counts: &(dyn Fn(Point) -> bool + Sync),
) -> f64 {
    let all: Vec<Vote> = directions
        .scales
        .iter()
        .flat_map(|field| votes(field, |x, y| counts(Point::new(x, y))))
        .collect();
    misfit(&all, at.x_px, at.y_px)
}

/// Where the pith is.
///
/// `width_px` and `height_px` are those of the photo the directions were taken from.
///
/// # Method
/// Our own. Every cell of every scale votes with its ring normal; the pith is
/// the place with the least capped misfit, searched over the photo and a
/// margin around it, then on ever finer grids. In the last steps only votes
/// near the pith count, for a normal at distance d places the pith to within
/// d times its angle's error. Tested on practice faces, whose pith is known.
#[must_use]
pub fn find_pith(
    directions: &Directions,
    width_px: f64,
    height_px: f64,
    params: &PithParams,
) -> FoundPith {
    let longest = width_px.max(height_px);
    let all: Vec<Vec<Vote>> = directions
        .scales
        .iter()
        .map(|field| votes(field, |_, _| true))
        .collect();
    let share = params.most_votes / all.len().max(1);
    let few: Vec<Vote> = all.iter().flat_map(|scale| thin(scale, share)).collect();

    let margin = params.beyond * longest;
    let step = longest / 36.0;
    let across = ((width_px + 2.0 * margin) / step) as usize;
    let down = ((height_px + 2.0 * margin) / step) as usize;
    let places: Vec<(f64, f64)> = (0..=down)
        .flat_map(|j| (0..=across).map(move |i| (i, j)))
        .map(|(i, j)| (i as f64 * step - margin, j as f64 * step - margin))
        .collect();
    let (coarse, cost) = best_of(&few, &places);
    let within: Vec<(f64, f64)> = places
        .iter()
        .copied()
        .filter(|&(x, y)| x >= 0.0 && y >= 0.0 && x <= width_px && y <= height_px)
        .collect();
    let (inside, inside_cost) = best_of(&few, &within);
    // Straight lines (boards, saw marks) agree on any place far away; a pith
    // outside must be clearly the better one.
    let coarse = if inside_cost < cost + OUTSIDE_MUST_GAIN {
        inside
    } else {
        coarse
    };
    let many: Vec<Vote> = all
        .iter()
        .flat_map(|scale| thin(scale, 2 * params.most_votes))
        .collect();
    let at = descend(&many, coarse, step / 2.0, 4.0, longest / 4.0);

    let from_afar = Point::new(at.0, at.1);
    let (at, uncertainty) = close_in(directions, at, longest, params.most_votes);
    FoundPith {
        at: Point::new(at.0, at.1),
        uncertainty_px: Px(uncertainty),
        from_afar,
    }
}
