//! Facts and photos that would narrow the range or give more.

use wood::{Facts, PithSource, Reading, RingNote, Scope, WoodSource};

/// More hints than this are not read.
const MOST: usize = 4;

/// A hint, and the caution that it stands for: the same is not said twice.
#[derive(Debug)]
pub(super) struct Hint {
    pub(super) text: &'static str,
    pub(super) instead_of: &'static str,
}

pub(super) fn hints(reading: &Reading, facts: &Facts) -> Vec<Hint> {
    let guessed = reading
        .wood
        .as_ref()
        .is_some_and(|wood| wood.from == WoodSource::Guessed);
    let doubtful = reading
        .rings
        .iter()
        .filter(|ring| ring.notes.contains(&RingNote::Doubtful))
        .count();
    let outside = reading
        .pith
        .as_ref()
        .is_some_and(|pith| pith.from == PithSource::Outside);
    let all = [
        (outside, "take the pith into the photo too", "pith-outside"),
        (
            reading.scope == Some(Scope::RingsInView),
            "take the whole face, bark and all, into one photo",
            "rings-in-view",
        ),
        (
            guessed,
            "name the species: --species \"white oak\"",
            "wood-guessed",
        ),
        (
            facts.felled.is_none(),
            "give the date of felling, so that rings get years: --felled 2025-11",
            "no-felled-date",
        ),
        (
            facts.cut_height_mm.is_none(),
            "measure the height of the cut: --cut-height 8in",
            "cut-height-unknown",
        ),
        (
            reading.scale.is_none(),
            "measure the face inside the bark, for widths: --across 24in",
            "no-scale",
        ),
        (
            doubtful * 5 > reading.rings.len(),
            "sand or shave a strip from pith to bark, wet it, and photograph it from straight above",
            "faint-rings",
        ),
    ];
    all.into_iter()
        .filter(|(wanted, _, _)| *wanted)
        .take(MOST)
        .map(|(_, text, instead_of)| Hint { text, instead_of })
        .collect()
}
