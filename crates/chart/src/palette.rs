//! The colors of every picture: warm paper, dark ink, one scale of growth.

/// Red, green, blue.
pub type Color = (u8, u8, u8);

/// The ground.
pub const PAPER: Color = (250, 245, 233);

/// Text, axes and outlines.
pub const INK: Color = (43, 33, 24);

/// Second text and ticks.
pub const SOFT_INK: Color = (110, 96, 82);

/// The sparse grid.
pub const RULE: Color = (224, 214, 194);

/// The scale of growth, slow to fast: five steps, each darker than the one
/// before and turning from yellow to blue, which every kind of color sight
/// distinguishes, as does a black and white print.
pub const GROWTH: [Color; 5] = [
    (234, 219, 163),
    (190, 190, 134),
    (117, 158, 132),
    (52, 110, 116),
    (22, 60, 82),
];

/// Limits between the steps of [`GROWTH`], as width over expected width.
/// Chosen: the middle step holds what is within about a seventh.
pub const GROWTH_LIMITS: [f64; 4] = [0.6, 0.85, 1.15, 1.5];

/// The color of growth that is `against_trend` times what was expected.
#[must_use]
pub fn growth(against_trend: f64) -> Color {
    let step = GROWTH_LIMITS
        .iter()
        .filter(|&&limit| against_trend >= limit)
        .count();
    GROWTH[step.min(GROWTH.len() - 1)]
}
