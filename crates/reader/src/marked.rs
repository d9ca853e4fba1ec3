//! How the person's marks rule over what was found: each is kept, and the
//! reading works around it.

use crate::follow::{FIRST_PX, Followed, hollow_course, wood_class};
use crate::rings::{STEPS, in_photo};
use crate::strips;
use crate::under::first_readable;
use boundary::{Boundaries, Boundary, Request, find_boundaries};
use photo::Face;
use profile::{BarkEdge, Straightened, Unrolled};
use std::f64::consts::TAU;
use wood::{Facts, Marks, PithSource, Point, Ring, RingMark, RingMarkKind};

/// How far a lone mark on the bark edge bends it to each side, in radians (chosen).
const BARK_REACH: f64 = 30.0 / 360.0 * TAU;
/// Between marks on the bark edge no further apart than this, the edge runs
/// evenly from one to the other: four round the face tell all of it (chosen).
const BARK_SPAN: f64 = 100.0 / 360.0 * TAU;

/// A boundary mark this near to the bark edge or beyond it, in courses, says
/// where the bark edge is.
const AT_BARK: f64 = 1.0;

/// Takes every decision on rings that follows once they run level: the hollow,
/// the wood class, the boundaries. Marks of rings are obeyed here.
pub(crate) fn decide(followed: &mut Followed, facts: &Facts, marks: &Marks) {
    let hollow = hollow_course(
        facts,
        marks,
        &followed.straightened,
        &followed.unrolled,
        followed.bark,
    );
    let from_strip = || {
        let begins = strips::begins(followed.strip.as_ref()?, &followed.pith)?;
        Some(course_of(followed, begins))
    };
    let from = hollow
        .or_else(from_strip)
        .unwrap_or_else(|| match followed.pith.from {
            PithSource::Outside => first_readable(&followed.profile),
            PithSource::Seen | PithSource::Given => FIRST_PX / followed.unrolled.step_px,
        });
    let mut required = courses(followed, &marks.rings, RingMarkKind::Boundary);
    let mut forbidden = courses(followed, &marks.rings, RingMarkKind::NoBoundary);
    for line in &marks.joined {
        let places: Vec<f64> = line.iter().map(|at| course_of(followed, *at)).collect();
        if let Some(mean) = mean(&places) {
            required.push(mean);
            forbidden.extend(places);
        }
    }
    push_bark_out(followed, &mut required);
    followed.wood = wood_class(facts, &followed.seen);
    let bare = Request {
        seen: &followed.seen,
        from,
        bark: followed.bark,
        to: followed.to,
        required: &[],
        forbidden: &[],
    };
    let found = find_boundaries(&bare);
    followed.boundaries = if required.is_empty() && forbidden.is_empty() {
        found
    } else {
        let weighed = find_boundaries(&Request {
            required: &required,
            forbidden: &forbidden,
            ..bare
        });
        put_on(found, weighed, &required, &forbidden)
    };
    followed.start = hollow.unwrap_or(0.0);
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

/// The course of a place in the photo.
pub(crate) fn course_of(followed: &Followed, place: Point) -> f64 {
    let (row, radius) = followed.unrolled.locate(place);
    let row = (row as usize).min(followed.unrolled.angles() - 1);
    followed.straightened.course_at(row, radius as f32)
}

fn courses(followed: &Followed, marks: &[RingMark], kind: RingMarkKind) -> Vec<f64> {
    marks
        .iter()
        .filter(|mark| mark.kind == kind)
        .map(|mark| course_of(followed, mark.at))
        .collect()
}

fn mean(values: &[f64]) -> Option<f64> {
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
}

/// Whoever marks a year's end outside the bark edge says that the bark edge
/// lies there: it is moved out, and the mark is that edge.
fn push_bark_out(followed: &mut Followed, required: &mut Vec<f64>) {
    let Some(bark) = followed.bark else {
        let far = required.iter().copied().fold(followed.to, f64::max);
        followed.to = far.min((followed.profile.mean.len().saturating_sub(1)) as f64);
        return;
    };
    let far = required.iter().copied().fold(0.0, f64::max);
    required.retain(|course| *course < bark - AT_BARK);
    if far > bark {
        // Rings run level, and so does the edge that is told by one place on it.
        followed.edge.course.fill(far as f32);
        followed.bark = Some(far);
        followed.to = far;
    }
}

/// Draws the bark edge through the marked places. Between two marks less than
/// a hundred degrees apart it runs from one's course to the other's, whatever
/// was found there; to the side of a lone mark the correction fades within
/// thirty degrees.
pub(crate) fn bark_edge(
    edge: &mut BarkEdge,
    marks: &[Point],
    unrolled: &Unrolled,
    straightened: &Straightened,
) {
    let last = straightened.courses.ncols() as f32 - 1.0;
    let (mut marked, mut off) = (Vec::new(), Vec::new());
    for place in marks {
        let (row, radius) = unrolled.locate(*place);
        let row = (row as usize).min(unrolled.angles() - 1);
        let angle = unrolled.angle(row as f64).0;
        let course = straightened.course_at(row, radius as f32);
        marked.push((angle, course));
        off.push((angle, course - f64::from(edge.course_at(row))));
    }
    let rows = unrolled.angles() as f64;
    for block in 0..edge.course.len() {
        let angle = (block * edge.block + edge.block / 2) as f64 / rows * TAU;
        let found = f64::from(edge.course[block]);
        let course = between(&marked, angle).or_else(|| fading(&off, angle).map(|off| found + off));
        if let Some(course) = course {
            edge.course[block] = (course as f32).clamp(1.0, last.max(1.0));
            edge.seen[block] = true;
        }
    }
}

/// The bark edge as far as marks tell it, seen from a pith.
pub(crate) struct Rim {
    pith: Point,
    /// Angle and distance of each mark.
    marked: Vec<(f64, f64)>,
}

/// How far outside the marked bark edge the photo is still looked at, as a
/// share of the distance from the pith (chosen).
const RIM_BEYOND: f64 = 1.06;

impl Rim {
    pub(crate) fn around(pith: Point, marks: &[Point]) -> Self {
        let told = |mark: &Point| {
            let angle = pith.angle_to(*mark).0.rem_euclid(TAU);
            (angle, pith.distance(*mark).0 * RIM_BEYOND)
        };
        Self {
            pith,
            marked: marks.iter().map(told).collect(),
        }
    }

    /// Distance of the farthest mark, in photo pixels.
    pub(crate) fn farthest_px(&self) -> f64 {
        self.marked.iter().map(|mark| mark.1).fold(0.0, f64::max)
    }

    /// Whether a place lies within the edge, on a side that marks tell of.
    pub(crate) fn holds(&self, place: Point) -> bool {
        let angle = self.pith.angle_to(place).0.rem_euclid(TAU);
        let edge = between(&self.marked, angle).or_else(|| beside(&self.marked, angle));
        edge.is_some_and(|edge| self.pith.distance(place).0 <= edge)
    }
}

/// The value of the nearest mark, as far to its sides as it bends the edge.
fn beside(marked: &[(f64, f64)], angle: f64) -> Option<f64> {
    let (before, after) = neighbors(marked, angle)?;
    let near = if before.0 <= after.0 { before } else { after };
    (near.0 < BARK_REACH).then_some(near.1)
}

/// The value at an angle between two near marks; `None` where there are none.
fn between(marked: &[(f64, f64)], angle: f64) -> Option<f64> {
    let (before, after) = neighbors(marked, angle)?;
    let span = before.0 + after.0;
    // A lone mark is its own neighbor on both sides, a whole turn apart.
    (marked.len() > 1 && span <= BARK_SPAN).then(|| {
        let share = if span > 0.0 { before.0 / span } else { 0.0 };
        before.1 + share * (after.1 - before.1)
    })
}

/// The correction beside the nearest mark; `None` where none reaches.
fn fading(off: &[(f64, f64)], angle: f64) -> Option<f64> {
    let (before, after) = neighbors(off, angle)?;
    let near = if before.0 <= after.0 { before } else { after };
    (near.0 < BARK_REACH).then(|| near.1 * (1.0 - near.0 / BARK_REACH))
}

/// The nearest entries anticlockwise and clockwise: how far away, and their value.
fn neighbors(around: &[(f64, f64)], angle: f64) -> Option<((f64, f64), (f64, f64))> {
    let nearest = |away: &dyn Fn(f64) -> f64| {
        around
            .iter()
            .map(|(at, value)| (away(*at).rem_euclid(TAU), *value))
            .min_by(|a, b| a.0.total_cmp(&b.0))
    };
    Some((nearest(&|at| angle - at)?, nearest(&|at| at - angle)?))
}

/// Bends the outlines of joined rings through the places that were joined.
pub(crate) fn bend_joined(rings: &mut [Ring], face: &Face, followed: &Followed, marks: &Marks) {
    for line in &marks.joined {
        let places: Vec<(f64, f64)> = line
            .iter()
            .map(|at| {
                let (row, _) = followed.unrolled.locate(*at);
                (followed.unrolled.angle(row).0, course_of(followed, *at))
            })
            .collect();
        let courses: Vec<f64> = places.iter().map(|place| place.1).collect();
        let Some(mean) = mean(&courses) else {
            continue;
        };
        let list = followed.boundaries.list.iter().enumerate();
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
            let row = step * followed.unrolled.angles() / STEPS;
            let angle = followed.unrolled.angle(row as f64).0;
            if let Some((before, after)) = neighbors(&places, angle) {
                let span = (before.0 + after.0).max(1e-9);
                let course = before.1 + before.0 / span * (after.1 - before.1);
                *place = in_photo(face, followed, row, course);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_lone_bark_mark_fades_to_its_sides_and_two_near_ones_are_joined() {
        let lone = [(1.0, 12.0)];
        assert!((fading(&lone, 1.0).unwrap() - 12.0).abs() < 1e-9);
        assert!((fading(&lone, 1.0 + BARK_REACH / 2.0).unwrap() - 6.0).abs() < 1e-9);
        assert_eq!(fading(&lone, 3.0), None);
        assert_eq!(between(&lone, 1.0), None);
        // Over the turn from 359 to 1 degree too.
        let two = [(0.1, 10.0), (TAU - 0.1, 20.0)];
        assert!((between(&two, 0.0).unwrap() - 15.0).abs() < 1e-9);
        assert_eq!(between(&two, 3.0), None, "far from both");
        assert_eq!(between(&[], 0.0), None);
    }
}
