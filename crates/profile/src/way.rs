//! The way to the end of a best path, from where each step came.

/// The states along the way to the last one, `end`: for each later step, `back`
/// has the state before it, by state.
pub(crate) fn way_to(end: usize, back: &[Vec<u16>]) -> Vec<usize> {
    let mut at = end;
    let mut way = vec![at];
    for from in back.iter().rev() {
        at = usize::from(from[at]);
        way.push(at);
    }
    way.reverse();
    way
}
