//! A strip of the face along which rings are counted.

use crate::{Angle, Point, Px};
use serde::{Deserialize, Serialize};

/// A strip from the pith, or from as near to it as rings can be seen, to the bark:
/// the part of the face that was dressed, or that shows its rings best. Only rings
/// in it are counted; the rest of the photo may help to find the pith and the bark.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Strip {
    /// Its inner end, in the middle of its width.
    pub from: Point,
    /// Its outer end, in the middle of its width.
    pub to: Point,
    /// Its width; [`Strip::USUAL_SHARE`] of its length where it is not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub width_px: Option<Px>,
    /// Whether a person counts: then the rings set here count and no others.
    #[serde(default)]
    pub by_hand: bool,
    /// Where the person set the ends of rings, in any order.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rings: Vec<Point>,
}

impl Strip {
    /// Width over length of a strip whose width is not given: half a hand wide on a
    /// stump of two feet. Of 0.07, 0.12 and 0.2 the narrowest lost rings far out, and the
    /// widest lost some beside narrow strips (twelve drawn faces, seeds 3001 to 3012).
    pub const USUAL_SHARE: f64 = 0.16;
    /// The shortest strip that can hold rings (chosen).
    pub const SHORTEST: Px = Px(40.0);
    /// The narrowest strip that is looked at (chosen).
    pub const NARROWEST: Px = Px(8.0);

    /// A strip in which the program counts; `width_px` where its width is given.
    #[must_use]
    pub const fn to_read(from: Point, to: Point, width_px: Option<Px>) -> Self {
        Self {
            from,
            to,
            width_px,
            by_hand: false,
            rings: Vec::new(),
        }
    }

    /// Its length.
    #[must_use]
    pub fn length(&self) -> Px {
        self.from.distance(self.to)
    }

    /// Its width, given or usual; never wider than it is long.
    #[must_use]
    pub fn width(&self) -> Px {
        let Px(length) = self.length();
        let width = self
            .width_px
            .map_or(Self::USUAL_SHARE * length, |Px(width)| width);
        Px(width.clamp(Self::NARROWEST.0, length.max(Self::NARROWEST.0)))
    }

    /// Its direction, from the inner end to the outer one.
    #[must_use]
    pub fn angle(&self) -> Angle {
        self.from.angle_to(self.to)
    }

    /// Where a place is: how far along the strip from its inner end, and how far
    /// to the right of its middle line as seen along it.
    #[must_use]
    pub fn locate(&self, place: Point) -> (Px, Px) {
        let (sin, cos) = self.angle().0.sin_cos();
        let (x, y) = (place.x_px - self.from.x_px, place.y_px - self.from.y_px);
        (Px(x * cos + y * sin), Px(y * cos - x * sin))
    }

    /// The place so far along the strip and so far to the right of its middle line.
    #[must_use]
    pub fn place(&self, Px(along): Px, Px(aside): Px) -> Point {
        let (sin, cos) = self.angle().0.sin_cos();
        Point::new(
            self.from.x_px + along * cos - aside * sin,
            self.from.y_px + along * sin + aside * cos,
        )
    }

    /// Whether a place is in the strip.
    #[must_use]
    pub fn holds(&self, place: Point) -> bool {
        let (Px(along), Px(aside)) = self.locate(place);
        (0.0..=self.length().0).contains(&along) && aside.abs() <= 0.5 * self.width().0
    }

    /// Its four corners in order.
    #[must_use]
    pub fn corners(&self) -> [Point; 4] {
        let (length, half) = (self.length(), Px(0.5 * self.width().0));
        let left = Px(-half.0);
        [
            self.place(Px(0.0), left),
            self.place(length, left),
            self.place(length, half),
            self.place(Px(0.0), half),
        ]
    }

    /// How far from the pith it reaches.
    #[must_use]
    pub fn reach_from(&self, pith: Point) -> Px {
        let corners = self.corners();
        let far = corners.iter().map(|corner| pith.distance(*corner).0);
        Px(far.fold(0.0, f64::max) + 1.0)
    }

    /// Whether both strips cover the same part of the photo, whoever sets the rings.
    #[must_use]
    pub fn covers_same(&self, other: &Self) -> bool {
        (self.from, self.to, self.width_px) == (other.from, other.to, other.width_px)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_is_found_again_along_the_strip() {
        let strip = Strip::to_read(Point::new(100.0, 200.0), Point::new(400.0, 600.0), None);
        assert!((strip.length().0 - 500.0).abs() < 1e-9);
        assert!((strip.width().0 - 80.0).abs() < 1e-9);
        let (along, aside) = strip.locate(strip.place(Px(123.0), Px(-20.0)));
        assert!((along.0 - 123.0).abs() < 1e-9 && (aside.0 + 20.0).abs() < 1e-9);
        assert!(strip.holds(strip.place(Px(250.0), Px(39.0))));
        assert!(!strip.holds(strip.place(Px(250.0), Px(41.0))));
        assert!(!strip.holds(strip.place(Px(-1.0), Px(0.0))));
    }
}
