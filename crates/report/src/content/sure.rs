//! How sure the count is, and why; what is missing, and what it would add.

use crate::words::{capital, counted, listed, percent};
use wood::{Facts, PithSource, Reading, Scope, WoodSource};

/// Sentences on how far the numbers can be trusted.
pub(super) fn reasons(reading: &Reading) -> Vec<String> {
    let mut said = Vec::new();
    let Some(count) = &reading.count else {
        return said;
    };
    said.push(if count.low == count.high {
        format!("The count is {}; no other count is likely.", count.best)
    } else {
        format!(
            "The count is {}. It likely lies between {} and {}, which is no promise: check the \
             tenth rings on the stump (page 3).",
            count.best, count.low, count.high
        )
    });
    if let Some(quality) = &reading.quality {
        let off = quality.closure_rings.abs();
        let round = if off < 0.05 {
            "meets itself".to_owned()
        } else {
            format!("misses itself by {off:.1} rings")
        };
        said.push(format!(
            "Rings could be followed on {} of the circle, and a ring followed once round {round}.",
            percent(quality.circle_share)
        ));
    }
    if let Some(text) = doubtful(reading) {
        said.push(text);
    }
    for caution in &reading.cautions {
        if !TOLD_AS_MISSING.contains(&caution.about.as_str()) {
            said.push(format!("{}.", capital(caution.text.trim_end_matches('.'))));
        }
    }
    said
}

/// Cautions that [`missing`] tells in its own words.
const TOLD_AS_MISSING: [&str; 6] = [
    "heart-unread",
    "no-scale",
    "no-felled-date",
    "cut-height-unknown",
    "wood-guessed",
    "rings-in-view",
];

fn doubtful(reading: &Reading) -> Option<String> {
    /// More names than this are no help.
    const MOST: usize = 6;
    let named: Vec<String> = reading
        .rings
        .iter()
        .filter(|ring| ring.is_doubtful())
        .map(|ring| match ring.year {
            Some(year) => format!("{} ({year})", ring.number),
            None => ring.number.to_string(),
        })
        .collect();
    let all = u32::try_from(named.len()).unwrap_or(u32::MAX);
    if all == 0 {
        return None;
    }
    let mut shown: Vec<String> = named.iter().take(MOST).cloned().collect();
    if named.len() > MOST {
        shown.push(format!("{} more", named.len() - MOST));
    }
    Some(format!(
        "{} not sure, counted from the pith: {}. Look at {} on the stump.",
        counted(all, "ring is", "rings are"),
        listed(&shown),
        if all == 1 { "it" } else { "them" }
    ))
}

/// What was not told or not seen, each with what it would add.
pub(super) fn missing(reading: &Reading, facts: &Facts) -> Vec<String> {
    let guessed = reading
        .wood
        .as_ref()
        .is_some_and(|wood| wood.from == WoodSource::Guessed);
    let outside = reading
        .pith
        .as_ref()
        .is_some_and(|pith| pith.from == PithSource::Outside);
    let heart = growth::unread_heart(&reading.rings).map(|times| {
        format!(
            "The innermost ring is {times:.0} times as wide as those next to it: the heart was not \
             read, and the tree is older than the count. Its radius, measured on the stump, would \
             tell by how much."
        )
    });
    let all = [
        (
            reading.scope == Some(Scope::RingsInView),
            "No bark edge was found: a photo of the whole face would give an age and years.",
        ),
        (
            outside && facts.hollow_radius_mm.is_none(),
            "The pith is not in the photo: seen or marked, it would take a guess out of the age.",
        ),
        (
            reading.scope == Some(Scope::OutsideHeart)
                && facts.hollow_radius_mm.is_none()
                && heart.is_none(),
            "The heart could not be read: its radius, measured on the stump, would tell how many \
             rings are missing there, and make the age older.",
        ),
        (
            facts.species.is_none() && guessed,
            "The species was not told: it would settle how the wood shows its years, and how long \
             a young stem takes to grow to the cut.",
        ),
        (
            facts.species.is_none() && !guessed,
            "The species was not told: it would say how long a young stem takes to grow to the cut.",
        ),
        (
            facts.felled.is_none(),
            "The date of felling was not told: it would give every ring its year.",
        ),
        (
            facts.cut_height_mm.is_none(),
            "The height of the cut was not measured: it would narrow the years below the cut.",
        ),
        (
            reading.scale.is_none(),
            "There is no scale: a tape, the scale card or the width inside the bark would turn \
             widths into lengths.",
        ),
    ];
    let told = all.into_iter().filter(|(wanted, _)| *wanted);
    let told = told.map(|(_, text)| text.to_owned());
    heart.into_iter().chain(told).collect()
}
