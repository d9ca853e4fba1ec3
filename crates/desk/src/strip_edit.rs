//! Edits of the strip along which rings are counted, and of the rings that a
//! person sets on it.

use crate::edit_context::EditContext;
use crate::error::ApiError;
use wood::{Marks, Point, Px, Strip};

/// How near to a set ring a proposal is the same ring, as a share of the distance
/// between the proposals beside it.
const SAME_RING: f64 = 0.35;
/// The nearest that two rings may be set to each other.
const NEAREST: Px = Px(1.0);
/// How far beyond its ends or sides a place is still on the strip, as a share of
/// its length.
const BESIDE: f64 = 0.03;

/// A strip as it was drawn.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Drawn {
    pub(crate) from: Point,
    pub(crate) to: Point,
    pub(crate) width_px: Option<Px>,
    /// Who counts; as before where it is not said.
    pub(crate) by_hand: Option<bool>,
}

/// Draws the strip, or moves its ends. Rings set on it stay where they are on the
/// wood; those that it no longer covers are taken away.
pub(crate) fn draw(
    context: EditContext<'_>,
    marks: &mut Marks,
    drawn: Drawn,
) -> Result<String, ApiError> {
    let before = marks.strip.take();
    let mut strip = Strip {
        from: drawn.from,
        to: drawn.to,
        width_px: drawn.width_px,
        by_hand: drawn
            .by_hand
            .unwrap_or_else(|| before.as_ref().is_some_and(|strip| strip.by_hand)),
        rings: Vec::new(),
    };
    if drawn.width_px.is_some_and(|Px(width)| !width.is_finite()) {
        return Err(ApiError::invalid(
            "that width is not a number of pixels",
            "drag the side of the strip",
        ));
    }
    for end in [strip.from, strip.to] {
        context.near(end)?;
    }
    let mut lost = 0;
    if let Some(before) = &before {
        strip.rings.clone_from(&before.rings);
        strip.rings.retain(|place| on(&strip_at(drawn), *place));
        lost = before.rings.len() - strip.rings.len();
        // What was said of its ends is said of them where they are now.
        if marks.pith == Some(before.from) {
            marks.pith = Some(strip.from);
        }
        for place in &mut marks.bark {
            if *place == before.to {
                *place = strip.to;
            }
        }
    }
    marks.strip = Some(strip);
    marks.fit(context.size).map_err(|error| {
        ApiError::invalid(
            error.to_string(),
            "draw the strip from the pith to the bark, within the photo",
        )
    })?;
    let what = if before.is_some() {
        "the strip moved"
    } else {
        "a strip drawn"
    };
    Ok(match lost {
        0 => what.to_owned(),
        1 => format!("{what}; the ring outside it was taken away"),
        _ => format!("{what}; {lost} rings outside it were taken away"),
    })
}

/// A strip without rings where it was drawn.
fn strip_at(drawn: Drawn) -> Strip {
    Strip {
        from: drawn.from,
        to: drawn.to,
        width_px: drawn.width_px,
        by_hand: true,
        rings: Vec::new(),
    }
}

/// Clears the strip and what was set on it.
pub(crate) fn clear(marks: &mut Marks) -> Result<String, ApiError> {
    marks.strip.take().map_or_else(
        || Err(no_strip()),
        |_| Ok("the strip cleared: the whole face counts".to_owned()),
    )
}

/// Says who counts along the strip. Rings that were set stay.
pub(crate) fn count(marks: &mut Marks, by_hand: bool) -> Result<String, ApiError> {
    marked(marks)?.by_hand = by_hand;
    Ok(if by_hand {
        "you count along the strip".to_owned()
    } else {
        "the program counts along the strip".to_owned()
    })
}

/// A year ends here.
pub(crate) fn set(marks: &mut Marks, at: Point) -> Result<String, ApiError> {
    let strip = by_hand(marks)?;
    room(strip, at, None)?;
    strip.rings.push(at);
    Ok("a ring set".to_owned())
}

/// The ring that was set here is taken away.
pub(crate) fn take_away(marks: &mut Marks, at: Point) -> Result<String, ApiError> {
    let strip = by_hand(marks)?;
    let index = nearest(strip, at)?;
    strip.rings.remove(index);
    Ok("a ring taken away".to_owned())
}

/// The ring that was set at one place ends at another.
pub(crate) fn shift(marks: &mut Marks, from: Point, to: Point) -> Result<String, ApiError> {
    let strip = by_hand(marks)?;
    let index = nearest(strip, from)?;
    room(strip, to, Some(index))?;
    if let Some(place) = strip.rings.get_mut(index) {
        *place = to;
    }
    Ok("a ring moved".to_owned())
}

/// Sets all rings that the program proposes between the last one that was set
/// before a place and that place.
pub(crate) fn accept(
    context: EditContext<'_>,
    marks: &mut Marks,
    to: Point,
) -> Result<String, ApiError> {
    let strip = by_hand(marks)?;
    let view = context.strip_view().ok_or_else(|| {
        ApiError::invalid(
            "the program proposes no rings on this photo",
            "set each ring where you see it",
        )
    })?;
    let (Px(end), _) = strip.locate(to);
    let mut set: Vec<f64> = strip
        .rings
        .iter()
        .map(|place| strip.locate(*place).0.0)
        .collect();
    let start = set
        .iter()
        .copied()
        .filter(|at| *at <= end)
        .fold(0.0, f64::max);
    let proposed = &view.proposed;
    let mut taken = 0;
    for (index, ring) in proposed.iter().enumerate() {
        let Px(along) = ring.along;
        let beside = |other: Option<usize>| other.and_then(|other| proposed.get(other));
        let gap = [beside(index.checked_sub(1)), beside(Some(index + 1))]
            .into_iter()
            .flatten()
            .map(|other| (other.along.0 - along).abs())
            .fold(f64::INFINITY, f64::min);
        let reach = (SAME_RING * gap).max(NEAREST.0);
        let again = set.iter().any(|at| (at - along).abs() <= reach);
        if along > start && along <= end + NEAREST.0 && !again {
            strip.rings.push(ring.at);
            set.push(along);
            taken += 1;
        }
    }
    match taken {
        0 => Err(ApiError::invalid(
            "the program proposes no more rings up to there",
            "move further out, or set the ring where you see it",
        )),
        1 => Ok("1 ring accepted".to_owned()),
        _ => Ok(format!("{taken} rings accepted")),
    }
}

fn marked(marks: &mut Marks) -> Result<&mut Strip, ApiError> {
    marks.strip.as_mut().ok_or_else(no_strip)
}

/// The strip, where a person counts along it.
fn by_hand(marks: &mut Marks) -> Result<&mut Strip, ApiError> {
    let strip = marked(marks)?;
    if strip.by_hand {
        Ok(strip)
    } else {
        Err(ApiError::invalid(
            "the program counts along this strip",
            "choose to count by hand first",
        ))
    }
}

/// What is said where a strip is needed and none is drawn.
pub(crate) fn no_strip() -> ApiError {
    ApiError::invalid(
        "no strip is drawn on this photo",
        "choose the tool Strip and draw one from the pith to the bark",
    )
}

/// Whether a place is on the strip or close beside it.
fn on(strip: &Strip, at: Point) -> bool {
    let (Px(along), Px(aside)) = strip.locate(at);
    let (Px(length), Px(width)) = (strip.length(), strip.width());
    let beside = BESIDE * length;
    (-beside..=length + beside).contains(&along) && aside.abs() <= 0.5 * width + beside
}

/// Whether a ring may be set at a place: on the strip, and not where another is.
fn room(strip: &Strip, at: Point, besides: Option<usize>) -> Result<(), ApiError> {
    if !(at.x_px.is_finite() && at.y_px.is_finite() && on(strip, at)) {
        return Err(ApiError::invalid(
            "that place is outside the strip",
            "set rings on the strip, from the pith to the bark",
        ));
    }
    let (along, _) = strip.locate(at);
    let taken = strip.rings.iter().enumerate().any(|(index, place)| {
        Some(index) != besides && (strip.locate(*place).0.0 - along.0).abs() < NEAREST.0
    });
    if taken {
        return Err(ApiError::invalid(
            "a ring is set there already",
            "zoom in to set rings close together",
        ));
    }
    Ok(())
}

/// The place in the list of the ring set nearest to a place.
fn nearest(strip: &Strip, at: Point) -> Result<usize, ApiError> {
    let off = |place: &Point| place.distance(at).0;
    let rings = strip.rings.iter().enumerate();
    rings
        .min_by(|(_, one), (_, other)| off(one).total_cmp(&off(other)))
        .map(|(index, _)| index)
        .ok_or_else(|| {
            ApiError::invalid(
                "no ring is set yet",
                "set the end of each ring where you see it",
            )
        })
}
