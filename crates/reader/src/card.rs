//! The scale card in a photo, where nobody gave a scale.

use photo::{Face, FoundCard, find_card};
use wood::{Caution, Facts, Marks, Mm, Pith, Point, Scale, Tape};

/// A lean of the camera from which a caution says so, in degrees. Chosen: below
/// it a round stump looks round.
const LEAN_CAUTION_DEG: f64 = 15.0;

/// The card, looked for only where neither a tape nor a width was given: what
/// a person measured goes before what a machine found.
pub(crate) fn card(face: &Face, facts: &Facts, marks: &Marks) -> Option<FoundCard> {
    if measured(facts, marks) {
        return None;
    }
    find_card(face)
}

/// Whether a person gave the scale.
pub(crate) fn measured(facts: &Facts, marks: &Marks) -> bool {
    marks.tape.is_some() || facts.across_inside_bark_mm.is_some()
}

/// Where the card covers the wood, so that no ring is read there.
pub(crate) fn covered(card: Option<&FoundCard>) -> Vec<Vec<Point>> {
    card.map(FoundCard::outline).into_iter().collect()
}

/// The marks with what the card adds while rings are read: it stands in for a
/// tape, which is not kept.
pub(crate) fn marks_with(
    card: Option<&FoundCard>,
    face: &Face,
    facts: &Facts,
    marks: &Marks,
) -> Marks {
    let mut marks = marks.clone();
    let Some(card) = card else {
        return marks;
    };
    let (width, height) = face.rgb.dimensions();
    let middle = Point::new(f64::from(width) / 2.0, f64::from(height) / 2.0);
    if let Some(scale) = card.scale_at(middle, facts.card_bar_mm) {
        let length_px = f64::from(width.min(height)) / 2.0;
        marks.tape = Some(Tape {
            from: middle,
            to: Point::new(middle.x_px + length_px, middle.y_px),
            length_mm: Mm(length_px * scale.mm_per_px.0),
        });
    }
    marks
}

/// The card's scale at the pith, and what to know about it.
pub(crate) fn scale(
    card: &FoundCard,
    pith: &Pith,
    facts: &Facts,
    cautions: &mut Vec<Caution>,
) -> Option<Scale> {
    let scale = card.scale_at(pith.point(), facts.card_bar_mm)?;
    let mut say = |about: &str, text: String| {
        cautions.push(Caution {
            about: about.to_owned(),
            text,
        });
    };
    let lean = card.tilt().0.to_degrees();
    if lean >= LEAN_CAUTION_DEG {
        say(
            "card-tilt",
            format!(
                "the scale card shows that the camera leaned about {lean:.0} degrees away from square \
                 on; the scale allows for it, but a photo from straight above is more certain"
            ),
        );
    }
    if facts.card_bar_mm.is_none() {
        say(
            "card-not-checked",
            "the scale card is taken as printed at its actual size: measure its bar, and if it is \
             not 100 mm long give its length with --card-bar"
                .to_owned(),
        );
    }
    Some(scale)
}
