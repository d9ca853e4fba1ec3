//! A picture made ready to be laid on others.

use crate::plane::{Plane, Sloped};
use rayon::prelude::*;

/// Lightness leveled, coarse and fine, and what of it is not rings.
#[derive(Debug, Clone)]
pub(crate) struct Ready {
    pub(crate) coarse: Sloped,
    pub(crate) fine: Sloped,
    /// Direction across the rings at each pixel, in radians, one of the two ways.
    pub(crate) across: Plane,
    /// The fine lightness less its mean along the rings: pores, fiber, rays and checks.
    /// Rings look alike; these do not.
    pub(crate) texture: Plane,
}

impl Ready {
    pub(crate) fn new(lightness: &Plane) -> Self {
        let leveled = |sigma: f32| Sloped::new(lightness.blurred(sigma).leveled(14.0));
        let fine = leveled(1.0);
        let across = across(&fine);
        Self {
            coarse: leveled(2.4),
            texture: texture(&fine.value, &across),
            across,
            fine,
        }
    }
}

/// Across the rings lightness changes most: the first axis of the slopes around a place.
fn across(fine: &Sloped) -> Plane {
    /// How far around, in pixels.
    const AROUND: f32 = 9.0;
    let [xx, xy, yy] = fine.slope_products().map(|plane| plane.blurred(AROUND));
    Plane {
        px: (0..xx.px.len())
            .into_par_iter()
            .map(|i| 0.5 * (2.0 * xy.px[i]).atan2(xx.px[i] - yy.px[i]))
            .collect(),
        ..xx
    }
}

fn texture(fine: &Plane, across: &Plane) -> Plane {
    /// Steps along the ring both ways, and their length in pixels.
    const STEPS: i32 = 5;
    const STEP: f32 = 2.5;
    let (w, h) = (fine.width, fine.height);
    let px = (0..w * h)
        .into_par_iter()
        .map(|i| {
            let (x, y) = ((i % w) as f32 + 0.5, (i / w) as f32 + 0.5);
            let (sin, cos) = across.px[i].sin_cos();
            let (mut sum, mut count) = (0.0, 0.0_f32);
            for step in -STEPS..=STEPS {
                let t = step as f32 * STEP;
                let place = [x - t * sin, y + t * cos].map(f64::from);
                if let Some(value) = fine.sample(place) {
                    sum += value;
                    count += 1.0;
                }
            }
            fine.px[i] - sum / count.max(1.0)
        })
        .collect();
    Plane { px, ..*fine }
}
