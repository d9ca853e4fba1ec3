//! Student's t distribution, as far as ranges need it.

/// One-sided 95 % points of Student's t for 1 to 30 degrees of freedom
/// (standard tables).
const POINTS_95: [f64; 30] = [
    6.314, 2.920, 2.353, 2.132, 2.015, 1.943, 1.895, 1.860, 1.833, 1.812, 1.796, 1.782, 1.771,
    1.761, 1.753, 1.746, 1.740, 1.734, 1.729, 1.725, 1.721, 1.717, 1.714, 1.711, 1.708, 1.706,
    1.703, 1.701, 1.699, 1.697,
];

/// The one-sided 95 % point: a range of this many spreads either way holds 90
/// in 100. `None` without a degree of freedom.
pub(super) fn point_95(freedom: usize) -> Option<f64> {
    match freedom {
        0 => None,
        1..=30 => POINTS_95.get(freedom - 1).copied(),
        // The first term of the expansion at the normal's 1.645.
        _ => Some(1.645 + 1.524 / freedom as f64),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_goes_on_into_the_normal() {
        assert_eq!(point_95(0), None);
        assert_eq!(point_95(1), Some(6.314));
        // Standard tables: 1.684 at 40, 1.671 at 60, 1.658 at 120.
        for (freedom, point) in [(40, 1.684), (60, 1.671), (120, 1.658)] {
            assert!((point_95(freedom).unwrap() - point).abs() < 0.002);
        }
    }
}
