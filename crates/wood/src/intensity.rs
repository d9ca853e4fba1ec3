//! The radial intensity profile: how light the wood is from the pith outward.

use crate::{Px, Year};

/// How light the wood is, on the mean along the rings, from the pith to a little
/// beyond the outermost ring.
#[derive(Debug, Clone, PartialEq)]
pub struct IntensityProfile {
    /// Places in even steps, the pith first.
    pub places: Vec<IntensityPlace>,
    /// The outer boundary of each ring, pith first.
    pub boundaries: Vec<ProfileBoundary>,
}

/// One place of a radial intensity profile.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IntensityPlace {
    /// Mean distance from the pith of the level line that was averaged.
    pub from_pith_px: Px,
    /// Mean lightness L* (CIE 1976) along it, 0 for black to 100 for white; `None`
    /// where too little of it is seen.
    pub lightness: Option<f64>,
    /// Share of the circle that was averaged, 0 to 1.
    pub seen: f64,
}

/// A ring's outer boundary on the profile.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProfileBoundary {
    /// The ring's number, 1 at the pith.
    pub number: u32,
    /// The year it grew in.
    pub year: Option<Year>,
    /// Mean distance from the pith.
    pub from_pith_px: Px,
    /// Whether the boundary is in doubt.
    pub is_doubtful: bool,
}
