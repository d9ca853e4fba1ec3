//! Everything a sheet says, as text, before it is laid on a page: the same
//! words in the PDF and in HTML.

mod age;
mod confidence;
mod facts;
mod fixed;
#[cfg(test)]
mod tests;

use crate::count_sheet::CountSheet;
use crate::findings::{MOST_DOUBTFUL, Series, findings};
use crate::ring_table::RingTable;
use crate::words::{capital, listed, spoken_date};
use chart::palette::GROWTH_LIMITS;
use wood::{Decade, Facts, Reading, Ring, Stump, Units};

pub(crate) use age::AgeWords;
pub(crate) use fixed::{
    CAUTIONS, STRIP_CAPTION, method, ring_map_caption, unrolled_caption, unrolled_title,
};

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
    /// What stands out, as sentences.
    pub(crate) findings: Vec<String>,
    /// How reliable it is, and why.
    pub(crate) confidence: Vec<String>,
    /// What was not given or not seen, and what it would add.
    pub(crate) missing: Vec<String>,
    /// What is known and measured: name and value.
    pub(crate) facts: Vec<(&'static str, String)>,
    /// Where every tenth ring is on the stump.
    pub(crate) count: Option<CountSheet>,
    /// Every ring with its year and width.
    pub(crate) rings: RingTable,
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
            decades: fast_and_slow(&growth, reading),
            growth,
            findings: findings(reading, facts, units)
                .iter()
                .map(|finding| finding.sentence(units))
                .collect(),
            confidence: confidence::reasons(reading),
            missing: confidence::missing(reading, facts),
            facts: facts::table(reading, facts, units),
            count: CountSheet::of(reading),
            rings: RingTable::of(reading, units),
            refusal: reading
                .refusal
                .as_ref()
                .map(|refusal| (capital(&refusal.detail), ways_on(&refusal.advice))),
        }
    }
}

/// What to do about a photo that was not read, without a full stop at its end.
fn ways_on(advice: &str) -> String {
    format!(
        "{}. Or count the rings by hand, with help: open the photo at the desk and draw a strip \
         from the pith to the bark",
        capital(advice)
    )
}

/// The reading's decades; computed again without the innermost ring where that
/// is a heart that was not read.
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
            format!("Stump: {stem}")
        }
    }
}

fn subtitle(facts: &Facts, titled: bool, units: Units) -> String {
    let mut said = Vec::new();
    match &facts.species {
        Some(species) if titled => said.push(capital(species)),
        Some(_) => {}
        None => said.push("Species not given".to_owned()),
    }
    said.push(facts.felled.map_or_else(
        || "felling date not given".to_owned(),
        |felled| format!("felled {}", spoken_date(felled)),
    ));
    said.push(facts.cut_height_mm.map_or_else(
        || "height of the cut not given".to_owned(),
        |height| {
            format!(
                "cut {} above the ground",
                crate::words::height(height, units)
            )
        },
    ));
    capital(&said.join(" \u{b7} "))
}

/// Whether a decade can be compared: at least half of it is there, and no more
/// of its rings are in doubt than [`MOST_DOUBTFUL`].
fn comparable(decade: &Decade, reading: &Reading) -> bool {
    /// Fewer rings are no decade. Chosen: half of one.
    const LEAST_RINGS: u32 = 5;
    let inside = |ring: &&Ring| {
        (decade.first_ring..decade.first_ring.saturating_add(decade.rings)).contains(&ring.number)
    };
    let doubtful = reading.rings.iter().filter(inside);
    let doubtful = doubtful.filter(|ring| ring.is_doubtful()).count();
    decade.rings >= LEAST_RINGS && doubtful <= MOST_DOUBTFUL
}

/// The decades that stand out against the tree's own age trend.
fn fast_and_slow(decades: &[Decade], reading: &Reading) -> String {
    let [_, slow, fast, _] = GROWTH_LIMITS;
    let named = |keep: &dyn Fn(f64) -> bool| -> Vec<String> {
        decades
            .iter()
            .filter(|decade| comparable(decade, reading))
            .filter(|decade| decade.against_trend.is_some_and(keep))
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
    let compared = decades.iter().filter(|d| comparable(d, reading)).count();
    match (fast.is_empty(), slow.is_empty()) {
        (true, true) if compared == 0 => String::new(),
        (true, true) if compared == decades.len() => {
            "No decade was fast or slow for the tree's age.".to_owned()
        }
        (true, true) => {
            "No decade that can be compared was fast or slow for the tree's age.".to_owned()
        }
        (false, true) => format!("Fast for its age: {}. No decade was slow.", listed(&fast)),
        (true, false) => format!("Slow for its age: {}. No decade was fast.", listed(&slow)),
        (false, false) => format!(
            "Fast for its age: {}. Slow for its age: {}.",
            listed(&fast),
            listed(&slow)
        ),
    }
}
