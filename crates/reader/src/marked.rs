//! How the person's marks rule over what was found: each is kept, and the
//! reading works around it.

use crate::bark_marks::neighbors;
use crate::rings::row_of;
use crate::scale::scale_of;
use crate::strips;
use crate::traced::{FIRST_PX, TracedFace, course_of, in_photo};
use crate::unmarked::first_readable;
use crate::wood_class::wood_class;
use boundary::{Boundaries, Boundary, Request, find_boundaries};
use photo::Face;
use profile::{Straightened, Unrolled};
use wood::{Facts, Marks, PithSource, Ring, RingMark, RingMarkKind};

/// A boundary mark this near to the bark edge or beyond it, in courses, says where the
/// bark edge is. One course: closer the two cannot be distinguished.
const AT_BARK: f64 = 1.0;

/// Takes every decision on rings that follows once they run level: the hollow,
/// the wood class, the boundaries. Marks of rings are obeyed here.
pub(crate) fn decide(traced: &mut TracedFace, facts: &Facts, marks: &Marks) {
    let hollow = hollow_course(
        facts,
        marks,
        &traced.straightened,
        &traced.unrolled,
        traced.bark,
    );
    let from_strip = || {
        let begins = strips::begins(traced.strip.as_ref()?, &traced.pith)?;
        Some(course_of(traced, begins))
    };
    let from = hollow
        .or_else(from_strip)
        .unwrap_or_else(|| match traced.pith.from {
            PithSource::Outside => first_readable(&traced.profile),
            PithSource::Seen | PithSource::Given => FIRST_PX / traced.unrolled.step_px,
        });
    let mut required = courses(traced, &marks.rings, RingMarkKind::Boundary);
    let mut forbidden = courses(traced, &marks.rings, RingMarkKind::NoBoundary);
    for line in &marks.joined {
        let places: Vec<f64> = line.iter().map(|at| course_of(traced, *at)).collect();
        if let Some(mean) = mean(&places) {
            required.push(mean);
            forbidden.extend(places);
        }
    }
    push_bark_out(traced, &mut required);
    traced.wood = wood_class(facts, &traced.seen);
    let bare = Request {
        seen: &traced.seen,
        from,
        bark: traced.bark,
        to: traced.to,
        required: &[],
        forbidden: &[],
    };
    traced.boundaries = if required.is_empty() && forbidden.is_empty() {
        find_boundaries(&bare)
    } else {
        let weighed = Request {
            required: &required,
            forbidden: &forbidden,
            ..bare
        };
        let (found, weighed) = rayon::join(|| find_boundaries(&bare), || find_boundaries(&weighed));
        put_on(found, weighed, &required, &forbidden)
    };
    traced.start = hollow.unwrap_or(0.0);
}

/// The course at the rim of a hollow of known radius, where a scale is known.
fn hollow_course(
    facts: &Facts,
    marks: &Marks,
    straightened: &Straightened,
    unrolled: &Unrolled,
    bark: Option<f64>,
) -> Option<f64> {
    let hollow = facts.hollow_radius_mm?;
    let scale = scale_of(facts, marks, straightened, unrolled, bark)?;
    let radius = hollow.0 / scale.mm_per_px.0 / unrolled.step_px;
    let mut courses: Vec<f64> = (0..unrolled.angles())
        .step_by(16)
        .map(|row| straightened.course_at(row, radius as f32))
        .collect();
    courses.sort_by(f64::total_cmp);
    courses.get(courses.len() / 2).copied()
}

/// Puts marks on what was found: each changes the ring that it is on and no
/// other, so that a person who adds one ring finds one more. `weighed` is what
/// would be found with these marks known from the start; how sure the other
/// rings are, and how likely each number of them, is taken from there.
fn put_on(
    found: Boundaries,
    weighed: Boundaries,
    required: &[f64],
    forbidden: &[f64],
) -> Boundaries {
    let mut list = found.list;
    for boundary in list.iter_mut().filter(|boundary| !boundary.at_bark) {
        let near = |other: &&Boundary| (other.course - boundary.course).abs() < 0.5;
        if let Some(anew) = weighed.list.iter().find(near) {
            boundary.confidence = anew.confidence;
        }
    }
    for &course in forbidden {
        if let Some(at) = ring_at(&list, course) {
            list.remove(at);
        }
    }
    for &course in required {
        if let Some(at) = ring_at(&list, course) {
            list.remove(at);
        }
        let at = list.partition_point(|boundary| boundary.course < course);
        list.insert(
            at,
            Boundary {
                course,
                confidence: 1.0,
                support: 1.0,
                marked: true,
                at_bark: false,
            },
        );
    }
    Boundaries {
        counts: moved(weighed.counts, list.len(), weighed.list.len()),
        spacing: weighed.spacing,
        list,
    }
}

/// The ring, other than the bark edge and marked ones, that a mark on a course
/// is on: no further away than a third of the way to the next.
fn ring_at(list: &[Boundary], course: f64) -> Option<usize> {
    let off = |boundary: &Boundary| (boundary.course - course).abs();
    let (at, nearest) = list
        .iter()
        .enumerate()
        .filter(|(_, boundary)| !boundary.at_bark && !boundary.marked)
        .min_by(|a, b| off(a.1).total_cmp(&off(b.1)))?;
    let inner = match at.checked_sub(1) {
        Some(before) => nearest.course - list[before].course,
        None => nearest.course,
    };
    let outer = list
        .get(at + 1)
        .map_or(inner, |after| after.course - nearest.course);
    (off(nearest) <= (inner.min(outer) / 3.0).max(1.0)).then_some(at)
}

/// The chances of each number of rings, moved so that those for `weighed`
/// rings stand for `now`.
fn moved(chances: Vec<f64>, now: usize, weighed: usize) -> Vec<f64> {
    if now >= weighed {
        let mut all = vec![0.0; now - weighed];
        all.extend(chances);
        all
    } else {
        chances.into_iter().skip(weighed - now).collect()
    }
}

fn courses(traced: &TracedFace, marks: &[RingMark], kind: RingMarkKind) -> Vec<f64> {
    marks
        .iter()
        .filter(|mark| mark.kind == kind)
        .map(|mark| course_of(traced, mark.at))
        .collect()
}

fn mean(values: &[f64]) -> Option<f64> {
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
}

/// Whoever marks a year's end outside the bark edge says that the bark edge
/// is there: it is moved out, and the mark is that edge.
fn push_bark_out(traced: &mut TracedFace, required: &mut Vec<f64>) {
    let Some(bark) = traced.bark else {
        let far = required.iter().copied().fold(traced.to, f64::max);
        traced.to = far.min((traced.profile.mean.len().saturating_sub(1)) as f64);
        return;
    };
    let far = required.iter().copied().fold(0.0, f64::max);
    required.retain(|course| *course < bark - AT_BARK);
    if far > bark {
        // Rings run level, and so does the edge that one mark gives.
        traced.edge.course.fill(far as f32);
        traced.bark = Some(far);
        traced.to = far;
    }
}

/// Bends the outlines of joined rings through the places that were joined.
pub(crate) fn bend_joined(rings: &mut [Ring], face: &Face, traced: &TracedFace, marks: &Marks) {
    for line in &marks.joined {
        let places: Vec<(f64, f64)> = line
            .iter()
            .map(|at| {
                let (row, _) = traced.unrolled.locate(*at);
                (traced.unrolled.angle(row).0, course_of(traced, *at))
            })
            .collect();
        let courses: Vec<f64> = places.iter().map(|place| place.1).collect();
        let Some(mean) = mean(&courses) else {
            continue;
        };
        let list = traced.boundaries.list.iter().enumerate();
        let Some(index) = list
            .filter(|(_, boundary)| boundary.marked)
            .min_by(|a, b| {
                let off = |course: f64| (course - mean).abs();
                off(a.1.course).total_cmp(&off(b.1.course))
            })
            .map(|(index, _)| index)
        else {
            continue;
        };
        for (step, place) in rings[index].outline_px.iter_mut().enumerate() {
            let Some(row) = row_of(traced, step) else {
                continue;
            };
            let angle = traced.unrolled.angle(row as f64).0;
            if let Some((before, after)) = neighbors(&places, angle) {
                let span = (before.0 + after.0).max(1e-9);
                let course = before.1 + before.0 / span * (after.1 - before.1);
                *place = in_photo(face, traced, row, course);
            }
        }
    }
}
