//! Two lists of boundaries laid against each other in order.

/// Spread of the shift of a boundary from one list to the other, as a share of the
/// local spacing. Chosen with [`ALONE`]: a shift by a whole ring costs 5.6, more than
/// leaving both boundaries alone.
const SPREAD: f64 = 0.3;
/// What a boundary costs that has no other, in log odds: as much as a shift by two
/// spreads.
const ALONE: f64 = 2.0;

/// The pairs of boundaries, one of each list, that are the same, by number: both lists
/// keep their order, and shifts and boundaries left alone cost the least together.
///
/// # Method
/// Global alignment by dynamic programming (Needleman and Wunsch 1970, J. Mol. Biol.
/// 48, 443), with a squared cost of the shift.
pub(crate) fn align(one: &[f64], other: &[f64], spacing: &[f32]) -> Vec<(usize, usize)> {
    let columns = other.len() + 1;
    let mut cost = vec![f64::INFINITY; (one.len() + 1) * columns];
    for row in 0..=one.len() {
        for column in 0..columns {
            let here = row * columns + column;
            if row == 0 || column == 0 {
                cost[here] = ALONE * (row + column) as f64;
                continue;
            }
            let pair = cost[here - columns - 1] + shift(one[row - 1], other[column - 1], spacing);
            let alone = cost[here - columns].min(cost[here - 1]) + ALONE;
            cost[here] = pair.min(alone);
        }
    }
    let mut pairs = Vec::new();
    let (mut row, mut column) = (one.len(), other.len());
    while row > 0 && column > 0 {
        let here = row * columns + column;
        let pair = cost[here - columns - 1] + shift(one[row - 1], other[column - 1], spacing);
        if pair <= cost[here] {
            pairs.push((row - 1, column - 1));
            (row, column) = (row - 1, column - 1);
        } else if cost[here - columns] < cost[here - 1] {
            row -= 1;
        } else {
            column -= 1;
        }
    }
    pairs.reverse();
    pairs
}

/// What it costs that one boundary is the other.
fn shift(one: f64, other: f64, spacing: &[f32]) -> f64 {
    let at = (one.max(0.0) as usize).min(spacing.len().saturating_sub(1));
    let local = spacing
        .get(at)
        .map_or(1.0, |&local| f64::from(local).max(1.0));
    0.5 * ((other - one) / (SPREAD * local)).powi(2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_boundary_that_one_list_lacks_shifts_no_other() {
        let one = [10.0, 20.0, 30.0, 40.0, 50.0];
        let other = [12.0, 22.0, 42.0, 46.5, 52.0];
        let pairs = align(&one, &other, &[10.0; 60]);
        assert_eq!(pairs, [(0, 0), (1, 1), (3, 2), (4, 4)]);
        assert_eq!(align(&one, &[], &[10.0; 60]), []);
        assert_eq!(align(&[], &other, &[]), []);
    }
}
