//! How wide each year is: the age trend, the luck of the years, releases and suppressions.

use crate::dice::Dice;
use crate::recipe::Recipe;

/// Mean widths of all rings, pith first, in shares of the radius (they sum to 1).
pub(crate) fn width_shares(recipe: &Recipe) -> Vec<f64> {
    let raw: Vec<f64> = match &recipe.widths.explicit_mm {
        Some(list) => list.clone(),
        None => drawn(recipe),
    };
    let sum: f64 = raw.iter().sum();
    raw.iter().map(|w| w / sum).collect()
}

fn drawn(recipe: &Recipe) -> Vec<f64> {
    let mut dice = Dice::new(recipe.seed, 1);
    let w = &recipe.widths;
    let n = f64::from(recipe.rings);
    let phi = w.autocorrelation;
    let mut luck = dice.normal();
    // Half of the trend is spent by this many years: the negative exponential
    // that ring widths are commonly detrended with.
    let half_life = (0.28 * n).max(5.0);
    let mut widths: Vec<f64> = (0..recipe.rings)
        .map(|year| {
            let age = f64::from(year);
            luck = phi * luck + (1.0 - phi * phi).sqrt() * dice.normal();
            let trend = (1.0 - w.trend) + w.trend * (-age / half_life * 0.693).exp();
            // Seedling years are a little narrower than the sapling's.
            let young = 1.0 - 0.35 * (-age / 2.5).exp();
            trend * young * (w.noise * luck.clamp(-2.2, 2.2)).exp()
        })
        .collect();
    for step in &w.steps {
        let from = step.from_ring.saturating_sub(1) as usize;
        for (i, width) in widths.iter_mut().enumerate() {
            if i >= from && i < step.to_ring as usize {
                *width *= step.factor;
            }
        }
    }
    // No year is lost altogether: that is what wedging rings are for.
    let floor = 0.42 * widths.iter().sum::<f64>() / n;
    for width in &mut widths {
        *width = width.max(floor);
    }
    widths
}
