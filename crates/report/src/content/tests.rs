//! What a sheet says besides its findings, compared with the reading it is from.

use super::*;
use crate::test_readings::{Dice, random_stump};
use std::collections::BTreeMap;
use wood::Scope;

const READINGS: u64 = 500;

/// The numbers of a sentence, in order.
fn numbers(sentence: &str) -> Vec<f64> {
    sentence
        .split(|c: char| !(c.is_ascii_digit() || c == '.'))
        .filter_map(|field| field.trim_matches('.').parse().ok())
        .collect()
}

/// Checks a sentence on the reliability; gives a word for its kind.
fn check_confidence(sentence: &str, reading: &Reading) -> &'static str {
    let said = numbers(sentence);
    let count = reading.count.as_ref().unwrap();
    if sentence.starts_with("The count is") && sentence.contains("without a range") {
        assert_eq!(count.low, count.high, "{sentence}");
        assert_eq!(said[0] as u32, count.best, "{sentence}");
        "exact count"
    } else if sentence.starts_with("The count is") {
        let expected = [count.best, count.low, count.high].map(f64::from);
        assert_eq!(said[..3], expected, "{sentence}");
        assert!((said[3] - 10.0 * count.level).abs() < 1e-9, "{sentence}");
        "count"
    } else if sentence.starts_with("Rings were followed") {
        let quality = reading.quality.as_ref().unwrap();
        if sentence.contains("all the way") {
            assert!(quality.circle_share >= 0.995, "{sentence}");
        } else {
            assert!(
                (said[0] - 100.0 * quality.circle_share).abs() <= 0.5,
                "{sentence}"
            );
        }
        "followed"
    } else if sentence.contains(" in doubt, numbered from the pith") {
        let doubtful: Vec<&Ring> = reading.rings.iter().filter(|r| r.is_doubtful()).collect();
        assert_eq!(said[0] as usize, doubtful.len(), "{sentence}");
        assert_eq!(said[1] as u32, doubtful[0].number, "{sentence}");
        "doubtful"
    } else {
        let known = reading.cautions.iter().any(|caution| {
            let text = caution.text.trim_end_matches('.');
            sentence.to_lowercase().contains(&text.to_lowercase())
        });
        assert!(known, "no test knows this sentence: {sentence}");
        "caution"
    }
}

/// Checks a sentence on what is missing; gives a word for its kind.
fn check_missing(sentence: &str, reading: &Reading, facts: &Facts) -> &'static str {
    let kinds: [(&str, bool, &str); 7] = [
        (
            "No bark edge was found",
            reading.scope == Some(Scope::RingsInView),
            "bark",
        ),
        (
            "The innermost ring is",
            growth::unread_heart(&reading.rings).is_some(),
            "heart",
        ),
        (
            "The heart could not be read",
            reading.scope == Some(Scope::OutsideHeart),
            "hollow",
        ),
        (
            "The species was not given",
            facts.species.is_none() && reading.age.is_some(),
            "species",
        ),
        (
            "The felling date was not given",
            facts.felled.is_none(),
            "felled",
        ),
        (
            "The height of the cut was not given",
            facts.cut_height_mm.is_none() && reading.age.is_some(),
            "height",
        ),
        ("There is no scale", reading.scale.is_none(), "scale"),
    ];
    let (_, holds, kind) = kinds
        .into_iter()
        .find(|(start, ..)| sentence.starts_with(start))
        .unwrap_or_else(|| panic!("no test knows this sentence: {sentence}"));
    assert!(holds, "{sentence}");
    kind
}

/// Each decade that is named is as fast or slow as it is said to be, whole
/// enough, and not mostly in doubt.
fn check_decades(sentence: &str, growth: &[Decade], reading: &Reading) -> &'static str {
    let named = |part: &str, decade: &Decade| match decade.from_year {
        Some(year) => part.contains(&format!("{year}s")),
        None => part.contains(&format!(
            "rings {} to {}",
            decade.first_ring,
            decade.first_ring + decade.rings - 1
        )),
    };
    let doubtful = |decade: &Decade| {
        let inside = decade.first_ring..decade.first_ring + decade.rings;
        let rings = reading.rings.iter().filter(|r| inside.contains(&r.number));
        rings.filter(|r| r.is_doubtful()).count()
    };
    let (fast, slow) = match sentence.split_once("Slow for its age:") {
        Some((fast, slow)) => (fast, slow),
        None => (sentence, ""),
    };
    for decade in growth {
        let against = decade.against_trend.unwrap_or(1.0);
        let sound = decade.rings >= 5 && doubtful(decade) <= 3;
        assert_eq!(
            named(fast, decade),
            sound && against >= 1.15,
            "{sentence}: {decade:?}"
        );
        assert_eq!(
            named(slow, decade),
            sound && against < 0.85,
            "{sentence}: {decade:?}"
        );
    }
    if sentence.starts_with("No decade") {
        "none"
    } else {
        "decades"
    }
}

#[test]
fn every_sentence_agrees_with_its_reading() {
    let mut kinds: BTreeMap<&str, u32> = BTreeMap::new();
    for seed in 0..READINGS {
        let stump = random_stump(&mut Dice::new(seed));
        let (reading, facts) = (&stump.reading, &stump.facts);
        if reading.rings.is_empty() {
            continue;
        }
        for units in [Units::Inch, Units::Metric] {
            let content = Content::of(&stump, None, units);
            for sentence in &content.confidence {
                *kinds
                    .entry(check_confidence(sentence, reading))
                    .or_default() += 1;
            }
            for sentence in &content.missing {
                *kinds
                    .entry(check_missing(sentence, reading, facts))
                    .or_default() += 1;
            }
            if !content.decades.is_empty() {
                let kind = check_decades(&content.decades, &content.growth, reading);
                *kinds.entry(kind).or_default() += 1;
            }
            // Nothing speaks of the bark as seen, or of an age, where there is none.
            if reading.scope == Some(Scope::RingsInView) {
                let findings = content.findings.join(" ");
                assert!(!findings.contains("last ten years"), "{findings}");
                assert!(content.age.headline.starts_with("more than"));
            }
            let across = content
                .facts
                .iter()
                .find(|(name, _)| name.starts_with("Across"));
            if let Some((name, value)) = across {
                let bark = name.contains("bark");
                assert_eq!(bark, reading.scope != Some(Scope::RingsInView), "{name}");
                let last = reading.rings.last().unwrap().radius_mm.unwrap() * 2.0;
                let shown = numbers(value)[0];
                let length = match units {
                    Units::Inch => last.inches(),
                    Units::Metric => last.0 / 10.0,
                };
                assert!((shown - length).abs() <= 0.0501, "{value}");
            }
        }
    }
    // A test that never meets a kind of sentence proves nothing.
    for kind in [
        "exact count",
        "count",
        "followed",
        "doubtful",
        "caution",
        "bark",
        "heart",
        "species",
        "felled",
        "height",
        "scale",
        "none",
        "decades",
    ] {
        assert!(
            kinds.get(kind).is_some_and(|times| *times >= 6),
            "{kind}: {kinds:?}"
        );
    }
}
