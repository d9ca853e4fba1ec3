//! Circles through the innermost arcs, where the photo does not show the pith.

use wood::{Point, Px, Ring};

/// Innermost rings whose arcs are used. On 53 photos of drawn stumps cut off beside
/// the pith, 8 were as good as any of 3 to 20: the distance was off by 13 % (median);
/// the pith found by ring normals was off by 28 % and too far away.
const ARCS: usize = 8;

/// Places that an arc must have to count.
const LEAST_PLACES: usize = 5;

/// Rounds of refinement. From the algebraic start, three are enough on arcs of
/// a tenth of a circle; more do no harm.
const ROUNDS: usize = 20;

/// Circles around one center, fitted to places on rings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RingCircles {
    /// Where the pith would be.
    pub center: Point,
    /// Radius of the first ring's circle.
    pub radius: Px,
    /// Root mean square distance of the places from their circles.
    pub misfit: Px,
}

/// The distance from the pith to the innermost ring in the photo, from the
/// curvature of the innermost arcs; `None` where they are too few or too straight.
///
/// `rings` are in photo pixels, pith first.
#[must_use]
pub fn radius_inside_first_ring(rings: &[Ring]) -> Option<Px> {
    let arcs: Vec<Vec<Point>> = rings
        .iter()
        .take(ARCS)
        .map(|ring| ring.outline_px.iter().copied().flatten().collect())
        .collect();
    // The radius is that of the first arc, so the first arc must be seen.
    if arcs.first()?.len() < LEAST_PLACES {
        return None;
    }
    let seen: Vec<&[Point]> = arcs
        .iter()
        .map(Vec::as_slice)
        .filter(|arc| arc.len() >= LEAST_PLACES)
        .collect();
    circles_through(&seen).map(|circles| circles.radius)
}

/// Circles around one center, one through each list of places on a ring, with the
/// least squared distance to all places; `None` for lists of fewer than three
/// places and for places on straight lines.
///
/// # Method
/// The equivalent of sliding a transparent sheet of concentric circles over the
/// innermost arcs (Applequist 1958, Journal of Forestry 56: 141, from memory). An
/// algebraic fit gives the start, Gauss–Newton on the distances the result; each
/// circle's radius is the mean distance of its places, so that only the center is
/// unknown.
#[must_use]
pub fn circles_through(arcs: &[&[Point]]) -> Option<RingCircles> {
    let places = || arcs.iter().copied().flatten();
    let finite = places().all(|p| p.x_px.is_finite() && p.y_px.is_finite());
    if arcs.is_empty() || arcs.iter().any(|arc| arc.len() < 3) || !finite {
        return None;
    }
    // In units of the spread around the middle, so that nothing below depends
    // on the size of the photo.
    let n = places().count() as f64;
    let middle = Point::new(
        places().map(|p| p.x_px).sum::<f64>() / n,
        places().map(|p| p.y_px).sum::<f64>() / n,
    );
    let square_sum: f64 = places().map(|p| p.distance(middle).0.powi(2)).sum();
    let spread = (square_sum / n).sqrt();
    let scaled: Vec<Vec<[f64; 2]>> = arcs
        .iter()
        .map(|arc| {
            arc.iter()
                .map(|p| {
                    [
                        (p.x_px - middle.x_px) / spread,
                        (p.y_px - middle.y_px) / spread,
                    ]
                })
                .collect()
        })
        .collect();
    let [x, y] = refine(&scaled, algebraic(&scaled)?)?;
    let radius_of = |arc: &[[f64; 2]]| mean(arc.iter().map(|p| (p[0] - x).hypot(p[1] - y)));
    let misfit_squares: f64 = scaled
        .iter()
        .map(|arc| {
            let radius = radius_of(arc);
            arc.iter()
                .map(|p| ((p[0] - x).hypot(p[1] - y) - radius).powi(2))
                .sum::<f64>()
        })
        .sum();
    let radius = radius_of(scaled.first()?) * spread;
    (radius.is_finite() && radius > 0.0).then(|| RingCircles {
        center: Point::new(middle.x_px + x * spread, middle.y_px + y * spread),
        radius: Px(radius),
        misfit: Px((misfit_squares / n).sqrt() * spread),
    })
}

fn mean(values: impl ExactSizeIterator<Item = f64>) -> f64 {
    let count = values.len() as f64;
    values.sum::<f64>() / count
}

/// The center of x² + y² = 2ax + 2by + c by least squares, with a c for each arc.
fn algebraic(arcs: &[Vec<[f64; 2]>]) -> Option<[f64; 2]> {
    let mut sums = Normal::default();
    for arc in arcs {
        let square = |p: &[f64; 2]| p[0] * p[0] + p[1] * p[1];
        let middle = [0, 1].map(|axis| mean(arc.iter().map(|p| p[axis])));
        let level = mean(arc.iter().map(square));
        for p in arc {
            sums.add(
                [p[0] - middle[0], p[1] - middle[1]],
                0.5 * (square(p) - level),
            );
        }
    }
    sums.solve()
}

/// Gauss–Newton on the distances, from a start; `None` if it does not settle.
fn refine(arcs: &[Vec<[f64; 2]>], start: [f64; 2]) -> Option<[f64; 2]> {
    let [mut x, mut y] = start;
    for _ in 0..ROUNDS {
        let mut sums = Normal::default();
        for arc in arcs {
            let distance = |p: &[f64; 2]| (p[0] - x).hypot(p[1] - y).max(f64::EPSILON);
            let slope = |p: &[f64; 2]| [(x - p[0]) / distance(p), (y - p[1]) / distance(p)];
            let radius = mean(arc.iter().map(distance));
            let usual = [0, 1].map(|axis| mean(arc.iter().map(|p| slope(p)[axis])));
            for p in arc {
                let slope = slope(p);
                sums.add(
                    [slope[0] - usual[0], slope[1] - usual[1]],
                    radius - distance(p),
                );
            }
        }
        let step = sums.solve()?;
        x += step[0];
        y += step[1];
        if step.iter().all(|s| s.abs() < 1e-13) {
            break;
        }
    }
    (x.is_finite() && y.is_finite()).then_some([x, y])
}

/// Normal equations of two unknowns.
#[derive(Default)]
struct Normal {
    xx: f64,
    xy: f64,
    yy: f64,
    right: [f64; 2],
}

impl Normal {
    fn add(&mut self, [x, y]: [f64; 2], value: f64) {
        self.xx += x * x;
        self.xy += x * y;
        self.yy += y * y;
        self.right[0] += x * value;
        self.right[1] += y * value;
    }

    /// The solution; `None` where the two are not independent, as on straight lines.
    fn solve(&self) -> Option<[f64; 2]> {
        let determinant = self.xx * self.yy - self.xy * self.xy;
        let least = 1e-10 * (self.xx + self.yy).powi(2);
        (determinant.is_finite() && determinant > least).then(|| {
            [
                (self.right[0] * self.yy - self.right[1] * self.xy) / determinant,
                (self.right[1] * self.xx - self.right[0] * self.xy) / determinant,
            ]
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rings::made;

    fn arc(radius: f64, noise: f64) -> Vec<Point> {
        (0..40)
            .map(|i| {
                let angle = 0.3 + f64::from(i) * 0.02;
                let radius = radius + if i % 2 == 0 { noise } else { -noise };
                Point::new(4000.0 + radius * angle.cos(), 3000.0 + radius * angle.sin())
            })
            .collect()
    }

    #[test]
    fn short_noisy_arcs_give_their_circles_back() {
        let arcs = [300.0, 320.0, 345.0].map(|radius| arc(radius, 0.1));
        let arcs: Vec<&[Point]> = arcs.iter().map(Vec::as_slice).collect();
        for arcs in [&arcs[..1], &arcs[..]] {
            let circles = circles_through(arcs).unwrap();
            assert!((circles.radius.0 - 300.0).abs() < 1.0, "{circles:?}");
            assert!((circles.misfit.0 - 0.1).abs() < 0.01, "{circles:?}");
            assert!(circles.center.distance(Point::new(4000.0, 3000.0)).0 < 1.0);
        }
    }

    #[test]
    fn a_line_or_a_pair_is_no_circle() {
        let line: Vec<Point> = (0..9)
            .map(|i| Point::new(f64::from(i), 2.0 * f64::from(i)))
            .collect();
        for places in [&line[..], &line[..2], &[], &[Point::new(1.0, 1.0); 5]] {
            assert_eq!(circles_through(&[places]), None);
        }
        assert_eq!(circles_through(&[]), None);
        assert_eq!(circles_through(&[&[Point::new(f64::NAN, 0.0); 3]]), None);
    }

    #[test]
    fn the_innermost_arcs_give_the_distance_to_a_pith_outside_the_photo() {
        let mut rings = made::rings(&[5.0; 8], None);
        for (ring, radius) in rings.iter_mut().zip([200.0, 212.0, 226.0, 238.0, 251.0]) {
            ring.outline_px = arc(radius, 0.05).into_iter().map(Some).collect();
        }
        let radius = radius_inside_first_ring(&rings).unwrap();
        assert!((radius.0 - 200.0).abs() < 1.0, "{radius:?}");
        rings[0].outline_px = vec![None; 40];
        assert_eq!(radius_inside_first_ring(&rings), None);
        assert_eq!(radius_inside_first_ring(&[]), None);
    }
}
