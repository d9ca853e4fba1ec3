//! Reading a best path back from its end.

/// The states of the best path that ends in state `end`, one for each step. For each
/// step but the first, `back` has the state before it, by state.
pub(crate) fn path_to(end: usize, back: &[Vec<u16>]) -> Vec<usize> {
    let mut at = end;
    let mut path = vec![at];
    for from in back.iter().rev() {
        at = usize::from(from[at]);
        path.push(at);
    }
    path.reverse();
    path
}
