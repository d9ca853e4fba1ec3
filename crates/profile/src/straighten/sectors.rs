//! Sectors of the circle laid against each other, ring for ring.
//!
//! # Method
//! Our own. Slopes do not show that a sector is a whole ring off: its rings
//! run as level there as in their place. What shows it is the pattern of rings along
//! the radius, wide and narrow, dark and light, by which one tree is dated by
//! another. Each sector is laid against what those before it show together, by
//! dynamic time warping (Sakoe and Chiba 1978, from memory): along the radius its
//! shift may change where the rest then fits better by more than the change
//! costs. It begins where neighbors agree best and grows both ways round the
//! circle; then each sector is laid against all others once more.
//!
//! The bark is the end of the same year on all sides. Where the photo cuts the
//! outer wood into parts that touch nowhere, nothing else ties them together.

use super::grid::row_of;
use super::{fewer_rows, row_at, typical};
use crate::smooth::{Edge, blur_across, blur_line};
use ndarray::{Array2, ArrayView1, Zip};
use rayon::prelude::*;

/// Sectors of the circle, or as many as there are rows. Chosen: some six degrees each,
/// wide enough to average out pores.
const SECTORS: usize = 64;
/// How sectors may be moved.
struct Moves {
    /// Farthest that a sector is looked for, in ring spacings.
    reach: f32,
    /// What a shift that changes by a course costs, in courses that fit fully.
    cost: f32,
    /// Shifts under this share of a ring are none, and left to slopes.
    least: f32,
}
/// Spacing in courses under which rings are narrow: as wide as rings are where courses
/// are pooled for the network.
const FEW_STEPS: f32 = 9.0;
/// Rings a few steps wide: a slip that begins with one grows outward to many. At the
/// cost that lets a sector be moved so far, small shifts are noise. Chosen on drawn
/// faces with narrow rings, one of which slipped by eighteen.
const NARROW: Moves = Moves {
    reach: 12.0,
    cost: 1.1,
    least: 0.6,
};
/// All others: they are few, and at a low cost their noise would be fitted (chosen).
const WIDE: Moves = Moves {
    reach: 2.5,
    cost: 3.0,
    least: 0.0,
};
/// The farthest that a sector is looked for in courses, at least and at most. Chosen:
/// the upper one limits the time.
const REACH_COURSES: (usize, usize) = (6, 100);
/// What few sectors show together counts as if so many showed nothing: noise that two
/// have in common is no pattern (chosen).
const NOTHING: f32 = 4.0;
/// Smoothing of the patterns, and of their local mean and spread, in spacings. Chosen:
/// an eighth of a ring keeps latewood and removes pores, a ring and a bit removes
/// shade.
const FINE: f32 = 0.12;
/// The same of their local mean and spread, in spacings.
const AROUND: f32 = 1.2;
/// The least spread that a pattern is divided by, for the usual one. Chosen: where a
/// pattern is weaker than that, it is noise.
const LEAST_SPREAD: f32 = 0.3;
/// What a course of wood laid on one outside the bark costs, in steps of shift. More
/// than any pattern can gain there: bark is never laid on wood (chosen).
const BARK: f32 = 4.0;
/// Spacings behind the bark in which this costs nothing: so near, its place is left to
/// slopes. Chosen: half a ring, as far as slopes place it well.
const NEAR_BARK: f32 = 0.5;
/// The farthest, in courses, that a sector is looked for to bring its bark to that of
/// the others. Chosen for time: a face that is cut further apart stays as it is.
const BARK_REACH: usize = 160;
/// Share of the circle over which the plainest place is looked for. Two sectors, so
/// that one good one does not decide (chosen).
const PLAINEST: f32 = 1.0 / 32.0;
/// Smoothing of the shifts along the radius, in spacings. Chosen: a shift changes over
/// a quarter of a ring, not from one course to the next.
const SOFTENED: f32 = 0.25;

/// The sectors of a circle, with what each shows along its radius.
pub(super) struct Sectors {
    /// Two kinds of pattern, each less its local mean, in local spreads, times
    /// the weight, `[sector, course]`.
    patterns: [Array2<f32>; 2],
    /// How far a sector is seen, 0 to 1, `[sector, course]`.
    weight: Array2<f32>,
    /// How far what is well outside the wood is seen, 0 to 1, `[sector, course]`.
    outside: Array2<f32>,
    /// Courses between the barks that are farthest in and out.
    barks_apart: usize,
    /// Usual ring spacing in courses.
    spacing: f32,
}

/// What some sectors show together: the sums over them, by course.
#[derive(Clone)]
struct Together {
    patterns: [Vec<f32>; 2],
    weight: Vec<f32>,
    outside: Vec<f32>,
}

/// How far out each course of the others is found in a sector, in courses.
type Shift = Vec<i16>;

impl Sectors {
    /// From two kinds of pattern, how far they can be trusted, and how far a place
    /// is seen to be outside the wood, both 0 to 1, all `[row, course]`.
    pub(super) fn of(
        patterns: [&Array2<f32>; 2],
        trust: &Array2<f32>,
        outside: &Array2<f32>,
        spacing: f32,
    ) -> Self {
        let count = SECTORS.min(trust.nrows());
        let weight = fewer_rows(trust, count);
        let mut outside = fewer_rows(outside, count);
        let barks: Vec<Option<usize>> = weight
            .rows()
            .into_iter()
            .zip(outside.rows())
            .map(|(wood, outside)| bark(wood, outside))
            .collect();
        keep_clear(&mut outside, &barks, (NEAR_BARK * spacing) as usize);
        let window = Window::of(&weight, spacing);
        let patterns = patterns.map(|pattern| {
            let mut sum = fewer_rows(&(pattern * trust), count);
            Zip::from(&mut sum)
                .and(&weight)
                .for_each(|sum, weight| *sum /= weight.max(0.01));
            window.flattened(&sum, &weight)
        });
        Self {
            patterns,
            weight,
            outside,
            barks_apart: apart(&barks),
            spacing,
        }
    }

    /// The courses with each sector moved to where it fits the others; `radius`
    /// is `[row, course]`. From the middle of one sector to that of the next the
    /// shift changes evenly.
    pub(super) fn settled(&self, radius: &Array2<f32>) -> Array2<f32> {
        let softened = SOFTENED * self.spacing;
        let shifts = along_radius(self.shifts(), softened);
        let together = radius.nrows() / shifts.nrows();
        let last = radius.ncols() - 1;
        let mut out = Array2::zeros(radius.raw_dim());
        Zip::indexed(out.rows_mut()).par_for_each(|row, mut to| {
            let from = radius.row(row);
            let mut shift = vec![0.0; from.len()];
            row_at(&shifts, row, together, &mut shift);
            let mut least = 0.0_f32;
            for (course, (to, shift)) in to.iter_mut().zip(shift).enumerate() {
                let at = (course as f32 + shift).clamp(0.0, last as f32);
                let below = (at as usize).min(last.saturating_sub(1));
                let (low, high) = (from[below], from[(below + 1).min(last)]);
                *to = (low + (at - below as f32) * (high - low)).max(least);
                least = *to + 0.02;
            }
        });
        out
    }

    /// The shift of each sector, `[sector, course]`.
    fn shifts(&self) -> Array2<f32> {
        let (count, courses) = self.weight.dim();
        let plainest = self.plainest();
        let mut shifts: Vec<Shift> = vec![vec![0; courses]; count];
        let mut together = Together::nothing(courses);
        together.count(self, plainest, &shifts[plainest], 1.0);
        for nth in 1..count {
            let far = nth.div_ceil(2);
            let sector = (plainest + if nth % 2 == 1 { far } else { count - far }) % count;
            shifts[sector] = self.laid(sector, &together);
            together.count(self, sector, &shifts[sector], 1.0);
        }
        let again: Vec<Shift> = (0..count)
            .into_par_iter()
            .map(|sector| {
                let mut others = together.clone();
                others.count(self, sector, &shifts[sector], -1.0);
                self.laid(sector, &others)
            })
            .collect();
        let least = self.moves().least * self.spacing;
        Array2::from_shape_fn((count, courses), |(sector, course)| {
            let shift = f32::from(again[sector][course]);
            if shift.abs() < least { 0.0 } else { shift }
        })
    }

    fn moves(&self) -> &'static Moves {
        if self.spacing < FEW_STEPS {
            &NARROW
        } else {
            &WIDE
        }
    }

    /// The farthest that a sector is looked for, in courses: as far as rings may
    /// have slipped, and as far as the bark of one is outside that of another.
    fn reach(&self) -> usize {
        let rings = (self.moves().reach * self.spacing).ceil() as usize;
        let apart = self.barks_apart + self.spacing as usize;
        let slipped = rings.clamp(REACH_COURSES.0, REACH_COURSES.1);
        slipped.max(apart.min(BARK_REACH))
    }

    /// The sector around which neighbors agree best.
    fn plainest(&self) -> usize {
        let count = self.weight.nrows();
        let alike: Vec<f32> = (0..count)
            .map(|sector| {
                let next = (sector + 1) % count;
                let alike = |pattern: &Array2<f32>| pattern.row(sector).dot(&pattern.row(next));
                self.patterns.iter().map(alike).sum()
            })
            .collect();
        let alike = blur_line(&alike, PLAINEST * count as f32, Edge::Wrap);
        (0..count)
            .max_by(|&a, &b| alike[a].total_cmp(&alike[b]))
            .unwrap_or(0)
    }

    /// How a sector fits best to what others show.
    fn laid(&self, sector: usize, others: &Together) -> Shift {
        let courses = self.weight.ncols();
        let reach = self.reach();
        let cost = self.moves().cost;
        let wide = 2 * reach + 1;
        let [first, second] = &self.patterns;
        let own = [first, second, &self.weight, &self.outside].map(|field| {
            let mut padded = vec![0.0; courses + 2 * reach];
            padded[reach..reach + courses].copy_from_slice(row_of(field, sector));
            padded
        });
        // The best that each shift can reach, with nothing beyond either end.
        let mut best = vec![f32::NEG_INFINITY; wide + 2];
        for (at, best) in best[1..=wide].iter_mut().enumerate() {
            *best = -cost * at.abs_diff(reach) as f32;
        }
        let mut next = best.clone();
        let mut came = vec![0_i8; courses * wide];
        for (course, came) in came.chunks_mut(wide).enumerate() {
            let (wood, outside) = (others.weight[course], others.outside[course]);
            let share = 1.0 / (wood + NOTHING);
            let [first, second] = [0, 1].map(|kind: usize| share * others.patterns[kind][course]);
            let against = -BARK * cost / (wood + outside + NOTHING);
            let (on_wood, on_outside) = (against * outside, against * wood);
            let own = own.each_ref().map(|own| &own[course..course + wide]);
            let ways = best.windows(3).zip(&mut next[1..=wide]).zip(came);
            let own = own[0].iter().zip(own[1]).zip(own[2].iter().zip(own[3]));
            for (((ways, next), came), ((a, b), (own_wood, own_outside))) in ways.zip(own) {
                let (nearer, farther) = (ways[0] - cost, ways[2] - cost);
                let (mut most, mut way) = (ways[1], 0);
                if nearer > most {
                    (most, way) = (nearer, -1);
                }
                if farther > most {
                    (most, way) = (farther, 1);
                }
                *next =
                    most + first * a + second * b + on_wood * own_wood + on_outside * own_outside;
                *came = way;
            }
            std::mem::swap(&mut best, &mut next);
        }
        let mut at = (0..wide)
            .max_by(|&a, &b| best[a + 1].total_cmp(&best[b + 1]))
            .unwrap_or(reach);
        let mut shift = vec![0; courses];
        for (shift, came) in shift.iter_mut().zip(came.chunks(wide)).rev() {
            *shift = at as i16 - reach as i16;
            at = at.saturating_add_signed(isize::from(came[at]));
        }
        shift
    }
}

impl Together {
    fn nothing(courses: usize) -> Self {
        let nothing = vec![0.0; courses];
        Self {
            patterns: [nothing.clone(), nothing.clone()],
            weight: nothing.clone(),
            outside: nothing,
        }
    }

    /// Counts a sector in, or with `times` -1 out again.
    fn count(&mut self, sectors: &Sectors, sector: usize, shift: &[i16], times: f32) {
        let last = self.weight.len() - 1;
        let own = sectors
            .patterns
            .each_ref()
            .map(|pattern| pattern.row(sector));
        let weight = sectors.weight.row(sector);
        let outside = sectors.outside.row(sector);
        for (course, &shift) in shift.iter().enumerate() {
            let at = course.saturating_add_signed(isize::from(shift)).min(last);
            for (sum, own) in self.patterns.iter_mut().zip(&own) {
                sum[course] += times * own[at];
            }
            self.weight[course] += times * weight[at];
            self.outside[course] += times * outside[at];
        }
    }
}

/// Takes what is seen outside the wood away where no bark is seen, and before and
/// for some courses behind it where one is.
fn keep_clear(outside: &mut Array2<f32>, barks: &[Option<usize>], courses: usize) {
    for (outside, bark) in outside.rows_mut().into_iter().zip(barks) {
        let from = bark.map_or(usize::MAX, |bark| bark + courses);
        let near = outside.into_iter().take(from);
        near.for_each(|outside| *outside = 0.0);
    }
}

/// Courses between the barks that are farthest in and out.
fn apart(barks: &[Option<usize>]) -> usize {
    let seen = || barks.iter().flatten();
    seen().max().unwrap_or(&0) - seen().min().unwrap_or(&0)
}

/// The course at which a sector goes from wood to what is outside, where it is
/// seen to.
fn bark(wood: ArrayView1<'_, f32>, outside: ArrayView1<'_, f32>) -> Option<usize> {
    /// Courses outside the bark that must be seen for it to be bark (chosen).
    const SEEN: f32 = 3.0;
    let (mut sum, mut most, mut at) = (0.0, 0.0, 0);
    for (course, (wood, outside)) in wood.iter().zip(outside).enumerate() {
        sum += wood - outside;
        if sum > most {
            (most, at) = (sum, course + 1);
        }
    }
    (outside.iter().skip(at).sum::<f32>() > SEEN).then_some(at)
}

/// How far the patterns are smoothed, and how much is seen within that.
struct Window {
    fine: f32,
    around: f32,
    seen_fine: Array2<f32>,
    seen_around: Array2<f32>,
}

impl Window {
    fn of(weight: &Array2<f32>, spacing: f32) -> Self {
        let (fine, around) = (FINE * spacing, AROUND * spacing);
        Self {
            fine,
            around,
            seen_fine: along_radius(weight.clone(), fine).mapv(|seen| seen + 0.02),
            seen_around: along_radius(weight.clone(), around).mapv(|seen| seen + 1e-3),
        }
    }

    /// A pattern less its local mean, in local spreads, times its weight.
    fn flattened(&self, pattern: &Array2<f32>, weight: &Array2<f32>) -> Array2<f32> {
        let mean_around =
            |field: &Array2<f32>| along_radius(field * weight, self.around) / &self.seen_around;
        let mut flat = along_radius(pattern * weight, self.fine) / &self.seen_fine;
        flat -= &mean_around(&flat);
        let spread = mean_around(&(&flat * &flat));
        let least = LEAST_SPREAD * typical(&spread, weight, 0.3);
        Zip::from(&mut flat)
            .and(&spread)
            .and(weight)
            .for_each(|value, spread, weight| *value *= weight / (spread + least).sqrt());
        flat
    }
}

fn along_radius(field: Array2<f32>, sigma: f32) -> Array2<f32> {
    blur_across(field, sigma, Edge::Repeat)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Lines of chance 1 on some courses of each row, nothing between.
    fn lines(rows: usize, courses: usize, ends: impl Fn(usize) -> Vec<usize>) -> Array2<f32> {
        let mut lines = Array2::zeros((rows, courses));
        for row in 0..rows {
            for end in ends(row) {
                for (beside, chance) in [(0, 0.4), (1, 1.0), (2, 0.4)] {
                    lines[[row, end + beside]] = chance;
                }
            }
        }
        lines
    }

    /// Where rings of ever new widths end, the `slipped` of them missing within.
    fn ends(slipped: usize) -> Vec<usize> {
        let mut at = 5;
        let mut ends = Vec::new();
        for ring in 0..40_usize {
            at += 6 + (ring * ring * 7 + ring * 3) % 9;
            ends.push(at);
        }
        let lost = ends[12 + slipped] - ends[12];
        let out = |(nth, end): (usize, usize)| match nth {
            nth if nth < 12 => Some(end),
            nth if nth < 12 + slipped => None,
            _ => Some(end - lost),
        };
        ends.into_iter().enumerate().filter_map(out).collect()
    }

    /// Sectors on which all is wood and seen.
    fn all_wood(seen: &Array2<f32>, spacing: f32) -> Sectors {
        let (all, none) = (Array2::ones(seen.raw_dim()), Array2::zeros(seen.raw_dim()));
        Sectors::of([seen, seen], &all, &none, spacing)
    }

    #[test]
    fn a_sector_that_slipped_by_a_ring_is_moved_back() {
        let slipped = |row: usize| usize::from((20..52).contains(&row));
        let seen = lines(128, 480, |row| ends(slipped(row)));
        let radius = Array2::from_shape_fn(seen.raw_dim(), |(_, course)| course as f32);
        let settled = all_wood(&seen, 10.0).settled(&radius);
        let (right, off) = (ends(0), ends(1));
        for (nth, &end) in right.iter().enumerate().skip(18).take(20) {
            let there = settled[[36, end + 1]];
            let wanted = (off[nth - 1] + 1) as f32;
            assert!(
                (there - wanted).abs() < 2.5,
                "ring {nth}: {there} for {wanted}"
            );
            let kept = settled[[90, end + 1]];
            assert!(
                (kept - (end + 1) as f32).abs() < 1.5,
                "ring {nth}: {kept} for {end}"
            );
        }
    }

    #[test]
    fn narrow_rings_that_slipped_by_many_are_moved_back() {
        let slipped = |row: usize| if (20..52).contains(&row) { 5 } else { 0 };
        let seen = lines(128, 480, |row| ends(slipped(row)));
        let shifts = all_wood(&seen, 8.0).shifts();
        let lost = (ends(0)[17] - ends(0)[12]) as f32;
        let (off, kept) = (shifts[[18, 300]], shifts[[45, 300]]);
        assert!(
            (kept - off - lost).abs() < 2.5,
            "{off} beside {kept}, {lost} apart"
        );
        let off = shifts[[18, 60]] - shifts[[45, 60]];
        assert!(off.abs() < 1.5, "{off} where nothing slipped");
    }

    #[test]
    fn parts_that_touch_nowhere_are_tied_by_their_bark() {
        let right = ends(0);
        let (split, bark) = (right[15] as f32, right[39] as f32);
        // On a third of the circle the outer rings are half again as far apart, and
        // beside it the outer wood is cut away.
        let wider = |row: usize| (44..84).contains(&row);
        let cut = |row: usize| (40..44).contains(&row) || (84..88).contains(&row);
        let out = |row: usize, course: f32| match wider(row) {
            true => course + 0.5 * (course - split).max(0.0),
            false => course,
        };
        let seen = lines(128, 560, |row| {
            let shown = right
                .iter()
                .filter(|&&end| !cut(row) || (end as f32) < split);
            shown.map(|&end| out(row, end as f32) as usize).collect()
        });
        let side = |outside: bool| {
            Array2::from_shape_fn(seen.raw_dim(), |(row, course)| {
                let is_outside = course as f32 > out(row, bark);
                let hidden = cut(row) && course as f32 >= split;
                f32::from(u8::from(!hidden && is_outside == outside))
            })
        };
        let shifts = Sectors::of([&seen, &seen], &side(false), &side(true), 10.0).shifts();
        // Where a course is in a sector of each part.
        let lies = |course: usize| [32, 10].map(|at| course as f32 + shifts[[at, course]]);
        for course in [right[10], right[20], right[30], right[38]] {
            let [there, here] = lies(course);
            let off = there - out(64, here);
            assert!(off.abs() < 2.5, "{here}: {there}, {off} courses off");
        }
    }

    #[test]
    fn sectors_that_lie_in_their_place_stay_there_in_fuzz() {
        let mut seen = lines(128, 480, |_| ends(0));
        for ((row, course), value) in seen.indexed_iter_mut() {
            let mut x = (row * 480 + course + 1) as u64;
            for _ in 0..4 {
                x = (x ^ (x >> 31)).wrapping_mul(0xD1B5_4A32_D192_ED03);
            }
            *value += (x >> 40) as f32 / (1 << 24) as f32;
        }
        let shifts = all_wood(&seen, 10.0).shifts();
        let read = |&(course, _): &(usize, &f32)| course < ends(0)[39];
        let rows = shifts.rows().into_iter();
        let far = rows.flat_map(|row| row.into_iter().enumerate().filter(read));
        let moved = far.filter(|(_, shift)| shift.abs() > 2.0).count();
        assert_eq!(moved, 0, "places moved");
    }
}
