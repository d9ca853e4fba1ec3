//! Rings that a missing pith took with it: how far away the pith was, and how
//! many rings lay between.
//!
//! Published accuracy: the arc
//! method was more than 5 years off on 13 of 45 cores (Baker et al. 2005);
//! single trees up to 78 % off where much of the radius was missing (Norton et
//! al. 1987).

mod arc;
mod circle;
mod rings;

pub use arc::{ArcRadius, radius_from_arc};
pub use circle::{FittedCircle, circle_through};
pub use rings::{MissingHeart, rings_at_constant_area, rings_at_constant_width, rings_missing};
