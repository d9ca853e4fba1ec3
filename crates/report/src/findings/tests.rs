//! Every sentence compared with the rings themselves, over random readings.
//!
//! Nothing of the code under test is used: the numbers are picked out of the
//! sentence and looked for in the widths by brute force.

use super::*;
use crate::test_readings::{Dice, random_stump};
use wood::{Ring, Scope, Stump};

const READINGS: u64 = 500;

/// What the sentences are compared with.
struct Truth {
    /// Number, year and width of each whole ring.
    rings: Vec<(u32, Option<i32>, f64)>,
    /// Which of them are in doubt.
    doubtful: Vec<bool>,
    /// Whether the last of them is the one under the bark, or the last whole one.
    at_bark: bool,
    in_mm: bool,
    /// Diameter at the outermost ring, half made or not.
    across_mm: Option<f64>,
}

impl Truth {
    fn of(stump: &Stump) -> Self {
        let rings = &stump.reading.rings;
        // Felled in growth (May to September, as the random stumps are): the
        // last ring is half made.
        let half_made = stump
            .facts
            .felled
            .and_then(wood::Felled::month)
            .is_some_and(|month| (5..10).contains(&month))
            && stump.reading.scope != Some(Scope::RingsInView);
        let last = rings.len() - usize::from(half_made && !rings.is_empty());
        // A first ring five times as wide as the ten after it is a lost heart.
        let heart = rings.len() > 10
            && rings[0].width_px.0
                >= 5.0 * rings[1..11].iter().map(|r| r.width_px.0).sum::<f64>() / 10.0;
        let whole = &rings[usize::from(heart).min(last)..last];
        let in_mm = whole.iter().all(|ring| ring.width_mm.is_some());
        let width = |ring: &Ring| match ring.width_mm {
            Some(mm) if in_mm => mm.0,
            _ => ring.width_px.0,
        };
        Self {
            rings: whole
                .iter()
                .map(|ring| (ring.number, ring.year.map(|year| year.0), width(ring)))
                .collect(),
            doubtful: whole.iter().map(Ring::is_doubtful).collect(),
            at_bark: stump.reading.scope != Some(Scope::RingsInView),
            in_mm,
            across_mm: rings
                .last()
                .and_then(|ring| ring.radius_mm)
                .map(|r| 2.0 * r.0),
        }
    }

    fn mean(&self, from: usize, count: usize) -> f64 {
        self.rings[from..from + count]
            .iter()
            .map(|r| r.2)
            .sum::<f64>()
            / count as f64
    }

    /// Whether ten rings from there may be compared.
    fn sound(&self, from: usize) -> bool {
        let run = self.doubtful.get(from..from + 10);
        run.is_some_and(|run| run.iter().filter(|d| **d).count() <= 3)
    }

    /// What a pace in words must be near: its number for a mean width.
    fn pace(&self, mean: f64, units: Units) -> f64 {
        match (self.in_mm, units) {
            (true, Units::Inch) => 25.4 / mean,
            (true, Units::Metric) => mean,
            (false, _) => 100.0 * (mean / self.mean(0, self.rings.len()) - 1.0).abs(),
        }
    }

    /// Half a unit of the last place that a pace is said with.
    fn rounding(&self, units: Units) -> f64 {
        match (self.in_mm, units) {
            (true, Units::Inch) => 0.0501,
            (true, Units::Metric) => 0.00501,
            (false, _) => 0.501,
        }
    }

    /// Index of the ring that a sentence names by year, or by number.
    fn index(&self, dated: bool, named: f64) -> usize {
        self.rings
            .iter()
            .position(|&(number, year, _)| {
                if dated {
                    year == Some(named as i32)
                } else {
                    number == named as u32
                }
            })
            .unwrap_or_else(|| panic!("no ring {named}"))
    }
}

/// The numbers of a sentence, in order.
fn numbers(sentence: &str) -> Vec<f64> {
    sentence
        .split(|c: char| !(c.is_ascii_digit() || c == '.'))
        .filter_map(|field| field.trim_matches('.').parse().ok())
        .collect()
}

#[track_caller]
fn near(said: f64, true_value: f64, within: f64, sentence: &str) {
    assert!(
        (said - true_value).abs() <= within,
        "said {said}, but it is {true_value}: {sentence}"
    );
}

/// A pace is near its mean width; without a number the width is the average.
#[track_caller]
fn near_pace(said: Option<&f64>, truth: &Truth, mean: f64, units: Units, sentence: &str) {
    let within = truth.rounding(units);
    match said {
        Some(said) => near(*said, truth.pace(mean, units), within, sentence),
        None => near(0.0, truth.pace(mean, units), within, sentence),
    }
    if !truth.in_mm && said.is_some() {
        let wider = mean > truth.mean(0, truth.rings.len());
        let word = if wider { "wider" } else { "narrower" };
        assert!(sentence.contains(word), "{sentence}");
    }
}

/// Holds one sentence against the rings; gives a word for its kind.
fn hold(sentence: &str, truth: &Truth, units: Units) -> &'static str {
    let said = numbers(sentence);
    let count = truth.rings.len();
    let dated = truth.rings.iter().all(|ring| ring.1.is_some());
    let within = truth.rounding(units);
    let runs: Vec<f64> = (0..=count.saturating_sub(10))
        .filter(|from| truth.sound(*from))
        .map(|from| truth.mean(from, 10))
        .collect();
    let highest = runs.iter().copied().fold(f64::MIN, f64::max);
    let lowest = runs.iter().copied().fold(f64::MAX, f64::min);
    if sentence.starts_with("With ") {
        assert_eq!(said, [count as f64], "{sentence}");
        assert!(count < 20, "{sentence}");
        "too few"
    } else if sentence.starts_with("Of ") {
        let doubtful = truth.doubtful.iter().filter(|d| **d).count();
        assert_eq!(said, [count as f64, doubtful as f64], "{sentence}");
        assert!(doubtful > 3, "{sentence}");
        "too doubtful"
    } else if sentence.starts_with("It grew evenly") {
        near(said[0], 100.0 * (highest / lowest - 1.0), 0.501, sentence);
        assert!(highest / lowest < 1.1);
        "even"
    } else if sentence.starts_with("Its fastest ten years in a row") {
        let from = truth.index(dated, said[0]);
        assert_eq!(truth.index(dated, said[1]), from + 9, "{sentence}");
        assert!(truth.sound(from), "{sentence}");
        assert!(truth.mean(from, 10) >= highest - 1e-9, "{sentence}");
        near_pace(said.get(2), truth, truth.mean(from, 10), units, sentence);
        "fastest"
    } else if sentence.starts_with("Its slowest") {
        let from = truth.index(dated, said[0]);
        assert_eq!(truth.index(dated, said[1]), from + 9, "{sentence}");
        assert!(truth.mean(from, 10) <= lowest + 1e-9, "{sentence}");
        assert!(truth.sound(from), "{sentence}");
        near_pace(said.get(2), truth, truth.mean(from, 10), units, sentence);
        "slowest"
    } else if sentence.starts_with("After ") {
        let at = truth.index(dated, said[0]);
        let (before, after) = (truth.mean(at - 9, 10), truth.mean(at + 1, 10));
        let change = 100.0 * (after / before - 1.0);
        near(said[1], change.abs(), 0.501, sentence);
        assert_eq!(sentence.contains(" rose by "), change > 0.0, "{sentence}");
        // As the events' own limits want it: half as much again, or half.
        assert!(change >= 50.0 || change <= -50.0, "{sentence}");
        assert!(truth.sound(at - 9) && truth.sound(at + 1), "{sentence}");
        if truth.in_mm {
            near(said[2], truth.pace(before, units), within, sentence);
            near(said[3], truth.pace(after, units), within, sentence);
        }
        assert!(
            sentence.contains("the rings do not say which"),
            "{sentence}"
        );
        "change"
    } else if sentence.starts_with("In its last ten years") {
        assert_eq!(truth.index(dated, said[0]), count - 10, "{sentence}");
        assert_eq!(truth.index(dated, said[1]), count - 1, "{sentence}");
        assert!(truth.at_bark && truth.sound(count - 10), "{sentence}");
        let last = truth.mean(count - 10, 10);
        let average = sentence.contains("as wide as its average");
        near_pace((!average).then(|| &said[2]), truth, last, units, sentence);
        if count >= 20 && truth.sound(count - 20) {
            let change = 100.0 * (last / truth.mean(count - 20, 10) - 1.0);
            match said.get(3 - usize::from(average)) {
                Some(said) => {
                    near(*said, change.abs(), 0.501, sentence);
                    let faster = sentence.contains("faster than in the ten before");
                    assert_eq!(faster, change > 0.0, "{sentence}");
                }
                None => assert!(change.abs() < 0.5, "{sentence}"),
            }
        } else {
            assert_eq!(said.len(), 3 - usize::from(average), "{sentence}");
        }
        "last ten"
    } else if sentence.starts_with("At the pace of its last ten years") {
        let unit = match units {
            Units::Inch => 25.4,
            Units::Metric => 10.0,
        };
        let (now, next) = (truth.across_mm.unwrap(), said[2] * unit);
        near(said[1], now / unit, 0.0501, sentence);
        assert!(truth.at_bark && truth.sound(count - 10), "{sentence}");
        assert!(next > now, "{sentence}");
        let years = (next - now) / (2.0 * truth.mean(count - 10, 10));
        near(said[0], years.max(1.0), 0.501, sentence);
        "next size"
    } else {
        panic!("a sentence that no test knows: {sentence}");
    }
}

#[test]
fn every_sentence_is_true_over_random_readings() {
    let mut kinds = std::collections::BTreeMap::new();
    for seed in 0..READINGS {
        let stump = random_stump(&mut Dice::new(seed));
        let truth = Truth::of(&stump);
        for units in [Units::Inch, Units::Metric] {
            let found = findings(&stump.reading, &stump.facts, units);
            assert!(found.len() <= 5, "{seed}: {found:?}");
            assert_eq!(found.is_empty(), truth.rings.is_empty(), "{seed}");
            let sound = truth.doubtful.iter().all(|doubtful| !doubtful);
            if sound && truth.rings.len() >= 20 && !matches!(found[0], Finding::Even { .. }) {
                assert!(found.len() >= 2, "{seed}: {found:?}");
            }
            for finding in &found {
                let kind = hold(&finding.sentence(units), &truth, units);
                *kinds.entry(kind).or_insert(0_u32) += 1;
            }
        }
    }
    // A test that never meets a kind of sentence holds nothing.
    for kind in [
        "too few",
        "too doubtful",
        "even",
        "fastest",
        "slowest",
        "change",
        "last ten",
        "next size",
    ] {
        assert!(
            kinds.get(kind).is_some_and(|times| *times >= 6),
            "{kinds:?}"
        );
    }
}

#[test]
fn no_cause_is_asserted_and_no_sentence_is_without_a_number() {
    for seed in 0..READINGS {
        let stump = random_stump(&mut Dice::new(seed));
        for finding in findings(&stump.reading, &stump.facts, Units::Inch) {
            let sentence = finding.sentence(Units::Inch);
            assert!(!numbers(&sentence).is_empty(), "{sentence}");
            assert!(!sentence.contains("because"), "{sentence}");
            assert!(sentence.ends_with('.'), "{sentence}");
        }
    }
}

#[test]
fn a_heart_that_was_not_read_is_no_fast_ring() {
    let mut stump = random_stump(&mut Dice::new(3));
    let widths: Vec<f64> = (0..60).map(|i| 2.0 + f64::from(i % 7) * 0.1).collect();
    stump.reading = crate::test_readings::reading_of(&widths, Some(2020), true);
    stump.facts = Facts::default();
    let first = &mut stump.reading.rings[0];
    first.width_px.0 *= 30.0;
    first.width_mm = first.width_mm.map(|width| width * 30.0);
    stump.reading.events = growth::events(&stump.reading.rings, &growth::EventCriteria::default());
    assert!(!stump.reading.events.is_empty());
    for finding in findings(&stump.reading, &stump.facts, Units::Metric) {
        assert!(!matches!(finding, Finding::Change { .. }), "{finding:?}");
    }
}
