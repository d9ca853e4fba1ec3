//! The Cold Hollow woodlot: an invented place, and the faces rendered for it.

use crate::memory::widths;
use crate::recipe::{Ground, GrowthStep, Recipe, TapeLaid, Troubles};
use wood::WoodClass;

/// One invented face of the woodlot.
#[derive(Debug, Clone)]
pub struct Sample {
    /// File name without its ending.
    pub stem: &'static str,
    /// How it is rendered.
    pub recipe: Recipe,
    /// Species, felled date, height of cut, and what there is to see.
    pub story: &'static str,
}

/// The practice photos of the repository, in the order of their stems.
#[must_use]
pub fn samples() -> Vec<Sample> {
    let thinned = |from_ring: u32, factor: f64| GrowthStep {
        from_ring,
        to_ring: from_ring + 14,
        factor,
    };
    vec![
        Sample {
            stem: "ash-landing",
            story: "White ash (ring-porous), felled 2025-11-08 at the landing, cut 30 cm above the ground, sanded. \
                    A tape lies across. Thinned around it in 1991: a release shows.",
            recipe: Recipe {
                seed: 11,
                wood: WoodClass::RingPorous,
                coloring: 0,
                width_px: 2200,
                height_px: 1650,
                radius_share: 0.84,
                pith_offset: 0.07,
                widths: widths(11, 2025, 72, 3.4, 2.2, &[thinned(38, 1.6)]),
                troubles: Troubles {
                    checks: 3,
                    saw_marks: 0.06,
                    dust: 0.08,
                    heartwood: 0.45,
                    shade: 0.25,
                    blur_px: 0.8,
                    grain: 0.07,
                    jpeg_quality: 60,
                    ..Troubles::default()
                },
                ground: Ground::Sawdust,
                tape: Some(TapeLaid {
                    direction_deg: 8.0,
                    beside: 0.34,
                    length_mm: 400.0,
                }),
                ..Recipe::default()
            },
        },
        Sample {
            stem: "beech-brook",
            story: "American beech (diffuse-porous), felled 2025-10-02 by the brook, cut 40 cm above the ground, wetted. \
                    The rings are faint: expect some doubt.",
            recipe: Recipe {
                seed: 29,
                wood: WoodClass::DiffusePorous,
                coloring: 2,
                width_px: 2200,
                height_px: 1650,
                radius_share: 0.86,
                pith_offset: 0.1,
                wide_side_deg: 200.0,
                lobes: 0.03,
                widths: widths(29, 2025, 88, 2.4, 1.7, &[]),
                troubles: Troubles {
                    checks: 2,
                    saw_marks: 0.22,
                    wet: 0.7,
                    shade: 0.5,
                    blur_px: 1.0,
                    stain: 0.2,
                    grain: 0.07,
                    jpeg_quality: 60,
                    faint: 0.2,
                    ..Troubles::default()
                },
                ground: Ground::LeafLitter,
                pen_marks: 1,
                ..Recipe::default()
            },
        },
        Sample {
            stem: "cherry-wall",
            story: "Black cherry (semi-ring-porous), felled 2025-11-15 beside the stone wall, cut 25 cm above the ground.",
            recipe: Recipe {
                seed: 31,
                wood: WoodClass::SemiRingPorous,
                coloring: 1,
                width_px: 2048,
                height_px: 1536,
                radius_share: 0.85,
                pith_offset: 0.12,
                wide_side_deg: 310.0,
                widths: widths(31, 2025, 58, 3.1, 2.1, &[]),
                troubles: Troubles {
                    checks: 4,
                    knots: 1,
                    heartwood: 0.8,
                    saw_marks: 0.15,
                    shade: 0.3,
                    blur_px: 0.8,
                    grain: 0.07,
                    jpeg_quality: 60,
                    ..Troubles::default()
                },
                ground: Ground::Grass,
                ..Recipe::default()
            },
        },
        Sample {
            stem: "larch-slope",
            story: "Tamarack (conifer), felled 2025-03-20 on the slope, cut 20 cm above the ground, photographed \
                    from one side: the camera leans some 35 degrees.",
            recipe: Recipe {
                seed: 37,
                wood: WoodClass::Conifer,
                coloring: 2,
                width_px: 2200,
                height_px: 1650,
                radius_share: 0.94,
                pith_offset: 0.16,
                wide_side_deg: 95.0,
                tilt_deg: 35.0,
                tilt_direction_deg: 265.0,
                widths: widths(37, 2024, 46, 4.2, 2.3, &[]),
                troubles: Troubles {
                    checks: 3,
                    heartwood: 0.78,
                    saw_marks: 0.25,
                    shade: 0.3,
                    blur_px: 0.8,
                    grain: 0.07,
                    jpeg_quality: 60,
                    ..Troubles::default()
                },
                ground: Ground::LeafLitter,
                ..Recipe::default()
            },
        },
        Sample {
            stem: "maple-yard",
            story: "Sugar maple (diffuse-porous), felled 2025-11-08 in the yard, cut 35 cm above the ground, belt-sanded, on the bench.",
            recipe: Recipe {
                seed: 41,
                wood: WoodClass::DiffusePorous,
                coloring: 0,
                width_px: 2048,
                height_px: 1536,
                radius_share: 0.86,
                pith_offset: 0.05,
                widths: widths(41, 2025, 49, 3.6, 2.4, &[]),
                troubles: Troubles {
                    checks: 3,
                    saw_marks: 0.05,
                    dust: 0.1,
                    shade: 0.2,
                    blur_px: 0.7,
                    heartwood: 0.3,
                    grain: 0.07,
                    jpeg_quality: 60,
                    ..Troubles::default()
                },
                ground: Ground::Bench,
                pen_marks: 1,
                ..Recipe::default()
            },
        },
        Sample {
            stem: "oak-blurred",
            story: "Red oak (ring-porous), felled 2025-11-08, cut 30 cm above the ground. The hand shook: nobody can count this, \
                    and a program must say so.",
            recipe: Recipe {
                seed: 43,
                wood: WoodClass::RingPorous,
                coloring: 2,
                width_px: 2000,
                height_px: 1500,
                widths: widths(43, 2025, 81, 2.8, 1.9, &[]),
                troubles: Troubles {
                    blur_px: 17.0,
                    heartwood: 0.8,
                    shade: 0.6,
                    grain: 0.07,
                    jpeg_quality: 60,
                    ..Troubles::default()
                },
                ground: Ground::LeafLitter,
                ..Recipe::default()
            },
        },
        Sample {
            stem: "oak-hollow",
            story: "White oak (ring-porous), felled 2025-12-01 on the ridge, cut 45 cm above the ground. The heart is rotten: \
                    what is missing must be estimated.",
            recipe: Recipe {
                seed: 47,
                wood: WoodClass::RingPorous,
                coloring: 1,
                width_px: 2400,
                height_px: 1800,
                radius_share: 0.86,
                pith_offset: 0.06,
                widths: widths(47, 2025, 112, 3.0, 2.0, &[thinned(66, 1.5)]),
                troubles: Troubles {
                    hollow: 0.24,
                    heartwood: 0.86,
                    checks: 5,
                    saw_marks: 0.15,
                    shade: 0.3,
                    blur_px: 0.8,
                    grain: 0.07,
                    jpeg_quality: 60,
                    ..Troubles::default()
                },
                ground: Ground::LeafLitter,
                ..Recipe::default()
            },
        },
        Sample {
            stem: "pine-gate",
            story: "Eastern white pine (conifer), felled 2025-11-08 by the gate, cut 30 cm above the ground. A tape lies across; \
                    one ring runs out on one side.",
            recipe: Recipe {
                seed: 53,
                wood: WoodClass::Conifer,
                coloring: 0,
                width_px: 2200,
                height_px: 1650,
                radius_share: 0.85,
                pith_offset: 0.09,
                wide_side_deg: 150.0,
                widths: widths(53, 2025, 54, 4.6, 2.6, &[thinned(20, 1.4)]),
                troubles: Troubles {
                    checks: 6,
                    knots: 1,
                    wedging_rings: 1,
                    stain: 0.3,
                    saw_marks: 0.12,
                    shade: 0.25,
                    blur_px: 0.8,
                    heartwood: 0.5,
                    grain: 0.07,
                    jpeg_quality: 60,
                    ..Troubles::default()
                },
                ground: Ground::Bench,
                tape: Some(TapeLaid {
                    direction_deg: -6.0,
                    beside: -0.38,
                    length_mm: 350.0,
                }),
                pen_marks: 1,
                ..Recipe::default()
            },
        },
        Sample {
            stem: "spruce-saw",
            story: "Red spruce (conifer), felled 2025-02 in the swamp, cut 20 cm above the ground, straight off the saw, close up.",
            recipe: Recipe {
                seed: 59,
                wood: WoodClass::Conifer,
                coloring: 1,
                width_px: 2048,
                height_px: 1536,
                radius_share: 1.08,
                pith_offset: 0.05,
                widths: widths(59, 2024, 67, 2.6, 1.7, &[]),
                troubles: Troubles {
                    checks: 2,
                    saw_marks: 0.65,
                    torn: 0.3,
                    dust: 0.2,
                    shade: 0.35,
                    blur_px: 0.8,
                    grain: 0.07,
                    jpeg_quality: 60,
                    ..Troubles::default()
                },
                ground: Ground::CloseUp,
                ..Recipe::default()
            },
        },
        Sample {
            stem: "walnut-house",
            story: "Black walnut (semi-ring-porous), felled 2025-11-15 behind the house, cut 30 cm above the ground.",
            recipe: Recipe {
                seed: 61,
                wood: WoodClass::SemiRingPorous,
                coloring: 0,
                width_px: 2048,
                height_px: 1536,
                radius_share: 0.86,
                pith_offset: 0.08,
                wide_side_deg: 20.0,
                widths: widths(61, 2025, 43, 4.4, 3.2, &[]),
                troubles: Troubles {
                    checks: 2,
                    heartwood: 0.84,
                    saw_marks: 0.12,
                    shade: 0.3,
                    blur_px: 0.8,
                    wet: 0.3,
                    grain: 0.07,
                    jpeg_quality: 60,
                    ..Troubles::default()
                },
                ground: Ground::Grass,
                ..Recipe::default()
            },
        },
    ]
}
