//! The count with its range, and what to know about it.

use crate::traced::TracedFace;
use sight::clarity;
use wood::{Caution, Count, Scope, WoodClass, WoodSource};

/// The share of all chances of counts that the range leaves out below and above
/// before it is widened. Little is left out above, for rings are lost more often
/// than invented; far more than a tenth below, for the chances claim less than is
/// true. With these and what widens it, the range held the truth on 94 of 100
/// practice faces (159, seeds 561 to 720, mean width 3.0; measured 2026-11-26).
const LEFT_OUT: (f64, f64) = (0.35, 0.05);

/// Share of the rings that may be lost or false for each whole unit of clarity
/// under [`clarity::FULL`] (measured 2026-11-26 over 327 practice faces, seeds 401 to 700).
const UNCLEAR_SHARE: f64 = 0.08;
/// Share of the rings by which the count may be off either way for each whole unit
/// of clarity under [`clarity::GUESSED`]. With 0.5, enough for drawn faces, the range of 12
/// of 16 real photos read by fold met that of careful people; with this 15 do. Chosen as the
/// least with which those can be met whose rings are unclear; with one fold of the photos
/// left out in turn when it is chosen, 14.
const GUESSED_SHARE: f64 = 0.85;

/// Share of the rings that may be lost on top for each whole unit of clarity under
/// [`clarity::NONE_LOST`]: the range then holds the truth on 96 of 100 of these faces, and
/// one is more than three rings outside it.
const LOST_SHARE: f64 = 0.25;

/// Chance of the given wood class under which the picture speaks against it. Chosen
/// low: a caution that is often wrong is not read.
const UNLIKE_CLASS: f64 = 0.03;

/// The best count and its range.
pub(crate) fn count(traced: &TracedFace) -> Count {
    let best = traced.boundaries.list.len() as u32;
    let (low, high) = quantiles(&traced.boundaries.counts);
    let clarity = traced.clarity();
    let widen = systematic(traced, clarity) + one_strip(traced);
    let low = (f64::from(low.min(best)) - widen).round().max(0.0) as u32;
    let high = (f64::from(high.max(best)) + widen + lost(traced, clarity)).round() as u32;
    Count {
        best,
        low,
        high,
        level: growth::LEVEL,
    }
}

/// The counts between which all but a tail on each side is.
fn quantiles(chances: &[f64]) -> (u32, u32) {
    let (below, above) = LEFT_OUT;
    let total: f64 = chances.iter().sum();
    let (mut sum, mut low, mut high) = (0.0, None, 0);
    for (count, chance) in chances.iter().enumerate() {
        sum += chance / total.max(1e-12);
        if low.is_none() && sum > below {
            low = Some(count as u32);
        }
        if sum < 1.0 - above {
            high = count as u32 + 1;
        }
    }
    (low.unwrap_or(0), high)
}

/// Share of the rings by which careful people differ on how far out the rings in
/// view go, where no bark says where to end: counts along several radii of one real
/// photo differ by more.
const VIEW_SHARE: f64 = 0.06;

/// Rings by which one followed once round is taken to miss itself at most, and where
/// none can be followed round. Chosen: a larger one means that the rings of the circle
/// were not followed at all.
const MOST_CLOSURE: f64 = 3.0;

/// Share of the rings by which a count along one strip may be off either way, one ring
/// at least: no other side speaks against a false ring, or for one that has run out
/// (chosen: with half of it the range held the truth on 17 of 24 drawn faces with a
/// strip, seeds 4001 to 4030).
const STRIP_SHARE: f64 = 0.06;

/// Doubt that comes of having one strip alone, in rings.
fn one_strip(traced: &TracedFace) -> f64 {
    let rings = traced.boundaries.list.len() as f64;
    let share = traced.strip.as_ref().map(|_| STRIP_SHARE * rings);
    share.map_or(0.0, |share| share.max(1.0))
}

/// Doubt that no single boundary shows, in rings.
fn systematic(traced: &TracedFace, clarity: f64) -> f64 {
    let rings = traced.boundaries.list.len() as f64;
    let unclear = (clarity::FULL - clarity).max(0.0);
    let closure = traced.quality().closure_rings.unwrap_or(MOST_CLOSURE);
    let closure = closure.min(MOST_CLOSURE);
    let guessed = (clarity::GUESSED - clarity).max(0.0);
    let view = if traced.bark.is_none() {
        VIEW_SHARE
    } else {
        0.0
    };
    rings * (UNCLEAR_SHARE * unclear + GUESSED_SHARE * guessed + view) + 0.5 * closure
}

/// Rings that may be lost where those of one side are followed into others: a
/// sector askew by a ring blurs the circle, and what is blurred is not counted. Where
/// sectors by themselves show more, as many as they show.
fn lost(traced: &TracedFace, clarity: f64) -> f64 {
    let rings = traced.boundaries.list.len() as f64;
    let unclear = LOST_SHARE * (clarity::NONE_LOST - clarity).max(0.0);
    rings * unclear.max(traced.lost_share)
}

/// What to know about the count.
pub(crate) fn cautions(traced: &TracedFace, count: &Count, scope: Scope) -> Vec<Caution> {
    let mut out = Vec::new();
    let mut say = |about: &str, text: String| {
        out.push(Caution {
            about: about.to_owned(),
            text,
        })
    };
    if traced.wood.from == WoodSource::Guessed {
        say(
            "wood-guessed",
            format!(
                "the wood was taken for {}, a guess from the picture; give --species or --wood to be sure",
                traced.wood.class
            ),
        );
    }
    if traced.wood.from != WoodSource::Guessed && traced.chance_of_class() < UNLIKE_CLASS {
        say(
            "wood-doubt",
            format!(
                "the picture does not look like {} wood: check the species that was given, and that the right photo was",
                traced.wood.class
            ),
        );
    }
    if traced.wood.class == WoodClass::DiffusePorous {
        say("faint-rings", "diffuse-porous wood shows its years faintly: check the doubtful rings on the stump with a hand lens".to_owned());
    }
    if scope == Scope::RingsInView {
        say(
            "rings-in-view",
            "no bark edge was found, so the count is of the rings in view, not of the tree"
                .to_owned(),
        );
    }
    if let Some(closure) = traced.quality().closure_rings.filter(|rings| *rings > 0.5) {
        say(
            "closure",
            format!(
                "rings followed once round miss themselves by {closure:.1} rings: one may be lost on a side"
            ),
        );
    }
    if traced.quality().median_width_px.0 < 5.0 {
        say(
            "narrow-rings",
            format!(
                "rings are only about {:.0} pixels wide: go closer, or photograph a strip from pith to bark",
                traced.quality().median_width_px.0
            ),
        );
    }
    if f64::from(count.high - count.low) > 0.25 * f64::from(count.best.max(8)) {
        say("wide-range", "much of this face is hard to read: sand or shave a strip from pith to bark, wet it, and photograph it again".to_owned());
    }
    out
}
