//! The age from its parts: rings, missing pith, years to the cut.

use crate::heart;
use growth::missing_pith::{MissingHeart, radius_inside_first_ring, rings_missing};
use growth::{AgeInput, years_to_cut};
use wood::{
    Age, AgePart, Caution, Count, Facts, MmPerPx, Pith, PithSource, Px, Ring, Scale, Scope, Year,
    Years, find_species,
};

/// Sound rings next to the gap whose mean width stands for the missing ones
/// (5, 10 and 20 are usual, from memory; ten suits stumps of any age).
const INNER_RINGS: usize = 10;

/// The age; `None` when the photo does not show the bark, for then outer rings are missing too.
#[expect(
    clippy::too_many_arguments,
    reason = "each is one input of the sum and none belong together"
)]
pub(crate) fn age(
    facts: &Facts,
    pith: &Pith,
    count: &Count,
    rings: &[Ring],
    scale: Option<&Scale>,
    as_of: Option<Year>,
    scope: Scope,
    cautions: &mut Vec<Caution>,
) -> Option<Age> {
    if scope == Scope::RingsInView {
        return None;
    }
    let species = facts
        .species
        .as_deref()
        .and_then(|name| find_species(name).ok());
    let cut = years_to_cut(facts.cut_height_mm, species);
    cautions.extend(cut.cautions);
    let missing_pith = missing(facts, pith, rings, scale, cautions);
    Some(growth::age(&AgeInput {
        count,
        count_distribution: None,
        missing_pith,
        cut: cut.part,
        as_of,
    }))
}

/// Rings that a hollow, or a pith outside the photo, took with it.
fn missing(
    facts: &Facts,
    pith: &Pith,
    rings: &[Ring],
    scale: Option<&Scale>,
    cautions: &mut Vec<Caution>,
) -> Option<AgePart> {
    let pith_outside = facts.hollow_radius_mm.is_none() && pith.from == PithSource::Outside;
    let by_arcs = if pith_outside {
        radius_inside_first_ring(rings)
    } else {
        None
    };
    let (radius_px, sd_px) = match (facts.hollow_radius_mm, pith.from) {
        (Some(hollow), _) => {
            let MmPerPx(mm_per_px) = scale?.mm_per_px;
            (hollow.0 / mm_per_px, 0.05 * hollow.0 / mm_per_px)
        }
        (None, PithSource::Outside) => {
            // Where the arcs are too short, the place of the pith has to do.
            let Px(radius) = by_arcs.or(rings.first().map(|ring| ring.width_px))?;
            let doubt = pith.uncertainty_px.0.max(OUTSIDE_DOUBT * radius);
            (radius, doubt)
        }
        (None, PithSource::Seen | PithSource::Given) => {
            let (Px(radius), Px(sd)) = heart::radius(rings, pith)?;
            (radius, sd)
        }
    };
    // What was not read is counted as the one ring that it ends with; in a hollow
    // of known radius nothing is counted.
    let counted = if facts.hollow_radius_mm.is_some() {
        0.0
    } else {
        1.0
    };
    // The first ring in a photo without the pith is the distance to the pith.
    let outside: Vec<f64> = rings
        .iter()
        .filter(|ring| {
            if pith_outside {
                ring.number > 1
            } else {
                ring.radius_px.0 > radius_px
            }
        })
        .map(|ring| ring.width_px.0)
        .collect();
    // Whole rings at the edge of the photo are as good as others; those at the
    // rim of a hollow are torn.
    let sound = match pith.from {
        PithSource::Outside => &outside[..],
        PithSource::Seen | PithSource::Given => without_torn_rim(&outside),
    };
    let heart = MissingHeart {
        radius: radius_px,
        radius_sd: sd_px,
        inner_widths: sound,
        inner_rings: INNER_RINGS,
        face_radius: rings.last().map(|ring| ring.radius_px.0),
    };
    match rings_missing(&heart) {
        Ok(estimate) => {
            cautions.extend(estimate.cautions);
            let less = |years: Years| Years((years.0 - counted).max(0.0));
            let mut part = estimate.part;
            if by_arcs.is_some() {
                part.how.push_str(
                    "; the missing radius is that of circles through the innermost arcs \
                     (Applequist 1958)",
                );
            }
            Some(AgePart {
                best: less(part.best),
                low: less(part.low),
                high: less(part.high),
                ..part
            })
        }
        Err(error) => {
            cautions.push(Caution {
                about: "missing-pith".to_owned(),
                text: format!("rings lost at the heart could not be estimated: {error}"),
            });
            None
        }
    }
}

/// One standard deviation of the distance to a pith outside the photo, as a share of
/// it: of 40 drawn stumps cut off beside the pith, 9 in 10 were within 1.65 times that.
const OUTSIDE_DOUBT: f64 = 0.21;

/// Most rings that the rim of a hollow tears. Chosen: rot eats along a ring and
/// breaks through a few.
const TORN_MOST: usize = 5;
/// Share of the usual width nearby under which a ring at the rim counts as torn.
/// Chosen: single years vary by a fifth to a third.
const TORN_SHARE: f64 = 0.85;
/// Rings whose median is the usual width nearby. Chosen: twice as many as are averaged,
/// so that the torn ones do not set it.
const NEAR: usize = 20;

/// Widths without the narrow ones with which they begin: at the ragged rim of a
/// hollow, rings are only partly there, and their mean widths are too small.
fn without_torn_rim(widths: &[f64]) -> &[f64] {
    let mut near: Vec<f64> = widths.iter().copied().take(NEAR).collect();
    near.sort_by(f64::total_cmp);
    let Some(usual) = near.get(near.len() / 2).filter(|_| near.len() > TORN_MOST) else {
        return widths;
    };
    let torn = widths
        .iter()
        .take(TORN_MOST)
        .take_while(|width| **width < TORN_SHARE * usual)
        .count();
    widths.get(torn..).unwrap_or(widths)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn torn_rings_at_a_rim_are_left_out_and_sound_ones_stay() {
        // As the rim of a drawn hollow oak is read, in pixels.
        let oak = [
            3.5, 4.0, 3.5, 5.3, 8.0, 9.4, 5.7, 10.2, 7.1, 6.2, 7.0, 6.1, 6.4, 7.7, 6.5,
        ];
        assert_eq!(without_torn_rim(&oak), &oak[4..]);
        assert_eq!(without_torn_rim(&[2.0; 30]).len(), 30);
        let slow_start: Vec<f64> = (0..30)
            .map(|ring| if ring < 7 { 1.0 } else { 2.0 })
            .collect();
        assert_eq!(
            without_torn_rim(&slow_start).len(),
            25,
            "no more than the rim"
        );
        assert_eq!(
            without_torn_rim(&[1.0, 5.0]),
            &[1.0, 5.0],
            "too few to know"
        );
    }
}
