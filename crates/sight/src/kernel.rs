//! What every layer of the networks comes down to: weighted sums of lines, each
//! read at fixed places beside a place (taps). Worked on in the widest vectors that
//! the processor has, which is asked as the program runs.

use fearless_simd::{Level, Simd, SimdBase as _, SimdFloat as _, dispatch};
use rayon::prelude::*;
use std::ops::Range;

/// Outer channels worked on at once (chosen for speed): each value that is read serves
/// all of them.
const GROUP: usize = 4;

/// Room behind the last place that a line may be read at, in values: the widest
/// vector.
const BEHIND: usize = 16;

/// Weights of a layer: for each outer channel one for each tap of each line, and
/// one bias.
#[derive(Debug, Clone)]
pub(crate) struct Kernel {
    /// `[group, line * taps + tap]`, each for the group's outer channels.
    weight: Vec<[f32; GROUP]>,
    /// For each group.
    bias: Vec<[f32; GROUP]>,
    outer: usize,
}

/// The channels of a row: lines of one length, in one piece, with nothing before and
/// behind each.
#[derive(Debug, Clone)]
pub(crate) struct Channels {
    values: Vec<f32>,
    layout: Layout,
}

/// How lines are stored in one piece.
#[derive(Debug, Clone, Copy)]
struct Layout {
    /// Values from one line to the next.
    stride: usize,
    /// Room before a line's first value.
    before: usize,
    width: usize,
}

impl Channels {
    /// Lines that hold nothing yet, each `width` long, to be read from `before`
    /// places before its first value to `behind` places behind its last.
    pub(crate) fn empty(count: usize, width: usize, before: usize, behind: usize) -> Self {
        let stride = before + width + behind + BEHIND;
        Self {
            values: vec![0.0; count * stride],
            layout: Layout {
                stride,
                before,
                width,
            },
        }
    }

    /// How many lines there are.
    pub(crate) fn count(&self) -> usize {
        self.values.len() / self.layout.stride
    }

    /// How long each is.
    pub(crate) fn width(&self) -> usize {
        self.layout.width
    }

    /// The line of that number.
    pub(crate) fn line(&self, nth: usize) -> &[f32] {
        &self.values[self.layout.line(nth)]
    }

    /// The line of that number, to be written.
    pub(crate) fn line_mut(&mut self, nth: usize) -> &mut [f32] {
        &mut self.values[self.layout.line(nth)]
    }

    /// Makes all of them zero.
    pub(crate) fn clear(&mut self) {
        self.values.fill(0.0);
    }
}

impl Layout {
    /// Where the line of that number is.
    fn line(self, nth: usize) -> Range<usize> {
        let from = nth * self.stride + self.before;
        from..from + self.width
    }
}

/// What sums are made of.
#[derive(Debug)]
pub(crate) struct Read<'a> {
    /// With what is beside each.
    lines: Vec<&'a [f32]>,
    taps: &'a [usize],
    least: Option<f32>,
}

impl<'a> Read<'a> {
    /// All lines of `from`, those of the same number after one another, each read
    /// `taps` places on from its foremost; the sums are at least `least` where one is
    /// given.
    pub(crate) fn of(from: &[&'a Channels], taps: &'a [usize], least: Option<f32>) -> Self {
        let count = from.first().map_or(0, |channels| channels.count());
        let lines = (0..count).flat_map(|nth| {
            let whole = move |channels: &&'a Channels| {
                let stride = channels.layout.stride;
                &channels.values[nth * stride..(nth + 1) * stride]
            };
            from.iter().map(whole)
        });
        Self {
            lines: lines.collect(),
            taps,
            least,
        }
    }
}

impl Kernel {
    /// Of weights `[outer, line * taps + tap]` and a bias for each outer channel.
    ///
    /// # Panics
    /// When the weights do not divide among the outer channels.
    pub(crate) fn of(weight: &[f32], bias: &[f32]) -> Self {
        let outer = bias.len();
        let inner = weight.len() / outer.max(1);
        assert_eq!(weight.len(), outer * inner, "as many weights each channel");
        let groups = outer.div_ceil(GROUP);
        let of_group = |group: usize, value: &dyn Fn(usize) -> f32| {
            std::array::from_fn(|nth| {
                let channel = group * GROUP + nth;
                if channel < outer { value(channel) } else { 0.0 }
            })
        };
        Self {
            weight: (0..groups * inner)
                .map(|at| of_group(at / inner, &|channel| weight[channel * inner + at % inner]))
                .collect(),
            bias: (0..groups)
                .map(|group| of_group(group, &|channel| bias[channel]))
                .collect(),
            outer,
        }
    }

    /// Outer channels.
    pub(crate) fn outer(&self) -> usize {
        self.outer
    }

    /// All outer channels, a line each in `out`: at each place the bias and the
    /// weighed sum of what is read there.
    ///
    /// # Panics
    /// When there is not one weight for each tap of each line.
    pub(crate) fn all(&self, read: &Read<'_>, out: &mut Channels) {
        let layout = out.layout;
        let groups = out.values.chunks_mut(GROUP * layout.stride).enumerate();
        groups.for_each(|(nth, out)| self.group(nth, read, out, layout));
    }

    /// As [`Self::all`], its groups on all threads.
    pub(crate) fn par_all(&self, read: &Read<'_>, out: &mut Channels) {
        let layout = out.layout;
        let groups = out.values.par_chunks_mut(GROUP * layout.stride).enumerate();
        groups.for_each(|(nth, out)| self.group(nth, read, out, layout));
    }

    fn group(&self, nth: usize, read: &Read<'_>, out: &mut [f32], layout: Layout) {
        let inner = self.weight.len() / self.bias.len();
        let values = read.lines.len() * read.taps.len();
        assert_eq!(inner, values, "a weight for each tap and line");
        let mut sums = Sums {
            weight: &self.weight[nth * inner..(nth + 1) * inner],
            bias: &self.bias[nth],
            read,
            out,
            layout,
        };
        dispatch!(Level::new(), simd => sums.work_out(simd));
    }
}

/// The sums of one group of outer channels.
struct Sums<'a> {
    weight: &'a [[f32; GROUP]],
    bias: &'a [f32; GROUP],
    read: &'a Read<'a>,
    /// A line for each of the group.
    out: &'a mut [f32],
    layout: Layout,
}

impl Sums<'_> {
    #[inline(always)]
    fn work_out<S: Simd>(&mut self, simd: S) {
        let mut at = 0;
        while at + S::f32s::LEN < self.layout.width {
            self.places::<S, 2>(simd, at);
            at += 2 * S::f32s::LEN;
        }
        if at < self.layout.width {
            self.places::<S, 1>(simd, at);
        }
    }

    /// The sums of as many places as some vectors hold, from one place on.
    #[inline(always)]
    fn places<S: Simd, const VECTORS: usize>(&mut self, simd: S, at: usize) {
        let sums = self.sums::<S, VECTORS>(simd, at);
        let Layout { stride, width, .. } = self.layout;
        for (line, sums) in self.out.chunks_exact_mut(stride).zip(sums) {
            let line = &mut line[self.layout.line(0)][at..width];
            for (part, sum) in line.chunks_mut(S::f32s::LEN).zip(sums) {
                let sum = match self.read.least {
                    Some(least) => sum.max(least),
                    None => sum,
                };
                if part.len() == S::f32s::LEN {
                    sum.store_slice(part);
                } else {
                    part.copy_from_slice(&sum.as_slice()[..part.len()]);
                }
            }
        }
    }

    #[inline(always)]
    fn sums<S: Simd, const VECTORS: usize>(
        &self,
        simd: S,
        at: usize,
    ) -> [[S::f32s; VECTORS]; GROUP] {
        // Loops and no closures: what a closure holds may be built for a plainer
        // processor than what is around it, and is then many times as slow.
        let mut sums = [[S::f32s::splat(simd, 0.0); VECTORS]; GROUP];
        for (sums, &bias) in sums.iter_mut().zip(self.bias) {
            *sums = [S::f32s::splat(simd, bias); VECTORS];
        }
        let mut values = [S::f32s::splat(simd, 0.0); VECTORS];
        let weights = self.weight.chunks_exact(self.read.taps.len());
        for (line, weights) in self.read.lines.iter().zip(weights) {
            for (tap, weights) in self.read.taps.iter().zip(weights) {
                for (nth, value) in values.iter_mut().enumerate() {
                    let from = at + tap + nth * S::f32s::LEN;
                    *value = S::f32s::from_slice(simd, &line[from..from + S::f32s::LEN]);
                }
                for (sums, &weight) in sums.iter_mut().zip(weights) {
                    let weight = S::f32s::splat(simd, weight);
                    for (sum, &value) in sums.iter_mut().zip(&values) {
                        *sum = weight.mul_add(value, *sum);
                    }
                }
            }
        }
        sums
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The sums in the order in which they are written down.
    fn plainly(weight: &[f32], bias: &[f32], lines: &[Vec<f32>], taps: &[usize]) -> Vec<f32> {
        let inner = lines.len() * taps.len();
        let width = lines[0].len() - taps[taps.len() - 1];
        (0..bias.len() * width)
            .map(|nth| {
                let (outer, place) = (nth / width, nth % width);
                let all = (0..inner).map(|at| {
                    let value = lines[at / taps.len()][place + taps[at % taps.len()]];
                    weight[outer * inner + at] * value
                });
                (bias[outer] + all.sum::<f32>()).max(0.0)
            })
            .collect()
    }

    #[test]
    fn sums_are_those_written_down_whatever_the_width_and_the_channels() {
        let mut state = 7_u32;
        let mut chance = || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (state >> 8) as f32 / (1 << 24) as f32 - 0.5
        };
        for (outer, count, width, taps) in [
            (1, 1, 1, vec![0]),
            (4, 3, 15, vec![0, 1, 2]),
            (6, 5, 33, vec![0, 4, 8]),
            (14, 2, 100, vec![0]),
            (16, 7, 64, vec![0, 1, 2, 3, 4]),
        ] {
            let reach = taps[taps.len() - 1];
            let weight: Vec<f32> = (0..outer * count * taps.len()).map(|_| chance()).collect();
            let bias: Vec<f32> = (0..outer).map(|_| chance()).collect();
            let mut lines = Channels::empty(count, width, reach / 2, reach - reach / 2);
            let mut padded = vec![vec![0.0; width + reach]; count];
            for (nth, line) in padded.iter_mut().enumerate() {
                let middle = &mut line[reach / 2..reach / 2 + width];
                middle.fill_with(&mut chance);
                lines.line_mut(nth).copy_from_slice(middle);
            }
            let mut out = Channels::empty(outer, width, 3, 0);
            Kernel::of(&weight, &bias).all(&Read::of(&[&lines], &taps, Some(0.0)), &mut out);
            let expected = plainly(&weight, &bias, &padded, &taps);
            for (nth, expected) in expected.chunks_exact(width).enumerate() {
                for (found, expected) in out.line(nth).iter().zip(expected) {
                    assert!((found - expected).abs() < 1e-5, "{found} for {expected}");
                }
            }
            for line in out.values.chunks_exact(out.layout.stride) {
                let beside = line[..3].iter().chain(&line[3 + width..]);
                assert!(
                    beside.into_iter().all(|&value| value == 0.0),
                    "beside a line"
                );
            }
        }
    }
}
