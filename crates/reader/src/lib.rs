//! In: a face, facts and marks. Out: a reading. The order of the steps and
//! what they need between them. Never: input, output, clock or randomness.

mod again;
mod ages;
mod by_hand;
mod card;
mod follow;
mod heart;
mod marked;
mod range;
mod refuse;
mod rings;
mod scale;
mod start;
mod strip_search;
mod strip_view;
mod strips;
mod under;
mod watch;

pub use again::Kept;
pub use follow::{Followed, follow};
pub use strip_view::{ProposedRing, StripView};
pub use watch::{BrokenOff, Watch};

use photo::Face;
use wood::{
    Caution, Count, Facts, Marks, PhotoId, Pith, Point, Quality, Reading, Refusal, Ring, Scope,
    Strip, WoodFound,
};

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
    Kept::new(face, facts, marks).read(file, face, facts, marks)
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

/// What was counted, before years, lengths and an age are made of it.
struct Counted {
    wood: Option<WoodFound>,
    pith: Pith,
    rings: Vec<Ring>,
    bark_edge_px: Vec<Option<Point>>,
    count: Count,
    scope: Scope,
    strip: Option<Strip>,
    quality: Option<Quality>,
}

/// What was counted along the boundaries that the program found.
fn counted(face: &Face, facts: &Facts, marks: &Marks, followed: &Followed) -> Counted {
    let mut rings = rings::rings(face, followed);
    marked::bend_joined(&mut rings, face, followed, marks);
    Counted {
        wood: Some(followed.wood.clone()),
        pith: followed.pith.clone(),
        bark_edge_px: rings::bark_edge(face, followed),
        count: range::count(followed),
        scope: heart::scope(followed.scope(facts), &rings),
        strip: followed.strip.clone(),
        quality: Some(followed.quality()),
        rings,
    }
}

/// Everything that follows once the rings are known; `followed` is what the program
/// followed, where the rings are its own.
fn complete(
    blank: Reading,
    facts: &Facts,
    marks: &Marks,
    counted: Counted,
    followed: Option<&Followed>,
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
    match followed {
        Some(followed) => cautions.extend(range::cautions(followed, &count, scope)),
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
