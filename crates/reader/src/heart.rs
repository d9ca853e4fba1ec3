//! A heart that was not read and that nobody marked: rotten, hollow, or too
//! rough. The innermost ring then holds more than one year.

use wood::{Caution, Facts, Pith, PithSource, Px, Ring, Scope};

/// The scope, where such a heart leaves only the sound wood around it.
pub(crate) fn scope(found: Scope, rings: &[Ring]) -> Scope {
    match found {
        Scope::WholeFace if growth::unread_heart(rings).is_some() => Scope::OutsideHeart,
        other => other,
    }
}

/// Share of such a heart's radius by which it may be off: its rim is seen, but
/// the pith in it is estimated from the rings around it (judged).
const RADIUS_SHARE: f64 = 0.1;

/// Radius of such a heart and its standard deviation, in photo pixels.
pub(crate) fn radius(rings: &[Ring], pith: &Pith) -> Option<(Px, Px)> {
    growth::unread_heart(rings)?;
    let Px(radius) = rings.first()?.width_px;
    let sd = (RADIUS_SHARE * radius).hypot(pith.uncertainty_px.0);
    Some((Px(radius), Px(sd)))
}

/// What to know about it, or about a pith outside the photo.
pub(crate) fn caution(rings: &[Ring], pith: &Pith, facts: &Facts) -> Option<Caution> {
    if facts.hollow_radius_mm.is_some() {
        return None;
    }
    if pith.from == PithSource::Outside {
        return Some(Caution {
            about: "pith-outside".to_owned(),
            text: "the pith is outside the photo, so the years around it are estimated: take the \
                   pith into the photo"
                .to_owned(),
        });
    }
    let times = growth::unread_heart(rings)?;
    Some(Caution {
        about: "heart-unread".to_owned(),
        text: format!(
            "the innermost ring is {times:.0} times as wide as those next to it: the heart was not \
             read, and its years are estimated; measure its radius on the stump and give --hollow \
             3in, or mark the rings in it"
        ),
    })
}
