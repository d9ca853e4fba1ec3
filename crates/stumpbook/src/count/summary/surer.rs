//! What the person could tell to make the reading surer or fuller.

use wood::{Facts, Reading, RingNote, Scope, WoodSource};

/// At most three hints: more are not read.
const MOST: usize = 3;

pub(super) fn hints(reading: &Reading, facts: &Facts) -> Vec<String> {
    let mut hints = Vec::new();
    if reading.scope == Some(Scope::RingsInView) {
        hints.push("take in the whole face, bark and all, in one photo".to_owned());
    }
    if reading
        .wood
        .as_ref()
        .is_some_and(|wood| wood.from == WoodSource::Guessed)
    {
        hints.push("name the tree: --species \"white oak\"".to_owned());
    }
    if facts.felled.is_none() {
        hints.push("say when it was felled, so that rings get years: --felled 2025-11".to_owned());
    }
    if facts.cut_height_mm.is_none() {
        hints.push("measure the height of the cut: --cut-height 8in".to_owned());
    }
    if reading.scale.is_none() {
        hints.push("measure the face inside the bark, for widths: --across 24in".to_owned());
    }
    let doubtful = reading
        .rings
        .iter()
        .filter(|ring| ring.notes.contains(&RingNote::Doubtful))
        .count();
    if doubtful * 5 > reading.rings.len() {
        hints.push(
            "sand or shave a strip from pith to bark, wet it, and photograph it from straight above"
                .to_owned(),
        );
    }
    hints.truncate(MOST);
    hints
}
