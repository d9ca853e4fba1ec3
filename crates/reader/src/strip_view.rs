//! What the program sees along a strip, for a person who counts there.

use crate::traced::{TracedFace, course_of};
use sight::chance_of_end;
use wood::{Point, Px, Strip};

/// The end of a year that the program would set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProposedRing {
    /// Its place on the middle line of the strip.
    pub at: Point,
    /// How far that is along the strip.
    pub along: Px,
    /// The chance that a year ends there, 0 to 1.
    pub confidence: f64,
}

/// What the program sees along a strip.
#[derive(Debug, Clone, PartialEq)]
pub struct StripView {
    /// The ends of years that it would set, from the inner end outward.
    pub proposed: Vec<ProposedRing>,
    /// The chance that a year ends at each whole pixel along the strip, 0 to 1: the
    /// places that a ring set by hand may snap to.
    pub chances: Vec<f32>,
}

/// Looks along the middle line of a strip.
pub(crate) fn view(strip: &Strip, traced: &TracedFace) -> StripView {
    let Px(length) = strip.length();
    let courses: Vec<f64> = (0..=length as usize)
        .map(|along| course_of(traced, strip.place(Px(along as f64), Px(0.0))))
        .collect();
    let logs = &traced.seen.courses;
    let chances = courses
        .iter()
        .map(|&course| {
            let log = logs.get(course.max(0.0).round() as usize);
            log.map_or(0.0, |&log| chance_of_end(log))
        })
        .collect();
    let proposed = traced
        .boundaries
        .list
        .iter()
        .filter_map(|boundary| {
            let next = courses.iter().position(|&at| at >= boundary.course)?;
            let before = next.saturating_sub(1);
            let step = (courses[next] - courses[before]).max(1e-9);
            let part = ((boundary.course - courses[before]) / step).clamp(0.0, 1.0);
            let along = Px(before as f64 + part * (next - before) as f64);
            Some(ProposedRing {
                at: strip.place(along, Px(0.0)),
                along,
                confidence: boundary.confidence,
            })
        })
        .collect();
    StripView { proposed, chances }
}
