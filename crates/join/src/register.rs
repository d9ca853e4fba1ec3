//! Fitting one picture to another to a fraction of a pixel, and whether it is in the one
//! right place.

use crate::plane::{Plane, Sloped};
use crate::ready::Ready;
use crate::similarity::Similarity;
use rayon::prelude::*;

/// How well one picture fits on another.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Fit {
    /// From the first picture to the second.
    pub(crate) by: Similarity,
    /// Correlation of their textures where they overlap, up to 1.
    pub(crate) correlation: f64,
    /// The highest correlation at any other place near by, as a ring further out.
    pub(crate) rival: f64,
    /// Share of the smaller picture that overlaps.
    pub(crate) overlap: f64,
}

/// The best of some guesses, laid as near as can be; None where the pictures do not
/// meet at any of them.
pub(crate) fn lay(first: &Ready, second: &Ready, guesses: &[Similarity]) -> Option<Fit> {
    let mut best: Option<Fit> = None;
    for guess in guesses {
        let fit = refine(&first.coarse, &second.coarse, *guess, 3, 10)
            .and_then(|by| fit(first, second, by, 3));
        if let Some(fit) = fit
            && best.is_none_or(|before| fit.correlation > before.correlation)
        {
            best = Some(fit);
        }
    }
    let mut best = settle(first, second, best?.by)?;
    // A place a ring further may fit better than the one that was found.
    for _ in 0..3 {
        let (rival, shift) = rival(first, second, &best.by)?;
        best.rival = rival;
        if rival <= best.correlation {
            break;
        }
        let mut moved = best.by;
        moved.shift = [moved.shift[0] + shift[0], moved.shift[1] + shift[1]];
        match settle(first, second, moved) {
            Some(fit) if fit.correlation > best.correlation => best = fit,
            _ => break,
        }
    }
    Some(best)
}

fn settle(first: &Ready, second: &Ready, guess: Similarity) -> Option<Fit> {
    let by = refine(&first.coarse, &second.coarse, guess, 2, 12)?;
    let by = refine(&first.fine, &second.fine, by, 1, 12)?;
    fit(first, second, by, 2)
}

/// How well the first picture fits on the second, from places `step` pixels apart.
fn fit(first: &Ready, second: &Ready, by: Similarity, step: usize) -> Option<Fit> {
    let (first, second) = (&first.texture, &second.texture);
    let (correlation, places) = correlation(first, second, &by, step)?;
    let [a, b] = [first, second].map(|plane| (plane.width * plane.height) as f64);
    // Places are counted in the first picture's pixels.
    let overlap = (step * step * places) as f64 / a.min(b / by.scale().powi(2));
    Some(Fit {
        by,
        correlation,
        rival: 0.0,
        overlap,
    })
}

/// Gauss and Newton's steps toward the similarity under which the second picture
/// differs least from the first (Lucas and Kanade 1981), seen at places `every` so many
/// pixels of the first. Large differences count less.
fn refine(
    first: &Sloped,
    second: &Sloped,
    guess: Similarity,
    every: usize,
    most_steps: usize,
) -> Option<Similarity> {
    /// Step below which it has settled, in pixels at the overlap's edge.
    const SETTLED: f64 = 0.005;
    let (width, height) = (first.value.width, first.value.height);
    let middle = [width as f64 / 2.0, height as f64 / 2.0];
    let size = middle[0].max(middle[1]);
    let mut by = guess;
    for _ in 0..most_steps {
        // Normal equations for a change of turn (two numbers) and shift.
        let rows: Vec<Sums> = (0..height)
            .into_par_iter()
            .step_by(every)
            .map(|y| {
                let mut sums = Sums::default();
                for x in (0..width).step_by(every) {
                    let at = [x as f64 + 0.5, y as f64 + 0.5];
                    let Some(seen) = second.sample(by.at(at)) else {
                        continue;
                    };
                    let off = f64::from(seen.value - first.value.px[y * width + x]);
                    let weight = 1.0 / (1.0 + off * off);
                    let [u, v] = [0, 1].map(|c| (at[c] - middle[c]) / size);
                    let [sx, sy] = seen.slope.map(f64::from);
                    sums.add([sx * u + sy * v, sy * u - sx * v, sx, sy], off, weight);
                }
                sums
            })
            .collect();
        let mut sums = Sums::default();
        rows.iter().for_each(|row| sums.take(row));
        if sums.places * every * every < LEAST_PLACES {
            return None;
        }
        let [da, db, dx, dy] = sums.solve()?;
        // The change turns around the middle.
        let (a, b) = (da / size, db / size);
        by = Similarity {
            turn: [by.turn[0] - a, by.turn[1] - b],
            shift: [
                by.shift[0] - dx + a * middle[0] - b * middle[1],
                by.shift[1] - dy + b * middle[0] + a * middle[1],
            ],
        };
        if !(0.5..2.0).contains(&by.scale()) {
            return None;
        }
        if da.hypot(db).max(dx.hypot(dy)) < SETTLED {
            break;
        }
    }
    Some(by)
}

/// Sums of the normal equations of four unknowns.
#[derive(Debug, Clone, Copy, Default)]
struct Sums {
    square: [[f64; 4]; 4],
    right: [f64; 4],
    places: usize,
}

impl Sums {
    fn add(&mut self, by: [f64; 4], off: f64, weight: f64) {
        for i in 0..4 {
            for j in i..4 {
                self.square[i][j] += weight * by[i] * by[j];
            }
            self.right[i] += weight * by[i] * off;
        }
        self.places += 1;
    }

    fn take(&mut self, other: &Self) {
        for i in 0..4 {
            for j in i..4 {
                self.square[i][j] += other.square[i][j];
            }
            self.right[i] += other.right[i];
        }
        self.places += other.places;
    }

    /// Elimination; None where the places tell too little.
    fn solve(mut self) -> Option<[f64; 4]> {
        for i in 0..4 {
            for j in 0..i {
                self.square[i][j] = self.square[j][i];
            }
        }
        for i in 0..4 {
            let pivot = self.square[i][i];
            if pivot.is_nan() || pivot < 1e-6 {
                return None;
            }
            for j in i + 1..4 {
                let times = self.square[j][i] / pivot;
                for k in i..4 {
                    self.square[j][k] -= times * self.square[i][k];
                }
                self.right[j] -= times * self.right[i];
            }
        }
        let mut found = [0.0; 4];
        for i in (0..4).rev() {
            let known: f64 = (i + 1..4).map(|j| self.square[i][j] * found[j]).sum();
            found[i] = (self.right[i] - known) / self.square[i][i];
        }
        Some(found)
    }
}

/// Pixels that must overlap for anything to be said.
const LEAST_PLACES: usize = 3000;

/// Correlation over places of the first picture `step` pixels apart, and how many there are.
fn correlation(
    first: &Plane,
    second: &Plane,
    by: &Similarity,
    step: usize,
) -> Option<(f64, usize)> {
    let rows: Vec<[f64; 6]> = (0..first.height)
        .into_par_iter()
        .step_by(step)
        .map(|y| {
            let mut sums = [0.0; 6];
            for x in (0..first.width).step_by(step) {
                let Some(b) = second.sample(by.at([x as f64 + 0.5, y as f64 + 0.5])) else {
                    continue;
                };
                let a = first.px[y * first.width + x];
                add(&mut sums, f64::from(a), f64::from(b));
            }
            sums
        })
        .collect();
    let mut sums = [0.0; 6];
    for row in &rows {
        sums.iter_mut()
            .zip(row)
            .for_each(|(sum, more)| *sum += more);
    }
    if sums[0] * (step * step) as f64 <= LEAST_PLACES as f64 {
        return None;
    }
    correlated(sums).map(|correlation| (correlation, sums[0] as usize))
}

/// The highest correlation at another place within [`AROUND`] pixels, where it is higher
/// than at all places beside it, and how far away that is.
fn rival(first: &Ready, second: &Ready, by: &Similarity) -> Option<(f64, [f64; 2])> {
    /// Nearer than this it is the same place.
    const SAME: i32 = 3;
    let overlap = Overlap::new(&first.texture, &second.texture, by)?;
    let side = 2 * AROUND + 1;
    let moved = |i: usize| [i as i32 % side - AROUND, i as i32 / side - AROUND];
    let surface: Vec<f64> = (0..(side * side) as usize)
        .into_par_iter()
        .map(|i| overlap.correlation(&second.texture, moved(i).map(f64::from)))
        .collect();
    let at = |[x, y]: [i32; 2]| surface.get(((y + AROUND) * side + x + AROUND) as usize);
    let mut best = (-1.0, [0; 2]);
    for (i, here) in surface.iter().enumerate() {
        let [x, y] = moved(i);
        let reach = x.abs().max(y.abs());
        let highest = || {
            (-1..=1)
                .flat_map(|dy| (-1..=1).map(move |dx| [x + dx, y + dy]))
                .all(|beside| at(beside).is_none_or(|other| other <= here))
        };
        if (SAME..AROUND).contains(&reach) && *here > best.0 && highest() {
            best = (*here, [x, y]);
        }
    }
    Some((best.0, best.1.map(f64::from)))
}

/// How far other places are looked for, in pixels: two to six rings.
const AROUND: i32 = 36;

/// Places that two pictures share: value, and where it is.
struct Overlap(Vec<(f32, [f64; 2])>);

impl Overlap {
    /// A few thousand places, spread evenly.
    fn new(first: &Plane, second: &Plane, by: &Similarity) -> Option<Self> {
        /// Enough to tell a correlation of a tenth from none.
        const ENOUGH: usize = 4000;
        let shared = |x: usize, y: usize| {
            let at = by.at([x as f64 + 0.5, y as f64 + 0.5]);
            second
                .sample(at)
                .map(|_| (first.px[y * first.width + x], at))
        };
        let gather = |step: usize| -> Vec<(f32, [f64; 2])> {
            (0..first.height)
                .step_by(step)
                .flat_map(|y| {
                    (0..first.width)
                        .step_by(step)
                        .filter_map(move |x| shared(x, y))
                })
                .collect()
        };
        let few = gather(8);
        let step = (8.0 * (few.len() as f64 / ENOUGH as f64).sqrt()).clamp(2.0, 8.0);
        let places = gather(step as usize);
        (places.len() > ENOUGH / 8).then_some(Self(places))
    }

    /// Correlation with the second picture moved by so many pixels.
    fn correlation(&self, second: &Plane, shift: [f64; 2]) -> f64 {
        let mut sums = [0.0; 6];
        for (value, at) in &self.0 {
            if let Some(there) = second.sample([at[0] + shift[0], at[1] + shift[1]]) {
                add(&mut sums, f64::from(*value), f64::from(there));
            }
        }
        correlated(sums).unwrap_or(-1.0)
    }
}

/// Adds a pair of values to the sums of which a correlation is made.
fn add(sums: &mut [f64; 6], a: f64, b: f64) {
    for (sum, more) in sums.iter_mut().zip([1.0, a, b, a * a, b * b, a * b]) {
        *sum += more;
    }
}

/// Their correlation; None where one of the two does not vary.
fn correlated([n, a, b, aa, bb, ab]: [f64; 6]) -> Option<f64> {
    let spread = (aa - a * a / n) * (bb - b * b / n);
    (spread > 0.0).then(|| (ab - a * b / n) / spread.sqrt())
}
