//! When nothing is claimed, and what to do instead.

use crate::traced::TracedFace;
use photo::{Face, lightness};
use sight::clarity;
use wood::{Marks, Refusal, RefusalReason};

/// Shorter side under which no face is tried. Chosen: twice [`LEAST_RADIUS_PX`] and a
/// little around it.
const LEAST_SIDE_PX: u32 = 160;
/// Pixels from one that the photo's tone is taken from to the next, each way. Chosen:
/// one pixel in 64 gives the same mean and spread.
const TONE_STEP: usize = 8;
/// Spread of lightness (L*) under which nothing can be seen. Chosen: a difference that
/// the eye hardly sees.
const LEAST_SPREAD: f32 = 1.5;
/// Radius of a face under which its rings are not tried: twelve rings of five
/// pixels and their bark (chosen).
const LEAST_RADIUS_PX: f64 = 70.0;
/// Width of rings, in photo pixels, under which they are read only where they are
/// clear or agree around the circle (chosen on 31 real photos); the photo guide asks for
/// four pixels.
const NARROW_PX: f64 = 4.3;
/// Width under which they are never read: two pixels are the least that can show a
/// light and a dark half.
const TOO_NARROW_PX: f64 = 2.2;
/// Share of ring direction that does not point at a marked pith, from which that pith
/// is wrong where the photo shows another (chosen).
const NOT_CIRCLED: f64 = 0.6;
/// Fewest rings that are a face. Chosen: two lines can be anything.
const FEWEST_RINGS: usize = 3;
/// How to take a photo that can be read.
const ADVICE: &str = "shave or sand a strip from pith to bark and wet it; stand square over the cut, in even shade, \
and fill the picture with the face";

fn refusal(reason: RefusalReason, detail: String, advice: &str) -> Refusal {
    Refusal {
        reason,
        detail,
        advice: advice.to_owned(),
    }
}

/// Refusals that need no reading.
pub(crate) fn before(face: &Face) -> Option<Refusal> {
    let (width, height) = face.rgb.dimensions();
    if width.min(height) < LEAST_SIDE_PX {
        return Some(refusal(
            RefusalReason::TooSmall,
            format!(
                "the photo is only {width} x {height} pixels; rings need {LEAST_SIDE_PX} or more on the shorter side"
            ),
            "send the photo as the camera took it, not a preview or a screenshot of it",
        ));
    }
    // A few pixels give the tone of all.
    let rows = face.rgb.as_raw().chunks_exact(3 * width as usize);
    let tone: Vec<f64> = rows
        .step_by(TONE_STEP)
        .flat_map(|row| row.as_chunks().0.iter().step_by(TONE_STEP))
        .map(|&pixel| f64::from(lightness(pixel)))
        .collect();
    let count = tone.len() as f64;
    let mean = tone.iter().sum::<f64>() / count;
    let square = tone.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / count;
    if square.sqrt() < f64::from(LEAST_SPREAD) {
        let how = if mean < 20.0 {
            "almost black"
        } else if mean > 90.0 {
            "almost white"
        } else {
            "almost of one tone"
        };
        return Some(refusal(
            RefusalReason::NoContrast,
            format!("the photo is {how}"),
            "photograph the face in even daylight, without flash, and wipe the lens",
        ));
    }
    None
}

/// Refusals that follow from how the rings could be followed; a photo that is
/// not sharp is refused as such, because dressing the wood would not help it.
pub(crate) fn after(face: &Face, traced: &TracedFace, marks: &Marks) -> Option<Refusal> {
    let refusal = unread(face, traced, marks)?;
    if refusal.reason == RefusalReason::NoRings && sharpness(face) < BLURRED {
        return Some(blurred(
            "the photo is not sharp: the camera or the tree moved, or it focused elsewhere",
        ));
    }
    Some(refusal)
}

fn blurred(detail: &str) -> Refusal {
    refusal(
        RefusalReason::Blurred,
        detail.to_owned(),
        "hold still or lean on something, tap the wood on the screen to focus, wipe the lens, \
         and take three",
    )
}

/// Sharpness under which a photo is blurred. Measured 2026-11-25: blurred faces
/// 0.13 and 0.14, sharp ones 0.21 to 0.75.
const BLURRED: f64 = 0.17;
/// Sharpness under which a photo is soft, and the radius of a face, in pixels
/// times sharpness, on which fine rings then vanish: what is left looks like a
/// few wide ones, and was read so (66 rings as 14, 2026-11-26). Of 140 practice
/// faces two that nobody could read lie under both, and none that can be read.
const SOFT: f64 = 0.21;
/// The radius of a face, in pixels times sharpness, under which fine rings vanish where
/// the photo is soft; measured with [`SOFT`].
const FINE_RINGS: f64 = 45.0;
/// Least sharpness: that of a smooth slope.
const SMOOTH: f64 = 0.125;

/// Whether fine rings would have vanished on a face of some radius.
fn hides_fine_rings(face: &Face, radius_px: f64) -> bool {
    radius_px * SMOOTH < FINE_RINGS && {
        let sharpness = sharpness(face);
        sharpness < SOFT && radius_px * sharpness < FINE_RINGS
    }
}

/// Change of lightness from one pixel to the next against that over eight, in
/// the middle of the photo: one over eight where nothing is finer than some pixels,
/// 1 where nothing changes.
fn sharpness(face: &Face) -> f64 {
    let (width, height) = face.rgb.dimensions();
    let (width, height) = (width as usize, height as usize);
    let across = width / 5..width * 4 / 5;
    let (mut nearer, mut farther) = (0.0, 0.0);
    for y in (height / 5..height * 4 / 5).step_by(2) {
        let row = &face.rgb.as_raw()[3 * width * y..][..3 * width]
            .as_chunks()
            .0;
        let line: Vec<f32> = row[across.clone()]
            .iter()
            .map(|&pixel| lightness(pixel))
            .collect();
        let change = |over: usize| -> f64 {
            let pairs = line.iter().zip(line.iter().skip(over));
            pairs
                .map(|(here, there)| f64::from((there - here).abs()))
                .sum::<f64>()
                / (line.len() - over) as f64
        };
        nearer += change(1);
        farther += change(8);
    }
    if farther > 0.0 { nearer / farther } else { 1.0 }
}

fn unread(face: &Face, traced: &TracedFace, marks: &Marks) -> Option<Refusal> {
    let (width, height) = face.rgb.dimensions();
    let (width, height) = (f64::from(width), f64::from(height));
    let list = &traced.boundaries.list;
    let pith = traced.pith.point();
    let far = (-pith.x_px)
        .max(pith.x_px - width)
        .max(-pith.y_px)
        .max(pith.y_px - height)
        > 0.7 * width.max(height);
    if marks.pith.is_none() && far {
        return Some(refusal(
            RefusalReason::NoRings,
            "no rings around a pith were found in the photo or close to it".to_owned(),
            ADVICE,
        ));
    }
    let radius_px = traced.face_radius_px();
    if marks.pith.is_none() && radius_px < LEAST_RADIUS_PX {
        return Some(refusal(
            RefusalReason::FaceTooSmall,
            format!(
                "the face is only about {:.0} pixels across in this photo",
                2.0 * radius_px
            ),
            "go closer and fill the picture with the face, square over the cut",
        ));
    }
    if marks.pith.is_none() && hides_fine_rings(face, radius_px) {
        return Some(blurred(&format!(
            "the photo is not sharp: on a face of {:.0} pixels across fine rings would not be seen",
            2.0 * radius_px
        )));
    }
    let centered = traced.is_centered();
    if marks.pith.is_some() && !centered && traced.misfit > NOT_CIRCLED {
        return Some(refusal(
            RefusalReason::NoRings,
            format!(
                "{:.0} % of the lines in the photo do not circle the marked pith",
                100.0 * traced.misfit
            ),
            "move the pith to the middle of the rings, or clear it with --pith none, so that the \
             program finds it",
        ));
    }
    if list.len() < FEWEST_RINGS {
        return Some(refusal(
            RefusalReason::NoRings,
            format!("only {} lines in the photo look like rings", list.len()),
            ADVICE,
        ));
    }
    let (clarity, agreement) = (traced.clarity(), traced.seen.agreement());
    let nowhere = agreement < clarity::AGREES_NOWHERE;
    let evident = clarity >= clarity::EVIDENT;
    if nowhere || (!evident && (!centered || sharpness(face) < BLURRED)) {
        return Some(refusal(
            RefusalReason::NoRings,
            format!(
                "the photo shows no rings clearly enough to count: what looks like rings agrees on {:.0} % \
                 of the way round the face",
                100.0 * agreement
            ),
            ADVICE,
        ));
    }
    let width_px = traced.quality().median_width_px.0;
    let narrow = width_px < NARROW_PX && !evident && !traced.agrees();
    if width_px < TOO_NARROW_PX || narrow {
        return Some(refusal(
            RefusalReason::RingsTooNarrow,
            format!(
                "the rings are about {width_px:.1} pixels wide; {NARROW_PX:.0} or more are needed"
            ),
            "take two to four overlapping pictures along one strip, from close by, and join them: \
             stumpbook count a.jpg b.jpg --join; or go closer",
        ));
    }
    None
}
