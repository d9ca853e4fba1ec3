//! Rings that a person set along one strip, made into what a reading is made of.

use crate::rings::{MAYBE_TWO, round};
use crate::strips;
use crate::traced::STEPS;
use photo::Face;
use sight::SeenScene;
use std::f64::consts::TAU;
use wood::{
    Angle, Caution, Count, Facts, Marks, Pith, PithSource, Point, Px, Refusal, RefusalReason, Ring,
    RingNote, Scope, Strip, stats,
};

use crate::counted::Counted;
use crate::heart;
use crate::wood_class::given_wood;

/// Share of the rings by which a count along one strip may be off either way, one
/// ring at least (common practice, no source: counts of one radius repeated).
const SLIPS: f64 = 0.02;
/// Widths within which the last ring set is the bark edge itself. Chosen: a ring
/// narrower than that beside wide ones is the same click.
const SAME: f64 = 0.3;
/// Rings whose median width stands for the next one. Chosen: few, because widths change
/// along the strip; a median, because one may be wrong.
const NEXT: usize = 5;
/// How far off a marked pith may be, in pixels: a fingertip on an enlarged photo.
const PITH_OFF: Px = Px(2.0);

/// What was counted; `None` where no ring was set.
pub(crate) fn counted(
    face: &Face,
    facts: &Facts,
    marks: &Marks,
    strip: &Strip,
    scene: Option<&SeenScene>,
) -> Option<Counted> {
    let at = marks.pith.unwrap_or(strip.from);
    let mut ends: Vec<f64> = strip
        .rings
        .iter()
        .map(|place| at.distance(*place).0)
        .filter(|radius| *radius >= 1.0)
        .collect();
    ends.sort_by(f64::total_cmp);
    ends.dedup_by(|next, before| *next - *before < 1.0);
    let last = *ends.last()?;
    let next = next_width(&ends);
    let bark = at.distance(strip.to).0;
    let left = bark - last;
    let at_bark = left < MAYBE_TWO * next && strips::ends_at_bark(strip, marks, scene);
    if at_bark {
        if left < SAME * next {
            ends.pop();
        }
        ends.push(bark.max(last));
    }
    let pith = Pith {
        x_px: Px(at.x_px),
        y_px: Px(at.y_px),
        from: PithSource::Given,
        uncertainty_px: PITH_OFF,
    };
    let arc = |radius: f64| arc(face, strip, &pith, Px(radius));
    let count = ends.len();
    let rings: Vec<Ring> = ends
        .iter()
        .enumerate()
        .map(|(index, &radius)| {
            let inner = index.checked_sub(1).map_or(0.0, |before| ends[before]);
            let mut notes = vec![RingNote::Marked];
            if at_bark && index + 1 == count {
                notes.push(RingNote::AtBark);
            }
            Ring {
                number: index as u32 + 1,
                year: None,
                radius_px: Px(round(radius)),
                radius_mm: None,
                width_px: Px(round(radius - inner)),
                width_mm: None,
                confidence: 1.0,
                notes,
                outline_px: arc(radius),
            }
        })
        .collect();
    let scope = if !at_bark {
        Scope::RingsInView
    } else if facts.hollow_radius_mm.is_some() {
        Scope::OutsideHeart
    } else {
        heart::scope(Scope::WholeFace, &rings)
    };
    let slips = ((SLIPS * count as f64).ceil() as u32).max(1);
    let best = count as u32;
    Some(Counted {
        wood: given_wood(facts),
        bark_edge_px: if at_bark { arc(bark) } else { Vec::new() },
        count: Count {
            best,
            low: best.saturating_sub(slips).max(1),
            high: best + slips,
            level: growth::LEVEL,
        },
        scope,
        strip: Some(strip.clone()),
        quality: None,
        pith,
        rings,
    })
}

/// How wide the next ring will be, judged by those that are set.
fn next_width(ends: &[f64]) -> f64 {
    let widths: Vec<f64> = std::iter::once(ends[0])
        .chain(ends.windows(2).map(|pair| pair[1] - pair[0]))
        .collect();
    let from = widths.len().saturating_sub(NEXT);
    stats::median(&widths[from..]).unwrap_or(1.0)
}

/// A ring's outline: a short arc where the strip shows it.
fn arc(face: &Face, strip: &Strip, pith: &Pith, radius: Px) -> Vec<Option<Point>> {
    (0..STEPS)
        .map(|step| {
            let angle = Angle(step as f64 / STEPS as f64 * TAU);
            let place = pith.point().toward(angle, radius);
            (face.holds(place) && strips::shows(strip, pith, place)).then_some(place)
        })
        .collect()
}

/// What is said before the first ring is set.
pub(crate) fn nothing_set() -> Refusal {
    Refusal {
        reason: RefusalReason::NotCounted,
        detail: "a strip is marked to be counted by hand, and no ring is set on it yet".to_owned(),
        advice: "set the end of each ring along the strip, from the pith to the bark".to_owned(),
    }
}

/// What to know about a count by hand.
pub(crate) fn cautions(rings: &[Ring], scope: Scope) -> Vec<Caution> {
    let mut out = vec![Caution {
        about: "by-hand".to_owned(),
        text: "the rings were counted by hand along one strip: a ring that is missing or double \
               there is not noticed; count a second strip to be sure"
            .to_owned(),
    }];
    if scope == Scope::RingsInView {
        out.push(Caution {
            about: "rings-in-view".to_owned(),
            text: format!(
                "{} rings are set, and they do not reach the bark, so the count is not that of the tree",
                rings.len()
            ),
        });
    }
    out
}
