//! In: straightened rings and their radial intensity profile. Out: where each
//! year ends, with the evidence and the chance that it does, and how likely
//! each number of rings is. Never: files, images, or units other than courses.
//!
//! The steps: signals that a year's end gives (per wood class), candidates
//! with the share of the circle that shows them, one optimal path over all
//! candidates and their spacing, and the chance of each from all paths.

mod candidates;
mod class;
mod evidence;
mod path;
mod signals;

pub use class::{ClassGuess, guess_class};
pub use evidence::{Evidence, evidence};

use path::Node;
use profile::{RadialProfile, SpacingParams, local_spacing};
use wood::WoodClass;

/// What is asked.
#[derive(Debug, Clone)]
pub struct Request<'a> {
    /// The profile to read.
    pub profile: &'a RadialProfile,
    /// The wood class.
    pub class: WoodClass,
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
    /// Share of the seen sectors that show it, 0 to 1.
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
/// on practice faces. Cost: linear in courses times sectors, plus candidates
/// times rings.
#[must_use]
pub fn find_boundaries(request: &Request<'_>) -> Boundaries {
    evidence(request).decide(request)
}

/// The local ring spacing at every course, and the last course that is read.
fn spacing_by_course(request: &Request<'_>) -> (Vec<f32>, usize) {
    let profile = request.profile;
    let to =
        (request.to.max(request.from + 1.0) as usize).min(profile.mean.len().saturating_sub(1));
    let stride = 8;
    let stations: Vec<usize> = (0..=to).step_by(stride).collect();
    let params = SpacingParams {
        widest: (to as f64 / 3.0).clamp(20.0, 220.0),
        ..SpacingParams::default()
    };
    let seen: Vec<f32> = profile
        .seen
        .iter()
        .enumerate()
        .map(|(i, &s)| if i <= to { s.min(0.2) * 5.0 } else { 0.0 })
        .collect();
    let at_stations = local_spacing(&profile.mean, &seen, &stations, &params);
    let spacing = (0..profile.mean.len())
        .map(|course| {
            let at = course as f32 / stride as f32;
            let low = (at as usize).min(at_stations.len().saturating_sub(1));
            let high = (low + 1).min(at_stations.len().saturating_sub(1));
            let part = (at - low as f32).clamp(0.0, 1.0);
            at_stations
                .get(low)
                .map_or(10.0, |v| v * (1.0 - part) + at_stations[high] * part)
        })
        .collect();
    (spacing, to)
}

/// Lets the person's marks rule: a required boundary replaces candidates
/// close by, a forbidden one takes them away.
fn put_marks(nodes: &mut Vec<Node>, request: &Request<'_>, spacing: &[f32]) {
    let reach = |course: f64| {
        let at = (course.max(0.0) as usize).min(spacing.len().saturating_sub(1));
        f64::from(spacing[at]) * 0.3
    };
    for &course in request.forbidden {
        nodes.retain(|node| (node.course - course).abs() > reach(course));
    }
    for &course in request.required {
        nodes.retain(|node| node.marked || (node.course - course).abs() > reach(course));
        nodes.push(Node::marked(course));
    }
    nodes.sort_by(|a, b| a.course.total_cmp(&b.course));
}
