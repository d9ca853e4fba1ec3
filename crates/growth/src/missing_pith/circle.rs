//! The circle through places on one ring: the numerical sheet of circles.

use crate::GrowthError;
use wood::{Point, Px};

/// Rounds of refinement. From the algebraic start, three are enough on arcs of
/// a tenth of a circle; more do no harm.
const ROUNDS: usize = 20;

/// A circle fitted to places on a ring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FittedCircle {
    /// Where the pith would be.
    pub centre: Point,
    /// The ring's radius.
    pub radius: Px,
    /// Root mean square distance of the places from the circle.
    pub misfit: Px,
}

/// The circle with the least squared distance to three or more places.
///
/// # Errors
/// [`GrowthError::NoCircle`] for fewer than three places, or for places on a
/// line.
///
/// # Method
/// The equivalent of sliding a sheet of circles over the innermost arcs
/// (Applequist 1958, Journal of Forestry 56: 141, from memory). An algebraic
/// fit gives the start, Gauss–Newton on the distances the result.
pub fn circle_through(places: &[Point]) -> Result<FittedCircle, GrowthError> {
    let no_circle = GrowthError::NoCircle {
        points: places.len(),
    };
    let n = places.len() as f64;
    if places.len() < 3
        || places
            .iter()
            .any(|p| !(p.x_px.is_finite() && p.y_px.is_finite()))
    {
        return Err(no_circle);
    }
    let middle = Point::new(
        places.iter().map(|p| p.x_px).sum::<f64>() / n,
        places.iter().map(|p| p.y_px).sum::<f64>() / n,
    );
    let spread = (places
        .iter()
        .map(|p| p.distance(middle).0.powi(2))
        .sum::<f64>()
        / n)
        .sqrt();
    // In units of the spread around the middle, so that nothing below depends
    // on the size of the photo.
    let scaled: Vec<(f64, f64)> = places
        .iter()
        .map(|p| {
            (
                (p.x_px - middle.x_px) / spread,
                (p.y_px - middle.y_px) / spread,
            )
        })
        .collect();
    let start = algebraic(&scaled).ok_or_else(|| no_circle.clone())?;
    let (x, y, radius) = refine(&scaled, start).unwrap_or(start);
    let misfit = (scaled
        .iter()
        .map(|&(px, py)| ((px - x).hypot(py - y) - radius).powi(2))
        .sum::<f64>()
        / n)
        .sqrt();
    let circle = FittedCircle {
        centre: Point::new(middle.x_px + x * spread, middle.y_px + y * spread),
        radius: Px(radius * spread),
        misfit: Px(misfit * spread),
    };
    if circle.radius.0.is_finite() && circle.radius.0 > 0.0 {
        Ok(circle)
    } else {
        Err(no_circle)
    }
}

/// x² + y² = 2ax + 2by + c by least squares, around the middle.
fn algebraic(places: &[(f64, f64)]) -> Option<(f64, f64, f64)> {
    let n = places.len() as f64;
    let (mut xx, mut xy, mut yy, mut xz, mut yz, mut z) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
    for &(x, y) in places {
        let square = x * x + y * y;
        xx += x * x;
        xy += x * y;
        yy += y * y;
        xz += x * square;
        yz += y * square;
        z += square;
    }
    let determinant = xx * yy - xy * xy;
    // On a line one of the two spreads is nothing.
    if determinant.is_nan() || determinant <= 1e-10 * (xx + yy).powi(2) {
        return None;
    }
    let a = (xz * yy - yz * xy) / (2.0 * determinant);
    let b = (yz * xx - xz * xy) / (2.0 * determinant);
    Some((a, b, (z / n + a * a + b * b).sqrt()))
}

/// Gauss–Newton on the geometric distances, from a start; `None` if it leaves
/// the ground.
fn refine(places: &[(f64, f64)], start: (f64, f64, f64)) -> Option<(f64, f64, f64)> {
    let (mut x, mut y, mut radius) = start;
    for _ in 0..ROUNDS {
        // Normal equations of the three unknowns, lower half.
        let mut normal = [[0.0_f64; 3]; 3];
        let mut right = [0.0_f64; 3];
        for &(px, py) in places {
            let distance = (px - x).hypot(py - y);
            if distance <= f64::EPSILON {
                continue;
            }
            let row = [(x - px) / distance, (y - py) / distance, -1.0];
            let residual = radius - distance;
            for i in 0..3 {
                right[i] += row[i] * residual;
                for j in 0..3 {
                    normal[i][j] += row[i] * row[j];
                }
            }
        }
        let step = solve(normal, right)?;
        x += step[0];
        y += step[1];
        radius += step[2];
        if step.iter().all(|s| s.abs() < 1e-13) {
            break;
        }
    }
    (x.is_finite() && y.is_finite() && radius > 0.0).then_some((x, y, radius))
}

/// Three equations by Cramer's rule; `None` when they are not independent.
fn solve(m: [[f64; 3]; 3], right: [f64; 3]) -> Option<[f64; 3]> {
    let determinant = |m: &[[f64; 3]; 3]| {
        m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1])
            - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
            + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
    };
    let whole = determinant(&m);
    if !whole.is_finite() || whole.abs() < 1e-15 {
        return None;
    }
    let mut solution = [0.0; 3];
    for (column, value) in solution.iter_mut().enumerate() {
        let mut replaced = m;
        for row in 0..3 {
            replaced[row][column] = right[row];
        }
        *value = determinant(&replaced) / whole;
    }
    Some(solution)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_short_noisy_arc_gives_its_circle_back() {
        let places: Vec<Point> = (0..40)
            .map(|i| {
                let angle = 0.3 + f64::from(i) * 0.02;
                let noise = if i % 2 == 0 { 0.1 } else { -0.1 };
                let radius = 300.0 + noise;
                Point::new(4000.0 + radius * angle.cos(), 3000.0 + radius * angle.sin())
            })
            .collect();
        let circle = circle_through(&places).unwrap();
        assert!((circle.radius.0 - 300.0).abs() < 1.0, "{circle:?}");
        assert!((circle.misfit.0 - 0.1).abs() < 0.01, "{circle:?}");
    }

    #[test]
    fn a_line_or_a_pair_is_no_circle() {
        let line: Vec<Point> = (0..9)
            .map(|i| Point::new(f64::from(i), 2.0 * f64::from(i)))
            .collect();
        for places in [&line[..], &line[..2], &[], &[Point::new(1.0, 1.0); 5]] {
            assert!(circle_through(places).is_err());
        }
        assert!(circle_through(&[Point::new(f64::NAN, 0.0); 3]).is_err());
    }
}
