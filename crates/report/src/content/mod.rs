//! Everything a sheet says, as text, before it is laid on a page: the same
//! words in the PDF and in HTML.

mod age;
mod facts;
mod fixed;
mod sure;

use crate::count_sheet::CountSheet;
use crate::findings::{Series, findings};
use crate::words::{capital, listed, spoken_date};
use growth::chart::palette::GROWTH_LIMITS;
use wood::{Decade, Facts, Reading, Stump, Units};

pub(crate) use age::AgeWords;
pub(crate) use fixed::{CAUTIONS, METHOD};

/// The words of a sheet.
#[derive(Debug)]
pub(crate) struct Content {
    /// The tree's name.
    pub(crate) title: String,
    /// Species, felling, height of cut, in one line.
    pub(crate) subtitle: String,
    /// The age, or why there is none.
    pub(crate) age: AgeWords,
    /// The fast and slow decades, named.
    pub(crate) decades: String,
    /// Growth by decade, without a heart that was not read.
    pub(crate) growth: Vec<Decade>,
    /// Findings, as sentences.
    pub(crate) findings: Vec<String>,
    /// How sure it is, and why.
    pub(crate) sure: Vec<String>,
    /// What was not told or not seen, and what it would add.
    pub(crate) missing: Vec<String>,
    /// What is known and measured: name and value.
    pub(crate) facts: Vec<(&'static str, String)>,
    /// Where the tenth rings lie on the stump.
    pub(crate) count: Option<CountSheet>,
    /// Why nothing could be read, and what to do.
    pub(crate) refusal: Option<(String, String)>,
}

impl Content {
    /// The words for a stump; `title` takes the place of the species' name.
    pub(crate) fn of(stump: &Stump, title: Option<&str>, units: Units) -> Self {
        let (reading, facts) = (&stump.reading, &stump.facts);
        let growth = whole_decades(reading, facts);
        Self {
            title: name(title, facts, reading),
            subtitle: subtitle(facts, title.is_some(), units),
            age: AgeWords::of(reading, facts, units),
            decades: fast_and_slow(&growth),
            growth,
            findings: findings(reading, facts, units)
                .iter()
                .map(|finding| finding.sentence(units))
                .collect(),
            sure: sure::reasons(reading),
            missing: sure::missing(reading, facts),
            facts: facts::table(reading, facts, units),
            count: CountSheet::of(reading),
            refusal: reading
                .refusal
                .as_ref()
                .map(|refusal| (capital(&refusal.detail), capital(&refusal.advice))),
        }
    }
}

/// The reading's decades; made anew from single years where the reading's
/// innermost ring is a heart that was not read.
fn whole_decades(reading: &Reading, facts: &Facts) -> Vec<Decade> {
    if growth::unread_heart(&reading.rings).is_none() {
        return reading.decades.clone();
    }
    growth::decades(Series::of(reading, facts).rings)
}

fn name(title: Option<&str>, facts: &Facts, reading: &Reading) -> String {
    let given = title.map(str::trim).filter(|title| !title.is_empty());
    match (given, &facts.species) {
        (Some(title), _) => title.to_owned(),
        (None, Some(species)) => capital(species),
        (None, None) => {
            let file = &reading.photo.file;
            let stem = file
                .rsplit_once('.')
                .map_or(file.as_str(), |(stem, _)| stem);
            format!("The tree of {stem}")
        }
    }
}

fn subtitle(facts: &Facts, titled: bool, units: Units) -> String {
    let mut said = Vec::new();
    match &facts.species {
        Some(species) if titled => said.push(capital(species)),
        Some(_) => {}
        None => said.push("Species not told".to_owned()),
    }
    said.push(facts.felled.map_or_else(
        || "date of felling not told".to_owned(),
        |felled| format!("felled {}", spoken_date(felled)),
    ));
    said.push(facts.cut_height_mm.map_or_else(
        || "height of the cut not told".to_owned(),
        |height| {
            format!(
                "cut {} above the ground",
                crate::words::height(height, units)
            )
        },
    ));
    capital(&said.join(" \u{b7} "))
}

/// The decades that stand out against the tree's own age trend.
fn fast_and_slow(decades: &[Decade]) -> String {
    let [_, slow, fast, _] = GROWTH_LIMITS;
    let named = |keep: &dyn Fn(f64) -> bool| -> Vec<String> {
        decades
            .iter()
            // A few rings are no decade.
            .filter(|decade| decade.rings >= 5 && decade.against_trend.is_some_and(keep))
            .map(|decade| match decade.from_year {
                Some(year) => format!("{year}s"),
                None => format!(
                    "rings {} to {}",
                    decade.first_ring,
                    decade.first_ring + decade.rings - 1
                ),
            })
            .collect()
    };
    let fast = named(&|growth| growth >= fast);
    let slow = named(&|growth| growth < slow);
    match (fast.is_empty(), slow.is_empty()) {
        (true, true) if decades.is_empty() => String::new(),
        (true, true) => "For its age it grew about as expected in every decade.".to_owned(),
        (false, true) => format!("Fast for its age: {}. No decade was slow.", listed(&fast)),
        (true, false) => format!("Slow for its age: {}. No decade was fast.", listed(&slow)),
        (false, false) => format!(
            "Fast for its age: {}. Slow for its age: {}.",
            listed(&fast),
            listed(&slow)
        ),
    }
}
