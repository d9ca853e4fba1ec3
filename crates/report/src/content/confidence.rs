//! How reliable the count is, and why; what is missing, and what it would add.

use crate::words::{capital, counted, listed};
use wood::{Facts, PithSource, Reading, Scope};

/// Sentences on how far the numbers can be trusted.
pub(super) fn reasons(reading: &Reading) -> Vec<String> {
    let mut sentences = Vec::new();
    let Some(count) = &reading.count else {
        return sentences;
    };
    let along = reading.counted_along();
    let along = along.map(|along| format!(", {along}")).unwrap_or_default();
    sentences.push(if count.low == count.high {
        format!(
            "The count is {}{along}, without a range. Check every tenth ring on the stump (page 3).",
            count.best
        )
    } else {
        format!(
            "The count is {}{along}. The range {} to {} is set to hold the true count on {} of 10 faces: \
             check every tenth ring on the stump (page 3).",
            count.best,
            count.low,
            count.high,
            (10.0 * count.level).round()
        )
    });
    if let Some(quality) = &reading.quality {
        sentences.push(followed(quality.circle_share, quality.closure_rings));
    }
    sentences.extend(doubtful(reading));
    for caution in &reading.cautions {
        if !ALSO_IN_MISSING.contains(&caution.about.as_str()) {
            sentences.push(format!("{}.", capital(caution.text.trim_end_matches('.'))));
        }
    }
    sentences
}

/// How much of the circle the rings were followed on, and how far a ring is off
/// once around.
fn followed(circle_share: f64, off_rings: Option<f64>) -> String {
    let share = if circle_share >= 0.995 {
        "all the way around the pith".to_owned()
    } else {
        format!(
            "on {:.0} percent of the circle around the pith",
            100.0 * circle_share
        )
    };
    let closing = match off_rings {
        None => String::new(),
        Some(off) if off < 0.05 => "; a ring closes on itself".to_owned(),
        Some(off) => format!("; a ring is off by {off:.1} rings where it should close on itself"),
    };
    format!("Rings were followed {share}{closing}.")
}

/// Cautions that [`missing`] covers in its own words.
const ALSO_IN_MISSING: [&str; 6] = [
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
        "{} in doubt, numbered from the pith: {}. Look at {} on the stump.",
        counted(all, "ring is", "rings are"),
        listed(&shown),
        if all == 1 { "it" } else { "them" }
    ))
}

/// What was not given or not seen, each with what it would add.
pub(super) fn missing(reading: &Reading, facts: &Facts) -> Vec<String> {
    let outside = reading
        .pith
        .as_ref()
        .is_some_and(|pith| pith.from == PithSource::Outside);
    let has_age = reading.age.is_some();
    let heart = growth::unread_heart(&reading.rings).map(|times| {
        let mend = if outside {
            "Take the pith into the picture."
        } else {
            "Measure its radius on the stump (--hollow)."
        };
        format!(
            "The innermost ring is {times:.0} times as wide as those next to it: rings in the \
             heart are missing from the count, and the tree is older. {mend}"
        )
    });
    let all = [
        (
            reading.scope == Some(Scope::RingsInView),
            "No bark edge was found: a photo of the whole face would give an age and years.",
        ),
        (
            outside && facts.hollow_radius_mm.is_none() && heart.is_none(),
            "The pith is not in the photo: a photo with the pith would narrow the age.",
        ),
        (
            reading.scope == Some(Scope::OutsideHeart)
                && facts.hollow_radius_mm.is_none()
                && heart.is_none()
                && !outside,
            "The heart could not be read: measure its radius on the stump (--hollow) to estimate \
             the rings that are missing there.",
        ),
        (
            facts.species.is_none() && has_age,
            "The species was not given: it would narrow the years below the cut.",
        ),
        (
            facts.felled.is_none() && reading.scope != Some(Scope::RingsInView),
            "The felling date was not given: it would give every ring its year.",
        ),
        (
            facts.cut_height_mm.is_none() && has_age,
            "The height of the cut was not given: it would narrow the years below the cut.",
        ),
        (
            reading.scale.is_none(),
            "There is no scale: a tape, the scale card or the width inside the bark would give \
             lengths.",
        ),
    ];
    let texts = all.into_iter().filter(|(wanted, _)| *wanted);
    let texts = texts.map(|(_, text)| text.to_owned());
    heart.into_iter().chain(texts).collect()
}
