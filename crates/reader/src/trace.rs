//! The long part of a reading: the face unrolled, its rings straightened and seen.

use crate::first_pass::{FirstPass, Inputs, Overview, PithSearch, STARTED};
use crate::sides::{self, bare_boundaries};
use crate::traced::{FIRST_PX, TracedFace};
use crate::unmarked::{Bounds, UnmarkedFace};
use crate::watch::{BrokenOff, report_progress};
use crate::wood_class::{given_class, wood_class};
use boundary::{Boundaries, sector_shifts};
use ndarray::Array2;
use photo::Face;
use profile::{
    RadialProfile, StraightenParams, Straightened, flatten, radial_profile, straighten_along,
    straighten_by, usual_spacing,
};
use sight::{SeenRings, SeenScene, clarity, see_places, see_rings, strip};
use wood::{Marks, Pith, PithSource, Point, Px};

/// Times that lines are followed, at most: the first time they are seen in rings that
/// may run askew, each later time in rings more level. Chosen: clear faces need one,
/// and unclear ones are aligned by sectors after that.
const TIMES: usize = 3;

/// Steps in which a ring is shown to the network, which learned rings of 3 to 35.
/// Chosen near the middle of that range, by ratio.
const STEPS_A_RING: f32 = 9.0;
/// Most courses taken together (chosen): from rings 54 steps wide on.
const MOST_POOLED: usize = 6;

/// The long part of following: the rings run level, and nothing is decided on
/// them that is not decided again. What is covered is not looked at; what a person
/// marked unreadable is, and does not count, so that it can be marked without a
/// new look.
pub(crate) fn trace(
    inputs: &Inputs<'_>,
    whole: &Overview,
) -> Result<(TracedFace, UnmarkedFace), BrokenOff> {
    let params = StraightenParams::default();
    let search = PithSearch::of(*inputs, whole, &params);
    let first = search.start(inputs.watch)?;
    let misfit = search.misfit(first.guess.0);
    follow_lines(
        inputs,
        first,
        misfit,
        search.scene,
        (STARTED, LEVEL - STARTED),
        &params,
    )
}

/// Share of a reading's time after which the rings run level. Measured at 12
/// megapixels, rounded.
const LEVEL: f32 = 0.95;

/// Straightens what was begun along the lines that are seen in it; `span` is the
/// share of the reading's time before, and the one that this takes.
fn follow_lines(
    inputs: &Inputs<'_>,
    first: FirstPass,
    misfit: f64,
    scene: &SeenScene,
    (before, part): (f32, f32),
    params: &StraightenParams,
) -> Result<(TracedFace, UnmarkedFace), BrokenOff> {
    let Inputs {
        face,
        facts,
        marks,
        watch,
        ..
    } = *inputs;
    let FirstPass {
        guess: (pith, uncertainty_px),
        unrolled,
        mut straightened,
        mut seen,
        ..
    } = first;
    let given = given_class(facts);
    let usual = seen.usual_spacing();
    let spacing = plainest_spacing(&radial_profile(
        &straightened,
        &straightened.levelness(usual, params),
    ));
    // Wide rings are looked at in fewer, longer steps: noise between them goes.
    let factor = ((usual / STEPS_A_RING) as usize).clamp(1, MOST_POOLED);
    let flat = flatten(&unrolled, spacing);
    let mut patterned = false;
    let mut along = |straightened: &Straightened, seen: &SeenRings| {
        patterned = patterned || seen.clarity() >= clarity::PATTERN;
        let lines = seen.lines(patterned);
        straighten_along(&unrolled, &flat, straightened, &lines, params)
    };
    for nth in 1..TIMES {
        if seen.clarity() >= clarity::LEVEL {
            break;
        }
        straightened = along(&straightened, &seen);
        report_progress(watch, before + part * nth as f32 / TIMES as f32)?;
        seen = see_rings(&strip(face, &unrolled, &straightened), factor);
    }
    straightened = along(&straightened, &seen);
    let mut last = see_places(&strip(face, &unrolled, &straightened), factor);
    let seen = last.rings(None, given);
    let unaligned_clarity = seen.clarity();
    let clear = unaligned_clarity >= clarity::LEVEL;
    let from = FIRST_PX / unrolled.step_px;
    if !clear {
        let found = bare_boundaries(&seen, from, seen.last_wood() as f64);
        let shifts = shifts_of(&seen, &found, from);
        straightened = straighten_by(&unrolled, &flat, &straightened, &shifts);
        last = last.shifted(&shifts);
    }
    drop(flat);
    let whole_circle = marks.strip.is_none() && unaligned_clarity < clarity::NONE_LOST;
    let lost_share = if whole_circle {
        sides::lost_share(&last, from)
    } else {
        0.0
    };
    report_progress(watch, before + part)?;
    let level = straightened.levelness(spacing, params);
    let unmarked = UnmarkedFace::new(
        &unrolled,
        &straightened,
        scene.clone(),
        last,
        face.rgb.dimensions(),
    );
    unmarked.hide(&marks.unreadable, &unrolled, &mut straightened);
    let seen = unmarked.rings(&marks.unreadable, given, &straightened);
    let Bounds {
        edge,
        bark,
        to,
        profile,
    } = unmarked.bounds(marks, &seen, &unrolled, &mut straightened, &level);
    let traced = TracedFace {
        pith: pith_at(pith, uncertainty_px, face, marks),
        centered: (!clear).then(|| scene.points_at(pith, face)),
        misfit,
        wood: wood_class(facts, &seen),
        unrolled,
        straightened,
        level,
        edge,
        bark,
        start: 0.0,
        to,
        profile,
        seen,
        boundaries: Boundaries {
            list: Vec::new(),
            counts: Vec::new(),
            spacing: 1.0,
        },
        strip: marks.strip.clone(),
        unaligned_clarity: (!clear).then_some(unaligned_clarity),
        lost_share,
    };
    Ok((traced, unmarked))
}

/// How far from level the rings run in each sector.
fn shifts_of(seen: &SeenRings, found: &Boundaries, from: f64) -> Array2<f32> {
    let agreed: Vec<f64> = found.list.iter().map(|boundary| boundary.course).collect();
    sector_shifts(seen, &agreed, from, seen.last_wood() as f64)
}

/// The pith with how it is known.
fn pith_at(at: Point, uncertainty_px: Px, face: &Face, marks: &Marks) -> Pith {
    Pith {
        x_px: Px(at.x_px),
        y_px: Px(at.y_px),
        from: match (marks.pith, face.holds(at)) {
            (Some(_), _) => PithSource::Given,
            (None, true) => PithSource::Seen,
            (None, false) => PithSource::Outside,
        },
        uncertainty_px,
    }
}

/// The usual ring spacing where rings are the plainest: the inner two thirds
/// of what most of the circle shows.
fn plainest_spacing(profile: &RadialProfile) -> f32 {
    let whole = profile
        .seen
        .iter()
        .rposition(|&share| share > 0.6)
        .unwrap_or(profile.seen.len());
    usual_spacing(profile, whole * 2 / 3)
}
