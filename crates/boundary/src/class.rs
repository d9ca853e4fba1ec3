//! The wood class guessed from the picture.

use profile::RadialProfile;
use wood::WoodClass;

/// A guess of the wood class.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ClassGuess {
    /// The likeliest class.
    pub class: WoodClass,
    /// What it rests on: how strongly specks come and go with the rings.
    pub specks: f32,
    /// What it rests on: how strongly lightness comes and goes with the rings.
    pub contrast: f32,
}

/// The likeliest wood class of the courses between `from` and `to`.
#[must_use]
pub fn guess_class(profile: &RadialProfile, from: f64, to: f64) -> ClassGuess {
    let from = from.max(0.0) as usize;
    let to = (to as usize).min(profile.mean.len()).max(from + 1);
    let mean_square = |values: &[f32]| values.iter().map(|v| v * v).sum::<f32>() / values.len() as f32;
    let contrast = mean_square(&profile.mean[from..to]).sqrt();
    let specks: Vec<f32> =
        (from..to).map(|i| (profile.dark_specks[i] + profile.light_specks[i]).sqrt()).collect();
    let middle = specks.iter().sum::<f32>() / specks.len() as f32;
    let spread = (specks.iter().map(|v| (v - middle).powi(2)).sum::<f32>() / specks.len() as f32).sqrt();
    let ratio = spread / middle.max(1e-6);
    let class = if contrast > 0.45 { WoodClass::Conifer } else if ratio > 0.3 { WoodClass::RingPorous } else { WoodClass::DiffusePorous };
    ClassGuess { class, specks: ratio, contrast }
}
