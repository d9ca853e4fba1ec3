//! The bark edge: where the wood of the face ends, course by course.

use crate::best_path::path_to;
use crate::straighten::Straightened;
use ndarray::{Array2, ArrayView1};

/// The bark edge in straightened coordinates.
#[derive(Debug, Clone, PartialEq)]
pub struct BarkEdge {
    /// Course of the edge for each block of angle; where the photo cuts the
    /// face, the last course that is seen.
    pub course: Vec<f32>,
    /// Whether the edge itself is seen in the block.
    pub seen: Vec<bool>,
    /// Steps of angle in a block.
    pub block: usize,
}

impl BarkEdge {
    /// Share of the circle in which the edge is seen, 0 to 1.
    #[must_use]
    pub fn seen_share(&self) -> f64 {
        self.seen.iter().filter(|&&seen| seen).count() as f64 / self.seen.len().max(1) as f64
    }

    /// The course of the edge in a row of the straightened face, between blocks.
    #[must_use]
    pub fn course_at(&self, row: usize) -> f32 {
        let at = (row as f32 + 0.5) / self.block as f32 - 0.5;
        let low = (at.floor() as isize).rem_euclid(self.course.len() as isize) as usize;
        let high = (low + 1) % self.course.len();
        let part = at - at.floor();
        self.course[low] * (1.0 - part) + self.course[high] * part
    }

    /// Takes everything outside the edge from sight.
    pub fn hide_outside(&self, straightened: &mut Straightened) {
        for (row, mut line) in straightened.seen.rows_mut().into_iter().enumerate() {
            line.iter_mut()
                .skip(self.course_at(row).max(0.0) as usize + 1)
                .for_each(|seen| *seen = 0.0);
        }
    }

    /// Median course over the blocks in which the edge is seen; `None` if in none.
    #[must_use]
    pub fn median_course(&self) -> Option<f64> {
        let mut seen: Vec<f32> = self
            .course
            .iter()
            .zip(&self.seen)
            .filter(|(_, seen)| **seen)
            .map(|(c, _)| *c)
            .collect();
        seen.sort_by(f32::total_cmp);
        seen.get(seen.len() / 2).map(|&c| f64::from(c))
    }
}

/// Blocks around the circle. Chosen: three degrees each, so that a lobe of the stem
/// keeps its shape.
const BLOCKS: usize = 128;
/// Courses in a cell; a face has a few hundred cells of radius at most. Chosen for
/// speed; what is seen close by places the edge within a cell.
const CELL: usize = 6;
/// Price of the edge moving by one cell from block to block (chosen).
const BEND: f32 = 1.2;
/// Log odds beyond which one cell counts no further. A chance of 95 %: one certain cell
/// then counts no more than two likely ones (chosen).
const SURE: f32 = 3.0;

/// Where the wood ends.
///
/// `wood` is the chance that a place is wood as the whole photo shows it,
/// `close` the same as the rings close by show it, and `ends` the chance that a
/// year ends there; each `[row, course]` over the courses of `straightened`,
/// with any number of rows that divides its angles.
///
/// # Method
/// The closed path that gathers most of the `wood` inside and bends little, for
/// rings end where rings run (dynamic programming over angle); then moved, a
/// few courses at most, to where `close` separates wood from the rest, and to
/// the year's end there. Where the path ends at the edge of the photo, the bark
/// edge is not seen.
#[must_use]
pub fn find_bark_edge(
    wood: &Array2<f32>,
    close: &Array2<f32>,
    ends: &Array2<f32>,
    straightened: &Straightened,
) -> BarkEdge {
    let (angles, columns) = straightened.courses.dim();
    let block = angles / BLOCKS;
    let cells = columns / CELL;
    let mut last_seen = vec![0; BLOCKS];
    let gain: Vec<Vec<f32>> = (0..BLOCKS)
        .map(|nth| {
            let angle = nth * block + block / 2;
            let row = angle * wood.nrows() / angles;
            (0..cells)
                .map(|cell| {
                    let columns = cell * CELL..(cell + 1) * CELL;
                    let seen = columns
                        .clone()
                        .filter(|&column| straightened.seen[[angle, column]] > 0.9)
                        .count();
                    if seen == 0 {
                        return 0.0;
                    }
                    last_seen[nth] = cell + 1;
                    let sum: f32 = columns
                        .map(|column| {
                            let chance = wood[[row, column]].clamp(1e-3, 1.0 - 1e-3);
                            (chance / (1.0 - chance)).ln().clamp(-SURE, SURE)
                        })
                        .sum();
                    sum / CELL as f32
                })
                .collect()
        })
        .collect();
    let limit = best_closed_path(&gain, &last_seen);
    let seen = limit
        .iter()
        .zip(&last_seen)
        .map(|(&edge, &last)| edge + 2 < last)
        .collect();
    let mut edge = BarkEdge {
        course: limit.iter().map(|&cell| (cell * CELL) as f32).collect(),
        seen,
        block,
    };
    to_year_ends(&mut edge, close, ends, angles);
    edge
}

/// Courses within which what is seen close by moves the edge. Two cells: as far as the
/// path over cells may be off.
const CLOSE: usize = 2 * CELL;
/// Courses within which a year's end is taken for the edge. Chosen: less than the
/// narrowest ring that is read well.
const SNAP: usize = 4;
/// Chance under which no year's end is taken for the edge (chosen: a little over the
/// chance at which a row shows a boundary).
const LEAST_END: f32 = 0.15;

/// Moves each block's edge to where the wood ends as seen close by, and to the
/// likeliest year's end there.
fn to_year_ends(edge: &mut BarkEdge, close: &Array2<f32>, ends: &Array2<f32>, angles: usize) {
    let columns = ends.ncols();
    let moved: Vec<f32> = (0..BLOCKS)
        .map(|nth| {
            let course = edge.course[nth] as usize;
            if !edge.seen[nth] || course < CLOSE + SNAP || course + CLOSE + SNAP >= columns {
                return edge.course[nth];
            }
            let row = (nth * edge.block + edge.block / 2) * ends.nrows() / angles;
            let course = wood_ends(close.row(row), course);
            let worth = |at: usize| {
                ends[[row, at]] * (1.0 - 0.5 * at.abs_diff(course) as f32 / SNAP as f32)
            };
            let best = (course - SNAP..=course + SNAP)
                .max_by(|&a, &b| worth(a).total_cmp(&worth(b)))
                .unwrap_or(course);
            if worth(best) < LEAST_END {
                course as f32
            } else {
                best as f32
            }
        })
        .collect();
    // A median over five blocks, so that one flake of bark moves nothing.
    edge.course = (0..BLOCKS)
        .map(|nth| {
            let mut near: Vec<f32> = (0..5)
                .map(|k| moved[(nth + BLOCKS + k - 2) % BLOCKS])
                .collect();
            near.sort_by(f32::total_cmp);
            near[2]
        })
        .collect();
}

/// The course near `about` that parts wood from what is not wood best.
fn wood_ends(wood: ArrayView1<'_, f32>, about: usize) -> usize {
    let (mut sum, mut best) = (0.0, (f32::NEG_INFINITY, about));
    for course in about - CLOSE..=about + CLOSE {
        if sum > best.0 {
            best = (sum, course);
        }
        sum += wood[course] - 0.5;
    }
    best.1
}

/// The edge of each block that gathers most gain inside it and bends little,
/// closed around the circle.
fn best_closed_path(gain: &[Vec<f32>], last_seen: &[usize]) -> Vec<usize> {
    let cells = gain.first().map_or(0, Vec::len);
    let inside: Vec<Vec<f32>> = gain
        .iter()
        .zip(last_seen)
        .map(|(line, &last)| {
            let mut sum = 0.0;
            let mut sums = vec![f32::NEG_INFINITY; cells + 1];
            for cell in 0..=last.min(cells) {
                sums[cell] = sum;
                if cell < cells {
                    sum += line[cell];
                }
            }
            // Beyond the photo the edge may run on freely, so that its
            // neighbors are not drawn in.
            let at_border = sums[last.min(cells)];
            for value in sums.iter_mut().skip(last + 1) {
                *value = at_border;
            }
            sums
        })
        .collect();
    let free = path_from(&inside, None);
    let start = free[free.len() / 2];
    // Once more, cut open where the first path is surest of itself: half way round.
    let half = inside.len() / 2;
    let turned: Vec<Vec<f32>> = inside[half..]
        .iter()
        .chain(&inside[..half])
        .cloned()
        .collect();
    let mut path = path_from(&turned, Some(start));
    path.rotate_right(half);
    path.iter()
        .zip(last_seen)
        .map(|(&edge, &last)| edge.min(last))
        .collect()
}

/// Best path over the blocks; with `fixed`, it starts and ends there.
fn path_from(inside: &[Vec<f32>], fixed: Option<usize>) -> Vec<usize> {
    let states = inside[0].len();
    let reach = 6_usize;
    let mut sums: Vec<f32> = (0..states)
        .map(|state| {
            if fixed.is_none_or(|f| f == state) {
                inside[0][state]
            } else {
                f32::NEG_INFINITY
            }
        })
        .collect();
    let mut back: Vec<Vec<u16>> = Vec::with_capacity(inside.len());
    for line in &inside[1..] {
        let mut next = vec![f32::NEG_INFINITY; states];
        let mut from = vec![0_u16; states];
        for state in 0..states {
            let low = state.saturating_sub(reach);
            let high = (state + reach).min(states - 1);
            for (offset, sum) in sums[low..=high].iter().enumerate() {
                let before = low + offset;
                let value = sum - BEND * before.abs_diff(state) as f32;
                if value > next[state] {
                    next[state] = value;
                    from[state] = before as u16;
                }
            }
            next[state] += line[state];
        }
        back.push(from);
        sums = next;
    }
    let free_end = (0..states)
        .max_by(|&a, &b| sums[a].total_cmp(&sums[b]))
        .unwrap_or(0);
    let at = match fixed {
        Some(start) => (start.saturating_sub(reach)..=(start + reach).min(states - 1))
            .max_by(|&a, &b| sums[a].total_cmp(&sums[b]))
            .unwrap_or(free_end),
        None => free_end,
    };
    path_to(at, &back)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_path_follows_the_edge_of_the_gain() {
        let gain: Vec<Vec<f32>> = (0..32)
            .map(|block| {
                (0..40)
                    .map(|cell| if cell < 20 + block % 2 { 1.0 } else { -1.0 })
                    .collect()
            })
            .collect();
        let path = best_closed_path(&gain, &[40; 32]);
        assert!(
            path.iter().all(|&edge| (20..=21).contains(&edge)),
            "{path:?}"
        );
    }
}
