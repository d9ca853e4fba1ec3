//! From counted rings to a reading: lengths, years, age and cautions.

use crate::counted::Counted;
use crate::traced::TracedFace;
use crate::{ages, by_hand, card, heart, range, rings, scale};
use photo::Face;
use wood::{Caution, Facts, Marks, PhotoId, Reading, Refusal, Scope};

/// A reading of a photo in which nothing was read yet.
pub(crate) fn blank(file: &str, face: &Face) -> Reading {
    let (width_px, height_px) = face.rgb.dimensions();
    Reading::of(PhotoId {
        file: file.to_owned(),
        sha256: face.sha256.clone(),
        width_px,
        height_px,
    })
}

/// A reading that is refused.
pub(crate) fn refused(blank: Reading, refusal: Refusal) -> Reading {
    Reading {
        readable: false,
        refusal: Some(refusal),
        ..blank
    }
}

/// Everything that follows once the rings are known; `traced` is what the program
/// followed, where the rings are its own.
pub(crate) fn complete(
    blank: Reading,
    facts: &Facts,
    marks: &Marks,
    counted: Counted,
    traced: Option<&TracedFace>,
    card: Option<&photo::FoundCard>,
) -> Reading {
    let Counted {
        wood,
        pith,
        mut rings,
        bark_edge_px,
        count,
        scope,
        strip,
        quality,
    } = counted;
    let mut cautions: Vec<Caution> = Vec::new();
    let scale = match card {
        Some(card) => card::scale(card, &pith, facts, &mut cautions),
        None => scale::scale(facts, marks, &rings, &bark_edge_px, &mut cautions),
    };
    rings::measure(&mut rings, scale.as_ref());
    let dated = growth::date_rings(
        rings.len() as u32,
        facts.felled,
        facts.hemisphere,
        scope != Scope::RingsInView,
    );
    for (ring, year) in rings.iter_mut().zip(&dated.years) {
        ring.year = *year;
    }
    let age = ages::age(
        facts,
        &pith,
        &count,
        &rings,
        scale.as_ref(),
        dated.as_of,
        scope,
        &mut cautions,
    );
    cautions.extend(dated.cautions);
    cautions.extend(heart::caution(&rings, &pith, facts));
    match traced {
        Some(traced) => cautions.extend(range::cautions(traced, &count, scope)),
        None => cautions.extend(by_hand::cautions(&rings, scope)),
    }
    let mut reading = Reading {
        wood,
        pith: Some(pith),
        scale,
        scope: Some(scope),
        count: Some(count),
        strip,
        bark_edge_px,
        rings,
        age,
        quality,
        cautions,
        ..blank
    };
    growth::describe(&mut reading, facts);
    reading
}
