//! A closed outline in the photo.

use crate::Point;

/// An area of the photo inside a closed outline.
///
/// # Example
/// ```
/// use wood::{Point, Polygon};
///
/// let corners = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)];
/// let square = Polygon::new(corners.map(|(x, y)| Point::new(x, y)));
/// assert!(square.holds(Point::new(5.0, 2.0)));
/// assert!(!square.holds(Point::new(15.0, 2.0)));
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Polygon {
    corners: Vec<Point>,
    /// Corners of the bounding box, top left and bottom right.
    least: Point,
    most: Point,
}

impl Polygon {
    /// The area inside the outline through `corners`, in order; the last is joined
    /// to the first. Fewer than three corners hold nothing.
    #[must_use]
    pub fn new(corners: impl Into<Vec<Point>>) -> Self {
        let corners = corners.into();
        let bound = |start: f64, pick: fn(f64, f64) -> f64| {
            let along = |axis: fn(&Point) -> f64| corners.iter().map(axis).fold(start, pick);
            Point::new(along(|place| place.x_px), along(|place| place.y_px))
        };
        Self {
            least: bound(f64::INFINITY, f64::min),
            most: bound(f64::NEG_INFINITY, f64::max),
            corners,
        }
    }

    /// The corners of the outline, in order.
    #[must_use]
    pub fn corners(&self) -> &[Point] {
        &self.corners
    }

    /// The sides of the outline, each from one corner to the next.
    pub fn sides(&self) -> impl Iterator<Item = (Point, Point)> {
        let next = self.corners.iter().cycle().skip(1);
        self.corners.iter().copied().zip(next.copied())
    }

    /// Whether a place is inside the outline, by the even-odd rule. Linear in the
    /// corners; places outside the bounding box are answered at once.
    #[must_use]
    pub fn holds(&self, place: Point) -> bool {
        let (x, y) = (place.x_px, place.y_px);
        if x < self.least.x_px || x > self.most.x_px || y < self.least.y_px || y > self.most.y_px {
            return false;
        }
        let crossed = self.sides().filter(|(a, b)| {
            (a.y_px > y) != (b.y_px > y)
                && x < a.x_px + (y - a.y_px) / (b.y_px - a.y_px) * (b.x_px - a.x_px)
        });
        crossed.count() % 2 == 1
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn polygon(corners: &[(f64, f64)]) -> Polygon {
        let corners = corners.iter().map(|&(x, y)| Point::new(x, y));
        Polygon::new(corners.collect::<Vec<_>>())
    }

    #[test]
    fn an_outline_holds_what_it_encloses() {
        let notched = polygon(&[
            (0.0, 0.0),
            (10.0, 0.0),
            (10.0, 10.0),
            (5.0, 4.0),
            (0.0, 10.0),
        ]);
        for (x, y, inside) in [
            (5.0, 2.0, true),
            (5.0, 8.0, false),
            (1.0, 8.0, true),
            (20.0, 2.0, false),
        ] {
            assert_eq!(notched.holds(Point::new(x, y)), inside, "{x} {y}");
        }
    }

    #[test]
    fn an_outline_of_fewer_than_three_corners_holds_nothing() {
        for corners in [&[][..], &[(1.0, 1.0)], &[(0.0, 0.0), (2.0, 2.0)]] {
            assert!(!polygon(corners).holds(Point::new(1.0, 1.0)), "{corners:?}");
        }
    }

    #[test]
    fn an_area_covered_twice_is_outside() {
        // Two turns around the same square.
        let once = [(0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)];
        let twice = [once, once].concat();
        assert!(!polygon(&twice).holds(Point::new(1.0, 2.0)));
    }
}
