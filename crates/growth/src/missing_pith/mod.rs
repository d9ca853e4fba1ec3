//! Rings lost with a missing pith: how far away the pith was, and how many rings
//! were between.
//!
//! Published accuracy: estimates from the curvature of an arc were more than 5 years
//! off on 13 of 45 cores (Baker et al. 2005); single trees up to 78 % off where much
//! of the radius was missing (Norton et al. 1987).

mod circle;
mod rings;

pub use circle::{RingCircles, circles_through, radius_inside_first_ring};
pub use rings::{MissingHeart, rings_at_constant_area, rings_at_constant_width, rings_missing};
