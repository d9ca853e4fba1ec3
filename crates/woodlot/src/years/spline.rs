//! A smoothing spline, stiff to what is long and yielding to what is short.

use std::f64::consts::TAU;

/// The cubic smoothing spline through values at even steps that passes half
/// of the amplitude of a wave of `half_wave` steps: longer waves stay in the
/// curve, shorter ones are left out of it. One value a step; linear cost.
///
/// # Method
/// The curve g with the least Σ(y − g)² + λ∫g″². Cook and Peters 1981
/// (Tree-Ring Bulletin 41: 45–53, from memory) choose λ by the wave of which
/// half the amplitude passes. With Q the second differences and R the
/// tridiagonal (1, 4, 1)/6 of cubic splines at even knots, the wave of ω
/// radians a step is passed at R/(R + 4λ(1 − cos ω)²), R = (2 + cos ω)/3; so
/// half passes at λ = (2 + cos ω)/(12 (1 − cos ω)²). The system
/// (R + λQᵀQ)γ = Qᵀy has five diagonals and is solved by elimination; then
/// g = y − λQγ (Reinsch 1967, from memory).
///
/// # Example
/// ```
/// let line: Vec<f64> = (0..40).map(f64::from).collect();
/// let curve = woodlot::smoothing_spline(&line, 20.0);
/// assert!(curve.iter().zip(&line).all(|(a, b)| (a - b).abs() < 1e-9));
/// ```
#[must_use]
pub fn smoothing_spline(values: &[f64], half_wave: f64) -> Vec<f64> {
    let n = values.len();
    if n < 3 || !(half_wave.is_finite() && half_wave > 2.0) {
        return values.to_vec();
    }
    let cosine = (TAU / half_wave).cos();
    let lambda = (2.0 + cosine) / (12.0 * (1.0 - cosine).powi(2));
    let second: Vec<f64> = values
        .windows(3)
        .map(|three| three[0] - 2.0 * three[1] + three[2])
        .collect();
    // QᵀQ has the diagonals 6, −4, 1.
    let diagonals = [2.0 / 3.0 + 6.0 * lambda, 1.0 / 6.0 - 4.0 * lambda, lambda];
    let gamma = solve(diagonals, &second);
    (0..n)
        .map(|at| {
            let of =
                |index: Option<usize>| index.and_then(|i| gamma.get(i)).copied().unwrap_or(0.0);
            let bend = of(Some(at)) - 2.0 * of(at.checked_sub(1)) + of(at.checked_sub(2));
            values[at] - lambda * bend
        })
        .collect()
}

/// Solves a symmetric system whose five diagonals each hold one value, by
/// L·D·Lᵀ.
fn solve([middle, first, outer]: [f64; 3], right: &[f64]) -> Vec<f64> {
    let n = right.len();
    let (mut d, mut e, mut f) = (vec![0.0; n], vec![0.0; n], vec![0.0; n]);
    let mut z = vec![0.0; n];
    for i in 0..n {
        let (d1, e1, z1) = if i >= 1 {
            (d[i - 1], e[i - 1], z[i - 1])
        } else {
            (0.0, 0.0, 0.0)
        };
        let (d2, f2, z2) = if i >= 2 {
            (d[i - 2], f[i - 2], z[i - 2])
        } else {
            (0.0, 0.0, 0.0)
        };
        d[i] = middle - d1 * e1 * e1 - d2 * f2 * f2;
        e[i] = (first - d1 * e1 * if i >= 1 { f[i - 1] } else { 0.0 }) / d[i];
        f[i] = outer / d[i];
        z[i] = right[i] - e1 * z1 - f2 * z2;
    }
    let mut x = vec![0.0; n];
    for i in (0..n).rev() {
        let next = x.get(i + 1).copied().unwrap_or(0.0);
        let after = x.get(i + 2).copied().unwrap_or(0.0);
        x[i] = z[i] / d[i] - e[i] * next - f[i] * after;
    }
    x
}
