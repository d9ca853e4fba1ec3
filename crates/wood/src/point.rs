//! A place in the photo.

use crate::{Angle, Px};
use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize};

/// A place in the upright photo: x to the right, y down, in pixels.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[serde(into = "[f64; 2]")]
pub struct Point {
    /// To the right, in pixels.
    pub x_px: f64,
    /// Down, in pixels.
    pub y_px: f64,
}

/// The farthest place that is read from a file, in pixels: far beyond any photo,
/// and near enough that no arithmetic with it overflows.
const FARTHEST_PX: f64 = 1e9;

impl<'de> Deserialize<'de> for Point {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let [x_px, y_px] = <[f64; 2]>::deserialize(from)?;
        if x_px.abs().max(y_px.abs()) <= FARTHEST_PX {
            Ok(Self { x_px, y_px })
        } else {
            Err(D::Error::custom(format!(
                "the place [{x_px:e}, {y_px:e}] is in no photo: give pixels of the photo"
            )))
        }
    }
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
    pub fn toward(self, angle: Angle, distance: Px) -> Self {
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_in_no_photo_is_not_read() {
        let read = |text: &str| serde_json::from_str::<Point>(text);
        assert!(read("[-11000, 2.5]").is_ok());
        let error = read("[0, 1e308]").expect_err("too far").to_string();
        assert!(error.contains("is in no photo"), "{error}");
    }
}
