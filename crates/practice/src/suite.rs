//! Draws faces for the accuracy suite.

use crate::dice::Dice;
use crate::recipe::{Ground, GrowthStep, Recipe, TapeLaid, Troubles, Widths};
use wood::WoodClass;

/// Ring spacing is never less than this on average, in pixels: what a phone
/// gives that is held over a face and not over the whole log. Rows of vessels
/// and faint lines take more room than a dark line does.
fn least_spacing_px(wood: WoodClass) -> f64 {
    match wood {
        WoodClass::Conifer => 4.5,
        WoodClass::DiffusePorous => 6.5,
        WoodClass::RingPorous | WoodClass::SemiRingPorous => 5.2,
    }
}

/// One face of the suite.
pub(crate) fn draw(dice: &mut Dice, seed: u64) -> Recipe {
    // Consecutive seeds go round the classes, so that any run of them has all four.
    let wood = WoodClass::ALL[(seed % 4) as usize];
    let rings = (12.0 * (250.0_f64 / 12.0).powf(dice.unit())).round() as u32;
    let close_up = dice.chance(0.2);
    let radius_share = if close_up {
        dice.between(1.0, 1.22)
    } else if rings > 120 {
        dice.between(0.86, 0.91)
    } else {
        dice.between(0.74, 0.9)
    };
    // Pictures grow where many rings must fit.
    let fit = f64::from(rings) * least_spacing_px(wood) / radius_share * 2.0;
    let short = dice
        .between(1000.0, 1450.0)
        .max(fit * dice.between(1.0, 1.06))
        .round();
    let longest = if rings > 120 { 1.12 } else { 1.34 };
    let long = (short
        * if close_up {
            1.34
        } else {
            dice.between(1.0, longest)
        })
    .round();
    let portrait = dice.chance(0.3);
    let spacing = radius_share * short / 2.0 / f64::from(rings);
    let tight = ((spacing - 4.0) / 10.0).clamp(0.0, 1.0);
    let across_mm = dice.between(180.0, 620.0).max(f64::from(rings) * 1.3);
    let trend = dice.between(0.1, 0.25 + 0.5 * tight);
    let lean = if dice.chance(0.25) {
        dice.between(8.0, 24.0)
    } else {
        dice.between(0.0, 6.0)
    };
    let ground = if close_up {
        Ground::CloseUp
    } else {
        [
            Ground::Grass,
            Ground::LeafLitter,
            Ground::Sawdust,
            Ground::Bench,
        ][dice.whole(0, 3) as usize]
    };
    let coloring = dice.whole(0, 3);
    let tape = (!close_up && dice.chance(0.15)).then(|| TapeLaid {
        direction_deg: dice.between(-25.0, 25.0),
        beside: dice.between(0.25, 0.5) * if dice.chance(0.5) { 1.0 } else { -1.0 },
        length_mm: (across_mm * 0.08).round().max(2.0) * 10.0,
    });
    Recipe {
        seed,
        wood,
        coloring,
        rings,
        width_px: if portrait { short } else { long } as u32,
        height_px: if portrait { long } else { short } as u32,
        radius_share,
        shift: if close_up {
            [dice.between(-0.05, 0.05), dice.between(-0.05, 0.05)]
        } else {
            let room = (0.9 - radius_share).max(0.01);
            [dice.between(-room, room), dice.between(-room, room)]
        },
        pith_offset: dice.between(0.0, 0.1)
            + if dice.chance(0.25) {
                dice.between(0.05, 0.2)
            } else {
                0.0
            },
        wide_side_deg: dice.between(0.0, 360.0),
        lobes: dice.between(0.005, 0.035),
        waviness: dice.between(0.03, 0.12),
        tilt_deg: lean,
        tilt_direction_deg: dice.between(230.0, 310.0),
        mm_per_px: across_mm / (radius_share * short),
        widths: Widths {
            explicit_mm: None,
            trend,
            noise: dice.between(0.1, 0.16 + 0.16 * tight),
            autocorrelation: dice.between(0.3, 0.7),
            steps: steps(dice, rings),
        },
        troubles: troubles(dice, wood, spacing, close_up),
        ground,
        bark: dice.chance(0.85),
        tape,
        dressing: None,
        pen_marks: if dice.chance(0.2) {
            dice.whole(1, 2)
        } else {
            0
        },
    }
}

fn steps(dice: &mut Dice, rings: u32) -> Vec<GrowthStep> {
    let mut found = Vec::new();
    if rings >= 30 && dice.chance(0.5) {
        let from_ring = (f64::from(rings) * dice.between(0.2, 0.75)) as u32;
        found.push(GrowthStep {
            from_ring,
            to_ring: from_ring + dice.whole(6, 18),
            factor: if dice.chance(0.6) {
                dice.between(1.3, 1.9)
            } else {
                dice.between(0.55, 0.8)
            },
        });
    }
    found
}

fn troubles(dice: &mut Dice, wood: WoodClass, spacing: f64, close_up: bool) -> Troubles {
    let heart_wanted = match wood {
        WoodClass::SemiRingPorous => 0.9,
        WoodClass::DiffusePorous => 0.25,
        WoodClass::Conifer | WoodClass::RingPorous => 0.55,
    };
    let maybe = |dice: &mut Dice, p: f64, low: f64, high: f64| {
        let value = dice.between(low, high);
        if dice.chance(p) { value } else { 0.0 }
    };
    Troubles {
        checks: dice.whole(0, 6),
        knots: if dice.chance(0.25) {
            dice.whole(1, 2)
        } else {
            0
        },
        // Faces are prepared as the guide says: saw marks are left, but faint
        // lines were shaved clean, else no one could count them.
        saw_marks: maybe(
            dice,
            0.7,
            0.05,
            if wood == WoodClass::DiffusePorous {
                0.2
            } else {
                0.4
            },
        ),
        band_saw: dice.chance(0.25),
        torn: maybe(dice, 0.3, 0.1, 0.4),
        dust: maybe(dice, 0.6, 0.03, 0.35),
        stain: maybe(
            dice,
            if wood == WoodClass::Conifer {
                0.3
            } else {
                0.12
            },
            0.2,
            0.7,
        ),
        heartwood: maybe(dice, heart_wanted, 0.4, 0.85),
        wet: maybe(dice, 0.3, 0.3, 1.0),
        shade: dice.between(0.05, 0.7),
        blur_px: dice.between(0.35, 0.35 + (0.11 * spacing).min(1.1)),
        grain: dice.between(0.05, 0.45),
        jpeg_quality: dice.whole(78, 95) as u8,
        false_rings: if dice.chance(0.3) && wood == WoodClass::Conifer {
            dice.whole(1, 2)
        } else {
            0
        },
        wedging_rings: if dice.chance(0.25) {
            dice.whole(1, 3)
        } else {
            0
        },
        hollow: 0.0,
        weathered: maybe(
            dice,
            if close_up || wood == WoodClass::Conifer {
                0.15
            } else {
                0.0
            },
            0.5,
            1.0,
        ),
        faint: 0.0,
    }
}
