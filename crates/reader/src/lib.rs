//! In: a face, facts and marks. Out: a reading. The order of the steps and
//! what they need between them. Never: input, output, clock or randomness.

mod again;
mod ages;
mod card;
mod follow;
mod heart;
mod marked;
mod range;
mod refuse;
mod rings;
mod scale;
mod start;
mod under;
mod watch;

pub use again::Kept;
pub use follow::{Followed, follow};
pub use watch::{BrokenOff, Watch};

use follow::follow_around;
use photo::Face;
use start::Whole;
use wood::{Caution, Facts, Marks, PhotoId, Reading, Refusal, Scope};

/// What the program makes of a face.
///
/// `file` is the photo's name without folders; it is only copied into the
/// reading. The same input gives the same reading on any number of threads.
/// A face that cannot be read gives a reading with a refusal, not an error.
///
/// # Method
/// Directions, pith, unrolling, straightening, bark edge ([`profile`]);
/// wood class, boundaries and their chances ([`boundary`]); years, widths,
/// figures and age ([`growth`]).
#[must_use]
pub fn read(file: &str, face: &Face, facts: &Facts, marks: &Marks) -> Reading {
    let blank = blank(file, face);
    if let Some(refusal) = refuse::before(face) {
        return refused(blank, refusal);
    }
    let (card, whole) = rayon::join(|| card::card(face, facts, marks), || Whole::of(face));
    let marks = &card::marks_with(card.as_ref(), face, facts, marks);
    let covered = card::covered(card.as_ref());
    let followed = follow_around(face, facts, marks, &covered, whole);
    if let Some(refusal) = refuse::after(face, &followed, marks) {
        return refused(blank, refusal);
    }
    complete(blank, face, facts, marks, &followed, card.as_ref())
}

fn blank(file: &str, face: &Face) -> Reading {
    let (width_px, height_px) = face.rgb.dimensions();
    Reading::of(PhotoId {
        file: file.to_owned(),
        sha256: face.sha256.clone(),
        width_px,
        height_px,
    })
}

fn refused(blank: Reading, refusal: Refusal) -> Reading {
    Reading {
        readable: false,
        refusal: Some(refusal),
        ..blank
    }
}

/// Everything that follows once the boundaries are known.
fn complete(
    blank: Reading,
    face: &Face,
    facts: &Facts,
    marks: &Marks,
    followed: &Followed,
    card: Option<&photo::FoundCard>,
) -> Reading {
    let mut cautions: Vec<Caution> = Vec::new();
    let mut rings = rings::rings(face, followed);
    let bark_edge_px = rings::bark_edge(face, followed);
    let scale = match card {
        Some(card) => card::scale(card, &followed.pith, facts, &mut cautions),
        None => scale::scale(facts, marks, followed, &rings, &bark_edge_px, &mut cautions),
    };
    rings::measure(&mut rings, scale.as_ref());
    let count = range::count(followed);
    marked::bend_joined(&mut rings, face, followed, marks);
    let scope = heart::scope(followed.scope(facts), &rings);
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
        followed,
        &count,
        &rings,
        scale.as_ref(),
        dated.as_of,
        scope,
        &mut cautions,
    );
    cautions.extend(dated.cautions);
    cautions.extend(heart::caution(&rings, &followed.pith, facts));
    cautions.extend(range::cautions(followed, &count, scope));
    let mut reading = Reading {
        wood: Some(followed.wood.clone()),
        pith: Some(followed.pith.clone()),
        scale,
        scope: Some(scope),
        count: Some(count),
        bark_edge_px,
        rings,
        age,
        quality: Some(followed.quality()),
        cautions,
        ..blank
    };
    growth::describe(&mut reading, facts);
    reading
}
