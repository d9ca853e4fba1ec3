//! The network that sees the wood of a whole photo and its pith.

use crate::field::Field;
use crate::layers::{Rows, chance};
use crate::unet::Unet;
use crate::view::{SMALL, small, small_part};
use crate::weights::{self, Weights};
use ndarray::{Array2, Array3, Axis};
use photo::Face;
use std::sync::{LazyLock, OnceLock};
use wood::{Point, Px};

/// What is seen in a whole photo.
#[derive(Debug, Clone)]
pub struct SeenScene {
    /// Chance that a place belongs to the sawn face, `[y, x]`, in cells of
    /// [`Self::cell_px`]; 0 for all wood but one face.
    pub wood: Array2<f32>,
    /// Whether a cell is on the face or close outside it.
    near: Array2<bool>,
    /// Photo pixels of a cell.
    pub cell_px: f64,
    /// Where the pith is most likely, as seen close by, and how likely it looks
    /// in the whole photo, 0 to 1.
    pub pith: (Point, f32),
    /// Where the ways to the pith that all places of the wood point meet, and
    /// how far from it they pass by on average; it may be outside the photo.
    pub meeting: Option<(Point, Px)>,
    /// The way to the pith of each cell, right and down, as one look at the photo gives it.
    ways: Array2<[f32; 2]>,
    /// The mean of four looks at it, once [`Self::points_at`] was asked for it.
    four_looks: OnceLock<Array2<[f32; 2]>>,
}

impl SeenScene {
    /// Share of the photo that the face takes, 0 to 1.
    #[must_use]
    pub fn share(&self) -> f64 {
        self.wood.iter().filter(|&&chance| chance > WOOD).count() as f64 / self.wood.len() as f64
    }

    /// Chance that a place of the photo belongs to the face; 0 outside the photo.
    #[must_use]
    pub fn wood_at(&self, place: Point) -> f32 {
        let (rows, columns) = self.wood.dim();
        let x = (place.x_px / self.cell_px - 0.5).clamp(0.0, columns as f64 - 1.0);
        let y = (place.y_px / self.cell_px - 0.5).clamp(0.0, rows as f64 - 1.0);
        let (left, top) = (x as usize, y as usize);
        let (right, bottom) = ((left + 1).min(columns - 1), (top + 1).min(rows - 1));
        let (across, down) = ((x - left as f64) as f32, (y - top as f64) as f32);
        let above = self.wood[[top, left]] * (1.0 - across) + self.wood[[top, right]] * across;
        let below =
            self.wood[[bottom, left]] * (1.0 - across) + self.wood[[bottom, right]] * across;
        above * (1.0 - down) + below * down
    }

    /// Whether a place is on the face or close outside it.
    #[must_use]
    pub fn is_near(&self, place: Point) -> bool {
        let (rows, columns) = self.near.dim();
        let (x, y) = (place.x_px / self.cell_px, place.y_px / self.cell_px);
        x >= 0.0
            && y >= 0.0
            && (x as usize) < columns
            && (y as usize) < rows
            && self.near[[y as usize, x as usize]]
    }

    /// Distance from a place to the farthest cell on or close to the face.
    #[must_use]
    pub fn reach_from(&self, place: Point) -> Px {
        let farthest = self
            .near
            .indexed_iter()
            .filter(|(_, near)| **near)
            .map(|((y, x), _)| {
                let cell = Point::new(
                    (x as f64 + 0.5) * self.cell_px,
                    (y as f64 + 0.5) * self.cell_px,
                );
                place.distance(cell).0
            })
            .fold(0.0, f64::max);
        Px(farthest + self.cell_px)
    }

    /// How far all of the face points at a place as its pith, about 1 for a sawn face
    /// around its pith, less where parts point elsewhere or nowhere; from four looks at
    /// the whole photo, which must be the one that was seen: as it is, upside down, left
    /// to right and both. 0 where no wood is seen. Cost: three times [`see_scene`], once
    /// for a scene.
    #[must_use]
    pub fn points_at(&self, place: Point, face: &Face) -> f64 {
        let ways = self.four_looks.get_or_init(|| self.mean_ways(face));
        let (mut sum, mut count) = (0.0_f64, 0_usize);
        for ((y, x), &wood) in self.wood.indexed_iter() {
            if wood > WOOD {
                let across = place.x_px / self.cell_px - x as f64 - 0.5;
                let down = place.y_px / self.cell_px - y as f64 - 0.5;
                let [right, below] = ways[[y, x]].map(f64::from);
                sum += (right * across + below * down) / across.hypot(down).max(1e-3);
                count += 1;
            }
        }
        sum / count.max(1) as f64
    }

    /// The way to the pith of each cell, right and down, as the mean of four looks.
    fn mean_ways(&self, face: &Face) -> Array2<[f32; 2]> {
        let (picture, _) = small(face);
        let (rows, columns) = self.ways.dim();
        let mut mean = self.ways.mapv(|way| way.map(|part| 0.25 * part));
        for (upended, aside) in [(true, false), (false, true), (true, true)] {
            let look = places(&mirrored(&picture, (rows, columns), (upended, aside)));
            let sign = |turned: bool| if turned { -0.25 } else { 0.25 };
            for ((y, x), way) in mean.indexed_iter_mut() {
                let row = if upended { rows - 1 - y } else { y };
                let column = if aside { columns - 1 - x } else { x };
                way[0] += sign(aside) * look[[row, 2, column]];
                way[1] += sign(upended) * look[[row, 3, column]];
            }
        }
        mean
    }
}

/// A small picture with the part that holds the photo, `size` rows and columns of it,
/// turned upside down, left to right, or both.
fn mirrored(
    picture: &Array3<f32>,
    (rows, columns): (usize, usize),
    (upended, aside): (bool, bool),
) -> Array3<f32> {
    let turned = |turns: bool, at: usize, size: usize| {
        if turns && at < size {
            size - 1 - at
        } else {
            at
        }
    };
    Array3::from_shape_fn(picture.dim(), |(channel, y, x)| {
        picture[[channel, turned(upended, y, rows), turned(aside, x, columns)]]
    })
}

/// Chance from which a cell is taken for wood. The likelier of the two.
const WOOD: f32 = 0.5;
/// How far outside the face is still close, as a share of its radius. Chosen: bark, and
/// as far as the coarse picture may be off.
const CLOSE: f64 = 0.08;
/// Levels of the network, as `training/nets.py` has it.
const LEVELS: usize = 6;

static SCENE: LazyLock<Unet> = LazyLock::new(|| {
    let weights = Weights::of(weights::scene());
    Unet::of(&weights, LEVELS, Rows::Flat)
});

/// What the scene network sees in a photo.
///
/// # Method
/// Our own network, learned on drawn faces and real photos (`training/`), over the
/// photo shrunk to 256 by 256: for each place whether it is wood, whether it is
/// the pith, and which way the pith is. Cost: the same for every photo.
#[must_use]
pub fn see_scene(face: &Face) -> SeenScene {
    let (picture, cell_px) = small(face);
    let places = places(&picture);
    let (width, height) = face.rgb.dimensions();
    let (rows, columns) = (cells(height, cell_px), cells(width, cell_px));
    let mut wood = Array2::from_shape_fn((rows, columns), |(y, x)| chance(places[[y, 0, x]]));
    keep_one_face(&mut wood);
    let (pith, likely) = likeliest(&places, rows, columns, cell_px);
    SeenScene {
        pith: (closer(face, pith, likely), likely),
        meeting: meeting(&places, &wood, cell_px),
        near: grown(&wood),
        ways: Array2::from_shape_fn((rows, columns), |(y, x)| {
            [places[[y, 2, x]], places[[y, 3, x]]]
        }),
        four_looks: OnceLock::new(),
        wood,
        cell_px,
    }
}

/// Cells of the small picture that a side of so many photo pixels takes.
fn cells(px: u32, cell_px: f64) -> usize {
    ((f64::from(px) / cell_px).round() as usize).clamp(1, SMALL)
}

fn places(picture: &Array3<f32>) -> Field {
    let field = Field::of((SMALL, 3, SMALL), |y, to| {
        for (channel, plane) in picture.axis_iter(Axis(0)).enumerate() {
            let to = to.line_mut(channel).iter_mut();
            to.zip(plane.row(y)).for_each(|(to, from)| *to = *from);
        }
    });
    let (places, _) = SCENE.run(&field);
    places
}

/// Sides of the closer looks at the pith, as shares of the photo's longer side. Where
/// rings are narrow, few of them can be separated in the whole photo; the same look
/// twice, for from the place it found it sees the pith in its middle. Chosen on drawn
/// faces with narrow rings.
const CLOSER: [f64; 4] = [0.3, 0.2, 0.2, 0.1];
/// Nothing is looked at twice where the pith was in the middle already, within this
/// share of the side. Chosen: five pixels of the 256.
const MIDDLE: f64 = 0.02;
/// A closer look counts that is so many times as sure as the surest before it: where
/// rings are wide, it sees too few of them (chosen).
const AS_SURE: f32 = 0.7;
/// Least side of a closer look, in photo pixels (chosen): nothing is gained from fewer.
const LEAST_SIDE: u32 = 160;

/// The pith once more, from ever closer looks at the photo around it.
fn closer(face: &Face, mut pith: Point, mut surest: f32) -> Point {
    let (width, height) = face.rgb.dimensions();
    let longest = f64::from(width.max(height));
    let mut seen = (0, f64::INFINITY);
    for share in CLOSER {
        let side = ((share * longest) as u32).max(LEAST_SIDE);
        if side == seen.0 && seen.1 < MIDDLE * f64::from(side) {
            continue;
        }
        let (across, down) = (side.min(width), side.min(height));
        let corner = |center: f64, side: u32, limit: u32| {
            (center - f64::from(side) / 2.0).clamp(0.0, f64::from(limit - side)) as u32
        };
        let left = corner(pith.x_px, across, width);
        let top = corner(pith.y_px, down, height);
        let (picture, cell) = small_part(face, left, top, across, down);
        let (rows, columns) = (cells(down, cell), cells(across, cell));
        let (found, sure) = likeliest(&places(&picture), rows, columns, cell);
        if sure < AS_SURE * surest {
            break;
        }
        let found = Point::new(found.x_px + f64::from(left), found.y_px + f64::from(top));
        seen = (side, found.distance(pith).0);
        pith = found;
        surest = surest.max(sure);
    }
    pith
}

/// Keeps the largest patch of wood and takes the chance from all others.
fn keep_one_face(wood: &mut Array2<f32>) {
    let (rows, columns) = wood.dim();
    let mut patch = Array2::<u32>::zeros((rows, columns));
    let mut sizes = vec![0_usize];
    for start in 0..rows * columns {
        let at = [start / columns, start % columns];
        if patch[at] != 0 || wood[at] <= WOOD {
            continue;
        }
        let name = sizes.len() as u32;
        sizes.push(0);
        let mut open = vec![at];
        patch[at] = name;
        while let Some([y, x]) = open.pop() {
            sizes[name as usize] += 1;
            let beside = [
                [y.wrapping_sub(1), x],
                [y + 1, x],
                [y, x.wrapping_sub(1)],
                [y, x + 1],
            ];
            for next in beside {
                if next[0] < rows && next[1] < columns && patch[next] == 0 && wood[next] > WOOD {
                    patch[next] = name;
                    open.push(next);
                }
            }
        }
    }
    let largest = (1..sizes.len())
        .max_by_key(|&name| sizes[name])
        .unwrap_or(0) as u32;
    for (chance, name) in wood.iter_mut().zip(&patch) {
        if *name != largest && *chance > WOOD {
            *chance = 0.0;
        }
    }
}

/// The face and what is close outside it.
fn grown(wood: &Array2<f32>) -> Array2<bool> {
    let (rows, columns) = wood.dim();
    let cells = wood.iter().filter(|&&chance| chance > WOOD).count();
    let reach = (CLOSE * (cells as f64 / std::f64::consts::PI).sqrt()).max(2.0) as usize;
    let spread = |line: Vec<bool>| -> Vec<bool> {
        (0..line.len())
            .map(|i| {
                line[i.saturating_sub(reach)..(i + reach + 1).min(line.len())]
                    .iter()
                    .any(|&on| on)
            })
            .collect()
    };
    let mut near = wood.mapv(|chance| chance > WOOD);
    for row in 0..rows {
        let line = spread(near.row(row).to_vec());
        near.row_mut(row)
            .iter_mut()
            .zip(line)
            .for_each(|(to, on)| *to = on);
    }
    for column in 0..columns {
        let line = spread(near.column(column).to_vec());
        near.column_mut(column)
            .iter_mut()
            .zip(line)
            .for_each(|(to, on)| *to = on);
    }
    near
}

/// The likeliest pith, to a fraction of a cell by its neighbors' weight.
fn likeliest(places: &Field, rows: usize, columns: usize, cell_px: f64) -> (Point, f32) {
    let (mut best, mut at) = (f32::NEG_INFINITY, (0, 0));
    for y in 0..rows {
        for x in 0..columns {
            if places[[y, 1, x]] > best {
                (best, at) = (places[[y, 1, x]], (y, x));
            }
        }
    }
    let (mut sum, mut across, mut down) = (0.0_f64, 0.0, 0.0);
    for y in at.0.saturating_sub(3)..(at.0 + 4).min(rows) {
        for x in at.1.saturating_sub(3)..(at.1 + 4).min(columns) {
            let weight = f64::from(chance(places[[y, 1, x]]));
            sum += weight;
            across += weight * (x as f64 + 0.5);
            down += weight * (y as f64 + 0.5);
        }
    }
    let sum = sum.max(1e-9);
    (
        Point::new(across / sum * cell_px, down / sum * cell_px),
        chance(best),
    )
}

/// The place nearest to all lines that the wood's places point along, by least
/// squares, three times: from the second time on, lines that pass far by weigh less.
fn meeting(places: &Field, wood: &Array2<f32>, cell_px: f64) -> Option<(Point, Px)> {
    let mut lines: Vec<[f64; 5]> = Vec::new();
    for ((y, x), &chance) in wood.indexed_iter().step_by(3) {
        let (dx, dy) = (f64::from(places[[y, 2, x]]), f64::from(places[[y, 3, x]]));
        let length = dx.hypot(dy);
        if chance > 0.6 && length > 0.3 {
            let weight = length.min(1.0);
            lines.push([
                x as f64 + 0.5,
                y as f64 + 0.5,
                -dy / length,
                dx / length,
                weight,
            ]);
        }
    }
    let mut found: Option<((f64, f64), f64)> = None;
    for _ in 0..3 {
        let (mut a, mut b, mut c, mut p, mut q) = (1e-9, 0.0, 1e-9, 0.0, 0.0);
        for [x, y, nx, ny, weight] in &lines {
            let along = nx * x + ny * y;
            let by = found.map_or(1.0, |((fx, fy), limit)| {
                let off = (nx * fx + ny * fy - along).abs();
                1.0 / (1.0 + (off / limit.max(0.5)).powi(2))
            });
            let w = weight * by;
            a += w * nx * nx;
            b += w * nx * ny;
            c += w * ny * ny;
            p += w * nx * along;
            q += w * ny * along;
        }
        let determinant = a * c - b * b;
        if lines.len() < 40 || determinant < 1e-3 * (a + c).powi(2) {
            return None;
        }
        let at = ((c * p - b * q) / determinant, (a * q - b * p) / determinant);
        let mut offs: Vec<f64> = lines
            .iter()
            .map(|[x, y, nx, ny, _]| (nx * (at.0 - x) + ny * (at.1 - y)).abs())
            .collect();
        offs.sort_by(f64::total_cmp);
        found = Some((at, offs[offs.len() / 2]));
    }
    found.map(|((x, y), off)| (Point::new(x * cell_px, y * cell_px), Px(off * cell_px)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::Value;

    /// A round face with rings six pixels wide, its pith off its middle, on dark ground:
    /// the picture that `tests/reference/make_sight.py` gave to PyTorch.
    fn picture() -> Array3<f32> {
        Array3::from_shape_fn((3, SMALL, SMALL), |(channel, y, x)| {
            let (x, y) = (x as f64 + 0.5, y as f64 + 0.5);
            let ring = (x - 140.5).hypot(y - 120.25) / 6.0;
            let inside = (x - 132.0).hypot(y - 128.0) < 96.0;
            let value = match (channel, inside) {
                (0, true) => 0.9 - 0.8 * (ring - ring.floor()).powi(3),
                (0, false) => -1.2 + 0.3 * (0.21 * x).sin() * (0.17 * y).cos(),
                (1, true) => 0.6,
                (1, false) => -0.2,
                (_, true) => 0.8,
                (_, false) => 0.3,
            };
            value as f32
        })
    }

    #[test]
    fn only_the_part_that_holds_the_photo_is_mirrored() {
        let picture = Array3::from_shape_fn((1, 4, 4), |(_, y, x)| (10 * y + x) as f32);
        let line = |turned: &Array3<f32>, y: usize| -> Vec<f32> {
            (0..4).map(|x| turned[[0, y, x]]).collect()
        };
        let upended = mirrored(&picture, (3, 2), (true, false));
        assert_eq!(line(&upended, 0), [20.0, 21.0, 22.0, 23.0]);
        assert_eq!(line(&upended, 3), [30.0, 31.0, 32.0, 33.0]);
        let both = mirrored(&picture, (3, 2), (true, true));
        assert_eq!(line(&both, 0), [21.0, 20.0, 22.0, 23.0]);
        assert_eq!(mirrored(&both, (3, 2), (true, true)), picture);
    }

    /// 0.02 of log odds of up to 20, and of ways of length 1: the same weights in 16 bits
    /// on both sides, the sums in single precision in another order.
    #[test]
    fn the_scene_network_agrees_with_pytorch() {
        let text = include_str!("../../../tests/reference/scene.json");
        let expected: Value = serde_json::from_str(text).unwrap();
        let found = places(&picture());
        for (output, name) in ["wood", "pith", "way_x", "way_y"].into_iter().enumerate() {
            let values = expected[name].as_array().unwrap();
            assert_eq!(values.len(), 256, "{name}");
            for (nth, value) in values.iter().enumerate() {
                let (y, x) = (8 + nth / 16 * 16, 8 + nth % 16 * 16);
                let (found, value) = (f64::from(found[[y, output, x]]), value.as_f64().unwrap());
                assert!(
                    (found - value).abs() < 0.02,
                    "{name} at {x},{y}: {found}, PyTorch has {value}"
                );
            }
        }
    }
}
