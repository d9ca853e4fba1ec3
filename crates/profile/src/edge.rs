//! The bark edge: where the wood of the face ends, course by course.

use crate::straighten::Straightened;
use crate::unroll::Unrolled;
use photo::Face;
use rayon::prelude::*;

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
    pub fn hide_outside(&self, unrolled: &mut Unrolled, straightened: &Straightened) {
        for (row, mut line) in unrolled.seen.rows_mut().into_iter().enumerate() {
            let end = straightened.radius_at(row, f64::from(self.course_at(row)));
            line.iter_mut()
                .skip(end.max(0.0) as usize)
                .for_each(|seen| *seen = 0.0);
        }
    }

    /// The same edge in the courses of another straightening of the same face.
    #[must_use]
    pub fn carried_over(&self, from: &Straightened, to: &Straightened) -> Self {
        let course = (0..self.course.len())
            .map(|block| {
                let row = block * self.block + self.block / 2;
                to.course_at(row, from.radius_at(row, f64::from(self.course[block]))) as f32
            })
            .collect();
        Self {
            course,
            seen: self.seen.clone(),
            block: self.block,
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

/// Steps of angle in a block.
const BLOCK: usize = 8;
/// Courses in a cell; a face has a few hundred cells of radius at most.
const CELL: usize = 6;
/// Values a feature is sorted into.
const BINS: usize = 20;
/// What is told of each cell: lightness, red-green, yellow-blue, roughness, level rings.
const FEATURES: usize = 5;
/// Price of the edge moving by one cell from block to block (chosen).
const BEND: f32 = 1.2;

/// One cell: its features, sorted into bins, or nothing where it is not seen.
type Cell = Option<[u8; FEATURES]>;

/// Where the wood ends.
///
/// # Method
/// Our own. Cells of the straightened face are told by colour, roughness and
/// how level their rings run. A first circle is laid where rings stop. Cells
/// inside and outside it say how likely each feature is for wood and for the
/// rest (smoothed counts, features taken as independent); the edge is then the
/// closed path that gathers most of the wood inside, and bends little, for
/// rings end where rings run (dynamic programming over angle). This is done
/// three times, each with the counts of the edge before. Where the path ends
/// at the edge of the photo, the bark edge is not seen.
#[must_use]
pub fn find_bark_edge(face: &Face, unrolled: &Unrolled, straightened: &Straightened) -> BarkEdge {
    let (angles, columns) = straightened.courses.dim();
    let blocks = angles / BLOCK;
    let cells = columns / CELL;
    let grid: Vec<Vec<Cell>> = (0..blocks)
        .into_par_iter()
        .map(|block| {
            (0..cells)
                .map(|cell| describe(face, unrolled, straightened, block, cell))
                .collect()
        })
        .collect();
    let last_seen: Vec<usize> = grid
        .iter()
        .map(|line| {
            line.iter()
                .rposition(Option::is_some)
                .map_or(0, |cell| cell + 1)
        })
        .collect();
    let mut limit = vec![first_circle(&grid, cells); blocks];
    for _ in 0..3 {
        let gain = likelihoods(&grid, &limit, cells);
        limit = best_closed_path(&gain, &last_seen);
    }
    if rings_go_on(&grid, &limit, cells) {
        limit.clone_from(&last_seen);
    }
    let seen = limit
        .iter()
        .zip(&last_seen)
        .map(|(&edge, &last)| edge + 2 < last)
        .collect();
    let course = limit.iter().map(|&cell| (cell * CELL) as f32).collect();
    let mut edge = BarkEdge {
        course,
        seen,
        block: BLOCK,
    };
    sharpen(&mut edge, straightened, unrolled);
    edge
}

/// The features of one cell.
fn describe(
    face: &Face,
    unrolled: &Unrolled,
    straightened: &Straightened,
    block: usize,
    cell: usize,
) -> Cell {
    let row = block * BLOCK + BLOCK / 2;
    let (width, height) = face.rgb.dimensions();
    let mut sums = [0.0_f32; 3];
    let (mut squares, mut count) = (0.0_f32, 0.0_f32);
    for step in 0..CELL {
        for side in [-3_isize, 0, 3] {
            let r =
                (row as isize + side).rem_euclid(straightened.courses.nrows() as isize) as usize;
            let column = cell * CELL + step;
            if straightened.seen[[r, column]] < 0.9 {
                continue;
            }
            let place = unrolled.place(r as f64, f64::from(straightened.radius[[r, column]]));
            if place.x_px < 0.0
                || place.y_px < 0.0
                || place.x_px >= f64::from(width)
                || place.y_px >= f64::from(height)
            {
                continue;
            }
            let [red, green, blue] = face
                .rgb
                .get_pixel(place.x_px as u32, place.y_px as u32)
                .0
                .map(f32::from);
            let light = (red + green + blue) / 3.0;
            sums[0] += light;
            sums[1] += red - green;
            sums[2] += (red + green) / 2.0 - blue;
            squares += light * light;
            count += 1.0;
        }
    }
    if count < CELL as f32 {
        return None;
    }
    let [light, red, yellow] = sums.map(|sum| sum / count);
    let rough = (squares / count - light * light).max(0.0).sqrt();
    let trust_at = [
        (row / straightened.trust_cell.0).min(straightened.trust.nrows() - 1),
        (cell * CELL / straightened.trust_cell.1).min(straightened.trust.ncols() - 1),
    ];
    let level = straightened.trust[trust_at];
    let bin = |value: f32, low: f32, high: f32| {
        (((value - low) / (high - low) * BINS as f32) as isize).clamp(0, BINS as isize - 1) as u8
    };
    Some([
        bin(light, 0.0, 255.0),
        bin(red, -20.0, 100.0),
        bin(yellow, -30.0, 130.0),
        bin(rough, 0.0, 50.0),
        bin(level, 0.0, 0.8),
    ])
}

/// The cell of radius up to which rings run level over most of the circle.
fn first_circle(grid: &[Vec<Cell>], cells: usize) -> usize {
    let level: Vec<f32> = (0..cells)
        .map(|cell| {
            let seen: Vec<f32> = grid
                .iter()
                .filter_map(|line| line[cell].map(|f| f32::from(f[4])))
                .collect();
            if seen.len() * 20 < grid.len() {
                0.0
            } else {
                seen.iter().sum::<f32>() / seen.len() as f32
            }
        })
        .collect();
    let mut sorted = level.clone();
    sorted.sort_by(f32::total_cmp);
    let threshold = 0.45 * sorted[(sorted.len() * 9 / 10).min(sorted.len().saturating_sub(1))];
    let (mut sum, mut best, mut at) = (0.0, f32::NEG_INFINITY, cells / 2);
    for (cell, value) in level.iter().enumerate() {
        sum += value - threshold;
        if sum > best {
            best = sum;
            at = cell + 1;
        }
    }
    at.max(3)
}

/// Whether rings run on outside the edge much as they do inside it: then what
/// was found is a change of colour in the wood and no bark edge.
fn rings_go_on(grid: &[Vec<Cell>], limit: &[usize], cells: usize) -> bool {
    let level = |from: fn(usize) -> usize, to: fn(usize) -> usize| {
        let (mut sum, mut count) = (0.0_f32, 0.0_f32);
        for (line, &limit) in grid.iter().zip(limit) {
            for features in line[from(limit).min(cells)..to(limit).min(cells)]
                .iter()
                .flatten()
            {
                sum += f32::from(features[4]);
                count += 1.0;
            }
        }
        (sum / count.max(1.0), count)
    };
    let (inside, _) = level(|edge| edge / 2, |edge| edge - edge / 20);
    let (outside, count) = level(|edge| edge + edge / 20 + 1, |edge| edge + edge / 3 + 3);
    count > grid.len() as f32 && outside > 0.8 * inside
}

/// For each cell, the log of how much likelier it is as wood than as the rest.
fn likelihoods(grid: &[Vec<Cell>], limit: &[usize], cells: usize) -> Vec<Vec<f32>> {
    let mut counts = [[[1.0_f32; BINS]; FEATURES]; 2];
    for (line, &limit) in grid.iter().zip(limit) {
        for (cell, features) in line.iter().enumerate() {
            let Some(features) = features else { continue };
            // The band on both sides of the edge before is left out: it may be either.
            if cell.abs_diff(limit) * 25 < limit {
                continue;
            }
            let side = usize::from(cell >= limit);
            for (feature, &bin) in features.iter().enumerate() {
                let bin = usize::from(bin);
                counts[side][feature][bin] += 1.0;
                if bin > 0 {
                    counts[side][feature][bin - 1] += 0.4;
                }
                if bin + 1 < BINS {
                    counts[side][feature][bin + 1] += 0.4;
                }
            }
        }
    }
    let mut table = [[0.0_f32; BINS]; FEATURES];
    for (feature, row) in table.iter_mut().enumerate() {
        let totals = [0, 1].map(|side: usize| counts[side][feature].iter().sum::<f32>());
        for (bin, value) in row.iter_mut().enumerate() {
            let shares = [0, 1].map(|side: usize| {
                (counts[side][feature][bin] + 0.01 * totals[side]) / totals[side]
            });
            *value = (shares[0] / shares[1]).ln().clamp(-2.0, 2.0);
        }
    }
    grid.iter()
        .map(|line| {
            (0..cells)
                .map(|cell| {
                    line[cell].map_or(0.0, |f| {
                        (0..FEATURES)
                            .map(|k| table[k][usize::from(f[k])])
                            .sum::<f32>()
                            / 2.0
                    })
                })
                .collect()
        })
        .collect()
}

/// The edge of each block that gathers most gain inside it and bends little,
/// closed round the circle.
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
            // neighbours are not drawn in.
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
    let mut at = match fixed {
        Some(start) => (start.saturating_sub(reach)..=(start + reach).min(states - 1))
            .max_by(|&a, &b| sums[a].total_cmp(&sums[b]))
            .unwrap_or(free_end),
        None => free_end,
    };
    let mut path = vec![at];
    for from in back.iter().rev() {
        at = usize::from(from[at]);
        path.push(at);
    }
    path.reverse();
    path
}

/// Moves each block's edge to the strongest change of lightness close by.
fn sharpen(edge: &mut BarkEdge, straightened: &Straightened, unrolled: &Unrolled) {
    let columns = straightened.courses.ncols();
    let line_of = |block: usize| -> Vec<f32> {
        let mut sums = vec![0.0_f32; columns];
        for row in block * BLOCK..(block + 1) * BLOCK {
            for (column, sum) in sums.iter_mut().enumerate() {
                let radius = straightened.radius[[row, column]] as usize;
                *sum += unrolled.lightness[[row, radius.min(unrolled.radii() - 1)]] / BLOCK as f32;
            }
        }
        sums
    };
    let reach = 2 * CELL;
    let moved: Vec<f32> = (0..edge.course.len())
        .into_par_iter()
        .map(|block| {
            let course = edge.course[block] as usize;
            if !edge.seen[block] || course < 2 * reach || course + 2 * reach >= columns {
                return edge.course[block];
            }
            let line = line_of(block);
            let step = |at: usize| {
                let inner: f32 = line[at - 4..at].iter().sum();
                let outer: f32 = line[at..at + 4].iter().sum();
                (inner - outer).abs() * (1.0 - 0.5 * at.abs_diff(course) as f32 / reach as f32)
            };
            let best =
                (course - reach..=course + reach).max_by(|&a, &b| step(a).total_cmp(&step(b)));
            inside_dark_band(&line, best.unwrap_or(course)) as f32
        })
        .collect();
    // A median over five blocks, so that one flake of bark moves nothing.
    let n = moved.len();
    edge.course = (0..n)
        .map(|block| {
            let mut near: Vec<f32> = (0..5).map(|k| moved[(block + n + k - 2) % n]).collect();
            near.sort_by(f32::total_cmp);
            near[2]
        })
        .collect();
}

/// The inner side of a dark band that ends at `edge`: bark that was taken for
/// wood. Bands darker than nearly all of the wood and wider than a cell count.
fn inside_dark_band(line: &[f32], edge: usize) -> usize {
    let inner = &line[edge * 4 / 10..edge * 85 / 100];
    if inner.len() < 20 {
        return edge;
    }
    let smooth = crate::smooth::blur_line(&line[..edge], 3.0, crate::smooth::Edge::Repeat);
    let mut sorted = smooth[edge * 4 / 10..edge * 85 / 100].to_vec();
    sorted.sort_by(f32::total_cmp);
    let dark = sorted[sorted.len() / 20].min(0.75 * sorted[sorted.len() / 2]);
    let deepest = edge - edge / 8;
    let band = (deepest..edge.saturating_sub(4))
        .rev()
        .take_while(|&at| smooth[at] < dark)
        .count();
    if band > CELL { edge - 4 - band } else { edge }
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
