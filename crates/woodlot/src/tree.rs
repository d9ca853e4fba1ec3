//! A stump in the form in which stumps are compared.

use wood::{Scope, Stump, Year};

/// The ring widths of one stump, ready to be compared with others.
#[derive(Debug, Clone, PartialEq)]
pub struct Tree {
    /// The stump's name.
    pub name: String,
    /// Its species, as the person named it.
    pub species: Option<String>,
    /// The year of the first width, when the rings are dated.
    pub first_year: Option<Year>,
    /// Widths of whole rings, pith first, without a gap. In millimeters or in
    /// pixels: comparisons need no unit.
    pub widths: Vec<f64>,
    /// Number of the ring that the first width belongs to.
    pub first_ring: u32,
    /// What part of the tree the rings cover.
    pub scope: Option<Scope>,
}

impl Tree {
    /// The year of the last width.
    #[must_use]
    pub fn last_year(&self) -> Option<Year> {
        let span = i32::try_from(self.widths.len()).ok()?.checked_sub(1)?;
        self.first_year?.0.checked_add(span).map(Year)
    }
}

/// The tree of a stump; `None` when no ring was read on it.
///
/// Only rings that are one whole year each are taken ([`growth::years_of_growth`]).
/// Where the width of a ring is not known, the longest run of known ones is
/// taken.
#[must_use]
pub fn tree(name: &str, stump: &Stump) -> Option<Tree> {
    let reading = &stump.reading;
    let rings = growth::years_of_growth(reading, &stump.facts);
    let in_mm = rings.iter().any(|ring| ring.width_mm.is_some());
    let widths: Vec<Option<f64>> = rings
        .iter()
        .map(|ring| {
            let width = if in_mm {
                ring.width_mm.map(|mm| mm.0)
            } else {
                Some(ring.width_px.0)
            };
            width.filter(|width| width.is_finite() && *width >= 0.0)
        })
        .collect();
    let (start, end) = longest_run(&widths);
    let first = rings.get(start)?;
    let widths: Vec<f64> = widths[start..end].iter().copied().flatten().collect();
    (widths.iter().sum::<f64>() > 0.0).then(|| Tree {
        name: name.to_owned(),
        species: stump.facts.species.clone(),
        first_year: first.year,
        widths,
        first_ring: first.number,
        scope: reading.scope,
    })
}

/// Start and end of the longest run of known widths; of equals the outermost.
fn longest_run(widths: &[Option<f64>]) -> (usize, usize) {
    let (mut best, mut start) = ((0, 0), 0);
    for (index, width) in widths.iter().enumerate() {
        if width.is_none() {
            start = index + 1;
        } else if index + 1 - start >= best.1 - best.0 {
            best = (start, index + 1);
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_longest_run_of_known_widths_is_taken() {
        let w = Some(1.0);
        assert_eq!(longest_run(&[w, None, w, w, None, w]), (2, 4));
        assert_eq!(longest_run(&[w, None, w]), (2, 3));
        assert_eq!(longest_run(&[w, w]), (0, 2));
        assert_eq!(longest_run(&[None]), (0, 0));
        assert_eq!(longest_run(&[]), (0, 0));
    }
}
