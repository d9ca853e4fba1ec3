//! How wide the rings run here: a short-time Fourier view of the profile.

use crate::best_path::path_to;
use crate::radial::RadialProfile;
use rayon::prelude::*;
use rustfft::{FftPlanner, num_complex::Complex};

/// How spacing is looked for, in courses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpacingParams {
    /// Narrowest ring looked for.
    pub narrowest: f64,
    /// Widest ring looked for.
    pub widest: f64,
    /// Rings in a window (chosen: fewer blur the spacing, more its change).
    pub periods: f64,
}

impl Default for SpacingParams {
    fn default() -> Self {
        Self {
            narrowest: 2.5,
            widest: 220.0,
            periods: 5.0,
        }
    }
}

/// Spacings tried in each doubling. Steps of 6 %: finer than the window can resolve
/// (chosen).
const PER_OCTAVE: f64 = 12.0;
/// Length of the transforms, in samples of a window: a power of two, with a dozen
/// samples for each of five rings.
const LENGTH: usize = 64;

/// The local ring spacing at every `stride`th course.
///
/// `profile` is a signal that repeats with the rings, one value a course;
/// `weight` (0 to 1) is how far each course is seen. The result holds one
/// spacing in courses for each of the given `stations`.
///
/// # Method
/// A short-time Fourier transform whose window grows with the spacing tried,
/// so that each holds the same number of rings (a constant-Q view; Brown 1991,
/// from memory): for each octave of spacing the profile around the station is
/// resampled to 64 points under a Hann window and transformed with rustfft;
/// the power is set against the total in the window. The course of the
/// spacing over the stations is the best path (Viterbi 1967) that may change
/// by a limited ratio from station to station.
#[must_use]
pub fn local_spacing(
    profile: &[f32],
    weight: &[f32],
    stations: &[usize],
    params: &SpacingParams,
) -> Vec<f32> {
    if stations.is_empty() || profile.is_empty() {
        return Vec::new();
    }
    let octaves = (params.widest / params.narrowest).log2().max(0.1);
    let spacings: Vec<f64> = (0..=(octaves * PER_OCTAVE) as usize)
        .map(|i| params.narrowest * (i as f64 / PER_OCTAVE).exp2())
        .collect();
    let mut planner = FftPlanner::<f32>::new();
    let transform = planner.plan_fft_forward(LENGTH);
    let hann: Vec<f32> = (0..LENGTH)
        .map(|i| 0.5 - 0.5 * (std::f32::consts::TAU * (i as f32 + 0.5) / LENGTH as f32).cos())
        .collect();
    let bin = params.periods.round() as usize;
    let scores: Vec<Vec<f32>> = stations
        .par_iter()
        .map(|&station| {
            spacings
                .iter()
                .map(|&spacing| {
                    let span = spacing * bin as f64;
                    let start = station as f64 - span / 2.0;
                    let mut samples = [0.0_f32; LENGTH];
                    let mut present = 0.0;
                    for (i, sample) in samples.iter_mut().enumerate() {
                        let (value, seen) = mean_between(
                            profile,
                            weight,
                            start + span * i as f64 / LENGTH as f64,
                            span / LENGTH as f64,
                        );
                        *sample = value;
                        present += seen * hann[i];
                    }
                    let share = present / hann.iter().sum::<f32>();
                    if share < 0.6 {
                        return 0.0;
                    }
                    let mean = samples.iter().sum::<f32>() / LENGTH as f32;
                    let mut buffer: Vec<Complex<f32>> = samples
                        .iter()
                        .zip(&hann)
                        .map(|(v, h)| Complex::new((v - mean) * h, 0.0))
                        .collect();
                    transform.process(&mut buffer);
                    let power = |k: usize| buffer[k].norm_sqr();
                    let total: f32 = (1..LENGTH / 2).map(power).sum();
                    let tone =
                        power(bin) + 0.5 * (power(bin - 1) + power(bin + 1)) + 0.5 * power(2 * bin);
                    share * tone / (total + 1e-4)
                })
                .collect()
        })
        .collect();
    best_path(&scores)
        .into_iter()
        .map(|i| spacings[i] as f32)
        .collect()
}

/// The usual ring spacing of a profile up to a course: the median of the local one.
#[must_use]
pub fn usual_spacing(profile: &RadialProfile, to: usize) -> f32 {
    let to = to.max(40).min(profile.mean.len());
    let stations: Vec<usize> = (16..to).step_by(12).collect();
    let params = SpacingParams {
        widest: (to as f64 / 3.0).clamp(20.0, 220.0),
        ..SpacingParams::default()
    };
    let mut found = local_spacing(&profile.mean, &profile.seen, &stations, &params);
    found.sort_by(f32::total_cmp);
    found.get(found.len() / 2).copied().unwrap_or(20.0)
}

/// Mean of the profile over `width` courses from `start`, and how far it is seen.
fn mean_between(profile: &[f32], weight: &[f32], start: f64, width: f64) -> (f32, f32) {
    if width <= 1.0 {
        let at = start + width / 2.0;
        if at < 0.0 || at >= (profile.len() - 1) as f64 {
            return (0.0, 0.0);
        }
        let (low, part) = (at as usize, (at - at.floor()) as f32);
        return (
            profile[low] * (1.0 - part) + profile[low + 1] * part,
            weight[low],
        );
    }
    let from = start.round().max(0.0) as usize;
    let to = ((start + width).round().max(0.0) as usize).min(profile.len());
    if from >= to {
        return (0.0, 0.0);
    }
    let n = (to - from) as f32;
    (
        profile[from..to].iter().sum::<f32>() / n,
        weight[from..to].iter().sum::<f32>() / n,
    )
}

/// The path over the stations with the highest sum of scores, less a price
/// for each change of spacing.
fn best_path(scores: &[Vec<f32>]) -> Vec<usize> {
    /// What a change of spacing by one step costs (chosen), in shares of the power in
    /// the window.
    const PRICE: f32 = 0.06;
    let choices = scores[0].len();
    let mut sums = scores[0].clone();
    let mut back: Vec<Vec<u16>> = Vec::with_capacity(scores.len());
    for station in &scores[1..] {
        let mut next = vec![f32::NEG_INFINITY; choices];
        let mut from = vec![0_u16; choices];
        for (choice, score) in station.iter().enumerate() {
            for (before, sum) in sums.iter().enumerate() {
                let value = sum - PRICE * (choice as f32 - before as f32).abs();
                if value > next[choice] {
                    next[choice] = value;
                    from[choice] = before as u16;
                }
            }
            next[choice] += score;
        }
        back.push(from);
        sums = next;
    }
    let at = (0..choices)
        .max_by(|&a, &b| sums[a].total_cmp(&sums[b]))
        .unwrap_or(0);
    path_to(at, &back)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_wave_whose_length_grows_is_followed() {
        let mut phase = 0.0_f64;
        let length_at = |i: usize| 6.0 + 24.0 * i as f64 / 2000.0;
        let wave: Vec<f32> = (0..2000)
            .map(|i| {
                phase += std::f64::consts::TAU / length_at(i);
                phase.sin() as f32
            })
            .collect();
        let stations: Vec<usize> = (100..1900).step_by(50).collect();
        let found = local_spacing(
            &wave,
            &vec![1.0; 2000],
            &stations,
            &SpacingParams::default(),
        );
        for (&station, &spacing) in stations.iter().zip(&found) {
            let ratio = f64::from(spacing) / length_at(station);
            assert!(
                (0.85..1.18).contains(&ratio),
                "at {station}: {spacing} for {}",
                length_at(station)
            );
        }
    }
}
