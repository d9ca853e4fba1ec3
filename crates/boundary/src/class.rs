//! The wood class guessed from the picture.

use profile::{Edge, RadialProfile, blur_line};
use wood::WoodClass;

/// A guess of the wood class and the figures it rests on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClassGuess {
    /// The likeliest class.
    pub class: WoodClass,
    /// Correlation of the steps in lightness with the steps in specks, -1 to 1:
    /// rows of pores are darker than the wood before them.
    pub together: f32,
    /// Skewness of the steps in lightness: which of a year's two is the sharper.
    pub skew: f32,
    /// Mean strength of specks, in local standard deviations of lightness.
    pub specks: f32,
    /// How much specks come and go with the rings, as a share of their mean.
    pub change: f32,
}

/// Correlation below which specks are taken for pores that open a year
/// (chosen on practice faces, as are the next three).
const PORES: f32 = -0.4;
/// How much more plainly pores must show where the step from dark to light is
/// the sharper one, as it is in conifers.
const SHARP: f32 = 0.3;
/// Skewness below which pores open a year abruptly and fade outward.
const FADING: f32 = -0.12;
/// Strength of specks above which the wood is full of small pores.
const SPECKLED: f32 = 0.42;
/// Change of specks with the rings below which they are everywhere alike.
const EVEN: f32 = 0.1;

/// The likeliest wood class of the courses between `from` and `to`.
///
/// # Method
/// Our own: three thresholds. On 60 practice faces never used to choose them
/// it named the class of about eight in ten; ring-porous and semi-ring-porous
/// are mixed up most (`cargo xtask accuracy` prints it).
#[must_use]
pub fn guess_class(profile: &RadialProfile, from: f64, to: f64) -> ClassGuess {
    let from = from.max(0.0) as usize;
    let to = (to as usize).min(profile.mean.len()).max(from + 1);
    let specks: Vec<f32> = (from..to)
        .map(|i| {
            (profile.dark_specks[i] + profile.light_specks[i])
                .max(0.0)
                .sqrt()
        })
        .collect();
    let light_steps = steps(&blur_line(&profile.mean[from..to], 1.0, Edge::Repeat));
    let speck_steps = steps(&blur_line(&specks, 1.3, Edge::Repeat));
    let broad = blur_line(&specks, 20.0, Edge::Repeat);
    let mean = specks.iter().sum::<f32>() / specks.len() as f32;
    let change = root_mean_square(
        &specks
            .iter()
            .zip(&broad)
            .map(|(s, b)| s - b)
            .collect::<Vec<f32>>(),
    ) / mean.max(1e-6);
    let product: f32 = light_steps
        .iter()
        .zip(&speck_steps)
        .map(|(a, b)| a * b)
        .sum::<f32>()
        / light_steps.len().max(1) as f32;
    let light_size = root_mean_square(&light_steps);
    let together = product / (light_size * root_mean_square(&speck_steps)).max(1e-9);
    let cube = light_steps.iter().map(|v| v.powi(3)).sum::<f32>() / light_steps.len().max(1) as f32;
    let skew = cube / light_size.powi(3).max(1e-9);
    let class = if together < PORES - SHARP * skew.max(0.0) {
        if skew < FADING {
            WoodClass::SemiRingPorous
        } else {
            WoodClass::RingPorous
        }
    } else if mean > SPECKLED && change < EVEN {
        WoodClass::DiffusePorous
    } else {
        WoodClass::Conifer
    };
    ClassGuess {
        class,
        together,
        skew,
        specks: mean,
        change,
    }
}

/// Central differences.
fn steps(line: &[f32]) -> Vec<f32> {
    line.windows(3).map(|w| 0.5 * (w[2] - w[0])).collect()
}

fn root_mean_square(values: &[f32]) -> f32 {
    (values.iter().map(|v| v * v).sum::<f32>() / values.len().max(1) as f32).sqrt()
}
