//! In: what is seen in straightened rings. Out: where each year ends, with the
//! chance that it does, and how likely each number of rings is. Never: files,
//! images, or units other than courses.
//!
//! The steps: candidates with the evidence and the share of the circle that
//! shows each, one optimal path over all candidates and their spacing, and the
//! chance of each from all paths.

mod align;
mod candidates;
mod path;
mod sectors;

use candidates::{candidates, support};
pub use sectors::{SECTORS, sector_shifts};

use path::{Node, PERMISSIVE, STRICT, best_and_chances};
use sight::{SeenRings, clarity};

/// What is asked.
#[derive(Debug, Clone)]
pub struct Request<'a> {
    /// What is seen in the straightened rings.
    pub seen: &'a SeenRings,
    /// The first course on which a year can end.
    pub from: f64,
    /// The bark edge, or `None` when it is not seen.
    pub bark: Option<f64>,
    /// The last course that can be read; the bark edge where that is seen.
    pub to: f64,
    /// Courses on which the person says that a year ends.
    pub required: &'a [f64],
    /// Courses on which the person says that none does.
    pub forbidden: &'a [f64],
}

/// The end of one year.
#[derive(Debug, Clone, PartialEq)]
pub struct Boundary {
    /// Its course; fractions are allowed.
    pub course: f64,
    /// The chance that a year ends here, 0 to 1.
    pub confidence: f64,
    /// Share of the seen circle that shows it, 0 to 1.
    pub support: f64,
    /// Whether the person marked it.
    pub marked: bool,
    /// Whether it is the bark edge.
    pub at_bark: bool,
}

/// All boundaries of a face.
#[derive(Debug, Clone, PartialEq)]
pub struct Boundaries {
    /// The boundaries, from the pith outward.
    pub list: Vec<Boundary>,
    /// The chance of each number of rings, by number.
    pub counts: Vec<f64>,
    /// Median spacing, in courses.
    pub spacing: f64,
}

/// Where the years end.
///
/// # Method
/// Our own. See the crate's first lines; the values in `path::Chain` were chosen
/// on practice faces. Cost: linear in courses, plus candidates times rings.
#[must_use]
pub fn find_boundaries(request: &Request<'_>) -> Boundaries {
    let seen = request.seen;
    let last = seen.courses.len().saturating_sub(1);
    let to = request.to.max(request.from + 1.0).min(last as f64);
    let mut nodes: Vec<Node> = candidates(seen, request.from, to, request.bark.is_some())
        .iter()
        .map(Node::from_candidate)
        .collect();
    apply_marks(&mut nodes, request);
    let read =
        |chain| best_and_chances(&nodes, &seen.spacing, request.from, to, request.bark, chain);
    let permissive = read(PERMISSIVE);
    let doubt = (clarity::TRUSTED_SPACING - seen.clarity()).max(0.0);
    if doubt <= 0.0 {
        return permissive;
    }
    let strict = read(STRICT);
    let counts = both(&permissive.counts, &strict.counts, 0.5 * doubt);
    let fewer = (strict.list.len() as f64) < AGREE * permissive.list.len() as f64;
    Boundaries {
        counts,
        ..if fewer { strict } else { permissive }
    }
}

/// Share of the permissive count that the strict one must reach for the permissive one
/// to be taken (chosen on drawn faces and a real weathered one with a torn heart).
const AGREE: f64 = 0.92;

/// The chance of each count when the strict reading is right with chance `share`.
fn both(permissive: &[f64], strict: &[f64], share: f64) -> Vec<f64> {
    let at = |counts: &[f64], n: usize| counts.get(n).copied().unwrap_or(0.0);
    (0..permissive.len().max(strict.len()))
        .map(|n| (1.0 - share) * at(permissive, n) + share * at(strict, n))
        .collect()
}

/// Lets the person's marks rule: a required boundary replaces candidates
/// close by, a forbidden one takes them away.
fn apply_marks(nodes: &mut Vec<Node>, request: &Request<'_>) {
    let spacing = &request.seen.spacing;
    let at = |course: f64| (course.max(0.0) as usize).min(spacing.len().saturating_sub(1));
    let reach = |course: f64| f64::from(spacing[at(course)]) * 0.3;
    for &course in request.forbidden {
        nodes.retain(|node| (node.course - course).abs() > reach(course));
    }
    for &course in request.required {
        nodes.retain(|node| node.marked || (node.course - course).abs() > reach(course));
        let shown = support(request.seen, at(course));
        nodes.push(Node::marked(course, f64::from(shown)));
    }
    nodes.sort_by(|a, b| a.course.total_cmp(&b.course));
}
