//! What was counted on a face, before years, lengths and an age are made of it.

use crate::traced::TracedFace;
use crate::{heart, marked, range, rings};
use photo::Face;
use wood::{Count, Facts, Marks, Pith, Point, Quality, Ring, Scope, Strip, WoodFound};

/// What was counted, before years, lengths and an age are made of it.
pub(crate) struct Counted {
    pub(crate) wood: Option<WoodFound>,
    pub(crate) pith: Pith,
    pub(crate) rings: Vec<Ring>,
    pub(crate) bark_edge_px: Vec<Option<Point>>,
    pub(crate) count: Count,
    pub(crate) scope: Scope,
    pub(crate) strip: Option<Strip>,
    pub(crate) quality: Option<Quality>,
}

/// What was counted along the boundaries that the program found.
pub(crate) fn counted(face: &Face, facts: &Facts, marks: &Marks, traced: &TracedFace) -> Counted {
    let mut rings = rings::rings(face, traced);
    marked::bend_joined(&mut rings, face, traced, marks);
    Counted {
        wood: Some(traced.wood.clone()),
        pith: traced.pith.clone(),
        bark_edge_px: rings::bark_edge(face, traced),
        count: range::count(traced),
        scope: heart::scope(traced.scope(facts), &rings),
        strip: traced.strip.clone(),
        quality: Some(traced.quality()),
        rings,
    }
}
