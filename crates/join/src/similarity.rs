//! A turn, a scale and a shift: how one picture fits on another.

use wood::{Angle, Point};

/// A similarity of the plane: turns, scales and shifts, and does nothing else.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Similarity {
    /// Scale times cosine and sine of the turn.
    pub(crate) turn: [f64; 2],
    /// Where the origin goes.
    pub(crate) shift: [f64; 2],
}

impl Similarity {
    pub(crate) const SAME: Self = Self {
        turn: [1.0, 0.0],
        shift: [0.0, 0.0],
    };

    /// Where a place goes.
    #[must_use]
    pub fn apply(&self, place: Point) -> Point {
        Point::from(self.at([place.x_px, place.y_px]))
    }

    /// How many pixels a pixel becomes along each side.
    #[must_use]
    pub fn scale(&self) -> f64 {
        self.turn[0].hypot(self.turn[1])
    }

    /// The turn, clockwise as seen.
    #[must_use]
    pub fn angle(&self) -> Angle {
        Angle(self.turn[1].atan2(self.turn[0]))
    }

    pub(crate) fn at(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let [a, b] = self.turn;
        [a * x - b * y + self.shift[0], b * x + a * y + self.shift[1]]
    }

    /// The way back.
    #[must_use]
    pub fn inverse(&self) -> Self {
        let [a, b] = self.turn;
        let square = a * a + b * b;
        let back = Self {
            turn: [a / square, -b / square],
            shift: [0.0, 0.0],
        };
        let [x, y] = back.at(self.shift);
        Self {
            shift: [-x, -y],
            ..back
        }
    }

    /// This one first, `next` after it.
    pub(crate) fn then(&self, next: &Self) -> Self {
        let ([a, b], [c, d]) = (self.turn, next.turn);
        Self {
            turn: [a * c - b * d, a * d + b * c],
            shift: next.at(self.shift),
        }
    }

    /// The one that takes places nearest to others, in least squares; None for
    /// fewer than two different places.
    pub(crate) fn between(
        pairs: impl Iterator<Item = ([f64; 2], [f64; 2])> + Clone,
    ) -> Option<Self> {
        let count = pairs.clone().count() as f64;
        let sum = pairs.clone().fold([0.0; 4], |s, (p, q)| {
            [s[0] + p[0], s[1] + p[1], s[2] + q[0], s[3] + q[1]]
        });
        let [px, py, qx, qy] = sum.map(|c| c / count);
        let (mut spread, mut dot, mut cross) = (0.0, 0.0, 0.0);
        for (p, q) in pairs {
            let (x, y, u, v) = (p[0] - px, p[1] - py, q[0] - qx, q[1] - qy);
            spread += x * x + y * y;
            dot += x * u + y * v;
            cross += x * v - y * u;
        }
        if spread.is_nan() || spread < 1e-9 {
            return None;
        }
        let turned = Self {
            turn: [dot / spread, cross / spread],
            shift: [0.0, 0.0],
        };
        let [x, y] = turned.at([px, py]);
        Some(Self {
            shift: [qx - x, qy - y],
            ..turned
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_and_back_is_the_same_place_and_two_pairs_give_the_similarity() {
        let given = Similarity {
            turn: [0.9, 0.3],
            shift: [12.0, -40.0],
        };
        let place = Point::new(300.0, 80.0);
        let back = given.then(&given.inverse()).apply(place);
        assert!(back.distance(place).0 < 1e-9);
        let places = [[0.0, 0.0], [50.0, 10.0], [-7.0, 90.0]];
        let found = Similarity::between(places.iter().map(|p| (*p, given.at(*p)))).unwrap();
        assert!(found.apply(place).distance(given.apply(place)).0 < 1e-9);
        assert!(Similarity::between([([1.0, 1.0], [2.0, 2.0])].into_iter()).is_none());
    }
}
