//! What the end of a year does to the profile, as signals along the radius.

use ndarray::Array2;
use profile::{Edge, RadialProfile, SECTORS, blur_line};
use wood::WoodClass;

/// Number of basic signals.
const SIGNALS: usize = 3;

/// Evidence for a year's end along the radius, mean and by sector; 1 is the
/// height of a usual boundary of this face.
#[derive(Debug, Clone)]
pub(crate) struct Signals {
    /// Over the whole circle, by course.
    pub(crate) whole: Vec<f32>,
    /// By sector, `[sector, course]`.
    pub(crate) sectors: Array2<f32>,
}

/// Weights of the basic signals by class: step from dark to light outward,
/// thin dark line, start of specks (pores). The step's sign is found from the
/// face, see [`polarity`].
fn weights(class: WoodClass) -> [f32; SIGNALS] {
    match class {
        WoodClass::Conifer => [1.0, 0.0, 0.0],
        WoodClass::RingPorous => [0.7, 0.0, 0.5],
        WoodClass::SemiRingPorous => [0.8, 0.0, 0.4],
        WoodClass::DiffusePorous => [0.8, 0.3, 0.0],
    }
}

/// Skewness of the steps beyond which a conifer's contrast is taken as turned
/// round, as weather does (chosen on practice faces).
const TURNED_ROUND: f32 = -0.3;

/// The sign of the step in lightness at which a year ends: +1 from dark to
/// light outward, -1 the other way.
///
/// In porous wood it is the step that goes with the start of specks. Else a
/// year ends in the sharper of the two steps that each year has: the skewness
/// of all steps tells which.
fn polarity(class: WoodClass, basic: &[Vec<f32>; SIGNALS], to: usize) -> f32 {
    let steps = &basic[0][..to.min(basic[0].len())];
    match class {
        WoodClass::RingPorous | WoodClass::SemiRingPorous => {
            let together: f32 = steps
                .iter()
                .zip(&basic[2])
                .map(|(step, speck)| step * speck)
                .sum();
            if together < 0.0 { -1.0 } else { 1.0 }
        }
        WoodClass::Conifer | WoodClass::DiffusePorous => {
            let n = steps.len().max(1) as f32;
            let square = steps.iter().map(|v| v * v).sum::<f32>() / n;
            let cube = steps.iter().map(|v| v.powi(3)).sum::<f32>() / n;
            if cube / square.powf(1.5).max(1e-9) < TURNED_ROUND {
                -1.0
            } else {
                1.0
            }
        }
    }
}

/// Smoothings that the filters are made for, in courses.
const SIGMAS: [f32; 4] = [0.7, 1.3, 2.4, 4.5];
/// Smoothing as a share of the local spacing (chosen on practice faces).
const SHARE: f32 = 0.09;

/// Both kinds of specks, as a root so that a few strong ones do not rule.
fn specks(profile: &RadialProfile) -> Vec<f32> {
    profile
        .dark_specks
        .iter()
        .zip(&profile.light_specks)
        .map(|(d, l)| (d + l).sqrt())
        .collect()
}

/// Evidence for a year's end along the radius.
///
/// `spacing` is the local ring spacing by course; the face ends at course `to`.
///
/// # Method
/// Derivatives of Gaussian-smoothed profiles: the first for a step, the second
/// for a line, the first of the speck density for the start of pores, each at
/// a smoothing that follows the local spacing; each divided by its own local
/// root mean square, so that a faint face weighs as much as a strong one.
#[must_use]
pub(crate) fn signals(
    profile: &RadialProfile,
    class: WoodClass,
    spacing: &[f32],
    to: usize,
) -> Signals {
    let mut weights = weights(class);
    let whole_specks = specks(profile);
    let basic = basic_signals(&profile.mean, &whole_specks, spacing);
    let basic = basic.map(|signal| even_out(&signal, spacing));
    weights[0] *= polarity(class, &basic, to);
    let whole = combine(&basic, weights);
    let mut sectors = Array2::zeros((SECTORS, profile.mean.len()));
    for sector in 0..SECTORS {
        let light = profile.sectors.row(sector).to_vec();
        let speck: Vec<f32> = profile
            .sector_specks
            .row(sector)
            .iter()
            .map(|v| v.max(0.0).sqrt())
            .collect();
        let parts = basic_signals(&light, &speck, spacing).map(|signal| even_out(&signal, spacing));
        for (to, value) in sectors
            .row_mut(sector)
            .iter_mut()
            .zip(combine(&parts, weights))
        {
            *to = value;
        }
    }
    Signals { whole, sectors }
}

fn combine(parts: &[Vec<f32>; SIGNALS], weights: [f32; SIGNALS]) -> Vec<f32> {
    (0..parts[0].len())
        .map(|i| (0..SIGNALS).map(|k| weights[k] * parts[k][i]).sum())
        .collect()
}

fn basic_signals(light: &[f32], specks: &[f32], spacing: &[f32]) -> [Vec<f32>; SIGNALS] {
    let at_sigma: Vec<[Vec<f32>; SIGNALS]> = SIGMAS
        .iter()
        .map(|&sigma| {
            let smooth = blur_line(light, sigma, Edge::Repeat);
            let smooth_specks = blur_line(specks, sigma * 1.3, Edge::Repeat);
            [
                slope(&smooth, sigma),
                bend(&smooth, sigma),
                slope(&smooth_specks, sigma),
            ]
        })
        .collect();
    let choose = |kind: usize| -> Vec<f32> {
        (0..light.len())
            .map(|i| {
                let wanted = (SHARE * spacing[i]).clamp(SIGMAS[0], SIGMAS[SIGMAS.len() - 1]);
                let high = SIGMAS
                    .iter()
                    .position(|&s| s >= wanted)
                    .unwrap_or(SIGMAS.len() - 1)
                    .max(1);
                let part = (wanted - SIGMAS[high - 1]) / (SIGMAS[high] - SIGMAS[high - 1]);
                at_sigma[high - 1][kind][i] * (1.0 - part) + at_sigma[high][kind][i] * part
            })
            .collect()
    };
    [choose(0), choose(1), choose(2)]
}

/// First derivative, in units that do not depend on the smoothing.
fn slope(line: &[f32], sigma: f32) -> Vec<f32> {
    let last = line.len().saturating_sub(1);
    (0..line.len())
        .map(|i| (line[(i + 1).min(last)] - line[i.saturating_sub(1)]) * 0.5 * sigma)
        .collect()
}

/// Second derivative: high on a dark line.
fn bend(line: &[f32], sigma: f32) -> Vec<f32> {
    let last = line.len().saturating_sub(1);
    (0..line.len())
        .map(|i| {
            (line[(i + 1).min(last)] + line[i.saturating_sub(1)] - 2.0 * line[i]) * sigma * sigma
        })
        .collect()
}

/// A signal divided by its local strength over about six rings.
fn even_out(signal: &[f32], spacing: &[f32]) -> Vec<f32> {
    let mut middle: Vec<f32> = spacing.to_vec();
    middle.sort_by(f32::total_cmp);
    let typical = middle.get(middle.len() / 2).copied().unwrap_or(10.0);
    let squares: Vec<f32> = signal.iter().map(|v| v * v).collect();
    // Strong peaks must not push down their neighbours for long.
    let local = blur_line(&squares, (2.5 * typical).clamp(10.0, 150.0), Edge::Repeat);
    let overall = squares.iter().sum::<f32>() / squares.len().max(1) as f32;
    signal
        .iter()
        .zip(local)
        .map(|(v, l)| v / (2.2 * (l + 0.02 * overall + 1e-9).sqrt()))
        .collect()
}
