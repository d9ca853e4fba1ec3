//! Colors of wood, as a phone shows them (sRGB, 0 to 1).

use crate::noise::mix;
use wood::WoodClass;

/// Red, green and blue from 0 to 1.
pub(crate) type Color = [f32; 3];

/// `a` at 0, `b` at 1.
pub(crate) fn blend(a: Color, b: Color, share: f32) -> Color {
    [
        mix(a[0], b[0], share),
        mix(a[1], b[1], share),
        mix(a[2], b[2], share),
    ]
}

/// Every channel times `factor`.
pub(crate) fn scaled(c: Color, factor: f32) -> Color {
    c.map(|v| v * factor)
}

/// Lightness as the eye weighs it.
pub(crate) fn gray(c: Color) -> f32 {
    0.3 * c[0] + 0.59 * c[1] + 0.11 * c[2]
}

/// The colors of one wood.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Palette {
    pub(crate) early: Color,
    pub(crate) late: Color,
    pub(crate) heart_early: Color,
    pub(crate) heart_late: Color,
    pub(crate) pore: Color,
    pub(crate) ray: Color,
    pub(crate) bark: Color,
}

const fn palette(
    early: Color,
    late: Color,
    heart_early: Color,
    heart_late: Color,
    pore: Color,
    ray: Color,
    bark: Color,
) -> Palette {
    Palette {
        early,
        late,
        heart_early,
        heart_late,
        pore,
        ray,
        bark,
    }
}

// Chosen by eye beside photographs of sawn faces.
static CONIFER: [Palette; 4] = [
    // Pine.
    palette(
        [0.93, 0.86, 0.73],
        [0.71, 0.51, 0.35],
        [0.86, 0.71, 0.55],
        [0.62, 0.39, 0.26],
        [0.55, 0.38, 0.24],
        [0.90, 0.80, 0.64],
        [0.40, 0.27, 0.21],
    ),
    // Spruce, fir.
    palette(
        [0.92, 0.84, 0.69],
        [0.76, 0.59, 0.41],
        [0.90, 0.81, 0.66],
        [0.74, 0.57, 0.39],
        [0.58, 0.42, 0.28],
        [0.90, 0.82, 0.68],
        [0.42, 0.34, 0.28],
    ),
    // Larch, Douglas-fir.
    palette(
        [0.90, 0.77, 0.58],
        [0.66, 0.43, 0.28],
        [0.81, 0.60, 0.42],
        [0.54, 0.31, 0.20],
        [0.45, 0.28, 0.18],
        [0.85, 0.68, 0.50],
        [0.35, 0.24, 0.19],
    ),
    // Redcedar.
    palette(
        [0.90, 0.78, 0.60],
        [0.72, 0.52, 0.37],
        [0.72, 0.47, 0.36],
        [0.52, 0.29, 0.22],
        [0.42, 0.25, 0.18],
        [0.78, 0.57, 0.42],
        [0.38, 0.28, 0.23],
    ),
];
static RING_POROUS: [Palette; 4] = [
    // Ash.
    palette(
        [0.88, 0.79, 0.64],
        [0.79, 0.67, 0.50],
        [0.76, 0.63, 0.47],
        [0.66, 0.51, 0.36],
        [0.43, 0.32, 0.22],
        [0.88, 0.80, 0.66],
        [0.43, 0.39, 0.34],
    ),
    // White oak.
    palette(
        [0.80, 0.69, 0.52],
        [0.69, 0.55, 0.39],
        [0.68, 0.53, 0.37],
        [0.55, 0.40, 0.27],
        [0.30, 0.21, 0.14],
        [0.84, 0.72, 0.54],
        [0.40, 0.36, 0.31],
    ),
    // Red oak.
    palette(
        [0.83, 0.69, 0.54],
        [0.73, 0.55, 0.41],
        [0.74, 0.54, 0.41],
        [0.61, 0.41, 0.30],
        [0.34, 0.22, 0.16],
        [0.87, 0.72, 0.56],
        [0.33, 0.29, 0.26],
    ),
    // Locust, elm.
    palette(
        [0.84, 0.76, 0.54],
        [0.75, 0.63, 0.41],
        [0.66, 0.55, 0.34],
        [0.52, 0.39, 0.22],
        [0.32, 0.24, 0.13],
        [0.80, 0.70, 0.48],
        [0.36, 0.30, 0.24],
    ),
];
static SEMI_RING_POROUS: [Palette; 2] = [
    // Walnut.
    palette(
        [0.84, 0.75, 0.61],
        [0.72, 0.60, 0.45],
        [0.52, 0.38, 0.28],
        [0.36, 0.25, 0.18],
        [0.16, 0.11, 0.08],
        [0.60, 0.46, 0.34],
        [0.30, 0.26, 0.23],
    ),
    // Cherry.
    palette(
        [0.88, 0.77, 0.62],
        [0.77, 0.62, 0.46],
        [0.75, 0.54, 0.39],
        [0.60, 0.38, 0.26],
        [0.37, 0.22, 0.15],
        [0.82, 0.63, 0.47],
        [0.28, 0.22, 0.20],
    ),
];
static DIFFUSE_POROUS: [Palette; 4] = [
    // Maple.
    palette(
        [0.90, 0.81, 0.68],
        [0.74, 0.59, 0.44],
        [0.74, 0.60, 0.46],
        [0.58, 0.43, 0.31],
        [0.66, 0.52, 0.39],
        [0.92, 0.83, 0.70],
        [0.45, 0.41, 0.37],
    ),
    // Birch.
    palette(
        [0.88, 0.77, 0.61],
        [0.71, 0.55, 0.39],
        [0.76, 0.57, 0.42],
        [0.60, 0.40, 0.28],
        [0.62, 0.48, 0.35],
        [0.89, 0.78, 0.62],
        [0.62, 0.58, 0.53],
    ),
    // Beech.
    palette(
        [0.85, 0.70, 0.55],
        [0.66, 0.47, 0.34],
        [0.68, 0.48, 0.36],
        [0.54, 0.34, 0.25],
        [0.58, 0.42, 0.31],
        [0.78, 0.60, 0.44],
        [0.47, 0.45, 0.42],
    ),
    // Tulip tree.
    palette(
        [0.89, 0.84, 0.67],
        [0.70, 0.64, 0.45],
        [0.68, 0.64, 0.49],
        [0.54, 0.49, 0.36],
        [0.62, 0.56, 0.40],
        [0.90, 0.85, 0.68],
        [0.40, 0.37, 0.32],
    ),
];

impl Palette {
    /// The coloring of that number, taken round.
    pub(crate) fn of(wood: WoodClass, coloring: u32) -> Self {
        let all: &[Self] = match wood {
            WoodClass::Conifer => &CONIFER,
            WoodClass::RingPorous => &RING_POROUS,
            WoodClass::SemiRingPorous => &SEMI_RING_POROUS,
            WoodClass::DiffusePorous => &DIFFUSE_POROUS,
        };
        all[coloring as usize % all.len()]
    }
}
