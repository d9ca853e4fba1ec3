//! A place in the photo.

use crate::{Angle, Px};
use serde::{Deserialize, Serialize};

/// A place in the upright photo: x to the right, y down, in pixels.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(from = "[f64; 2]", into = "[f64; 2]")]
pub struct Point {
    /// To the right, in pixels.
    pub x_px: f64,
    /// Down, in pixels.
    pub y_px: f64,
}

impl Point {
    /// The place `x_px` to the right and `y_px` down.
    #[must_use]
    pub fn new(x_px: f64, y_px: f64) -> Self {
        Self { x_px, y_px }
    }

    /// The distance to another place.
    #[must_use]
    pub fn distance(self, other: Self) -> Px {
        Px((self.x_px - other.x_px).hypot(self.y_px - other.y_px))
    }

    /// The direction from here to another place.
    #[must_use]
    pub fn angle_to(self, other: Self) -> Angle {
        Angle((other.y_px - self.y_px).atan2(other.x_px - self.x_px))
    }

    /// The place at `distance` from here in direction `angle`.
    #[must_use]
    pub fn towards(self, angle: Angle, distance: Px) -> Self {
        Self {
            x_px: self.x_px + distance.0 * angle.0.cos(),
            y_px: self.y_px + distance.0 * angle.0.sin(),
        }
    }
}

impl From<[f64; 2]> for Point {
    fn from([x_px, y_px]: [f64; 2]) -> Self {
        Self { x_px, y_px }
    }
}

impl From<Point> for [f64; 2] {
    fn from(point: Point) -> Self {
        [point.x_px, point.y_px]
    }
}
