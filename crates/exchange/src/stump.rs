//! From a series back to a stump: one without a photo.

use crate::{Series, Widths};
use growth::AgeInput;
use wood::{
    Age, Caution, Count, Facts, Marks, Mm, PhotoId, Px, Reading, Ring, STUMP_FORMAT, Scope, Stump,
    WoodFound, WoodSource, Year, find_species,
};

/// A stump with its name.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// The stump's name; any text.
    pub name: String,
    /// What is known of it.
    pub stump: Stump,
}

/// The file that a series came from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// Its name, without folders.
    pub file: String,
    /// SHA-256 of its bytes, in hex.
    pub sha256: String,
}

impl Source {
    /// The file of that name that holds these bytes.
    #[must_use]
    pub fn of(file: &str, bytes: &[u8]) -> Self {
        use sha2::{Digest as _, Sha256};
        let sha256 = wood::hex(&Sha256::digest(bytes));
        Self {
            file: file.to_owned(),
            sha256,
        }
    }
}

/// A stump made from a series alone: rings, decades, figures and events as for
/// a photo, but no picture. Its `photo` names the file that the series came
/// from and is 0 by 0 pixels; lengths in pixels are 0 where millimeters are
/// known. An age is given when the series is known to reach from pith to bark.
///
/// # Example
/// ```
/// use exchange::{Series, Source, Widths, stump_of};
/// let series = Series {
///     name: "oak".into(),
///     facts: wood::Facts::default(),
///     scope: None,
///     first_year: Some(wood::Year(1987)),
///     widths: Widths::Mm([1.23, 2.05].map(|w| Some(wood::Mm(w))).to_vec()),
///     confidence: Vec::new(),
///     from_photo: false,
/// };
/// let stump = stump_of(&series, &Source::of("oak.csv", b"..."));
/// assert_eq!(stump.reading.rings[1].year, Some(wood::Year(1988)));
/// assert_eq!(stump.reading.rings[1].radius_mm, Some(wood::Mm(3.28)));
/// ```
#[must_use]
pub fn stump_of(series: &Series, source: &Source) -> Stump {
    let rings = rings(series);
    let n = rings.len() as u32;
    let count = Count {
        best: n,
        low: n,
        high: n,
        level: growth::LEVEL,
    };
    let mut cautions = vec![Caution {
        about: "imported".to_owned(),
        text: format!(
            "these rings were imported from {}, not read from a photo",
            source.file
        ),
    }];
    let unknown = series.widths.numbers().iter().any(Option::is_none);
    if unknown {
        cautions.push(Caution {
            about: "widths-unknown".to_owned(),
            text: "the width of at least one ring is not known, so no figures of growth are given"
                .to_owned(),
        });
    }
    let age = age(series, &count, &mut cautions);
    let mut reading = Reading {
        readable: n > 0,
        wood: wood_of(&series.facts),
        scope: series.scope,
        count: Some(count),
        rings,
        age,
        cautions,
        ..Reading::of(PhotoId {
            file: source.file.clone(),
            sha256: source.sha256.clone(),
            width_px: 0,
            height_px: 0,
        })
    };
    if !unknown {
        growth::describe(&mut reading, &series.facts);
    }
    Stump {
        format: STUMP_FORMAT,
        facts: series.facts.clone(),
        marks: Marks::default(),
        reading,
    }
}

fn rings(series: &Series) -> Vec<Ring> {
    let numbers = series.widths.numbers();
    let in_mm = matches!(series.widths, Widths::Mm(_));
    let mut radius = Some(0.0);
    numbers
        .iter()
        .enumerate()
        .map(|(index, width)| {
            radius = radius.zip(*width).map(|(radius, width)| radius + width);
            let mm = |value: Option<f64>| value.filter(|_| in_mm).map(Mm);
            let px = |value: Option<f64>| Px(value.filter(|_| !in_mm).unwrap_or(0.0));
            Ring {
                number: index as u32 + 1,
                year: series
                    .first_year
                    .and_then(|first| first.0.checked_add(index as i32))
                    .map(Year),
                radius_px: px(radius),
                radius_mm: mm(radius),
                width_px: px(*width),
                width_mm: mm(*width),
                confidence: series.confidence.get(index).copied().unwrap_or(1.0),
                notes: Vec::new(),
                outline_px: Vec::new(),
            }
        })
        .collect()
}

fn wood_of(facts: &Facts) -> Option<WoodFound> {
    let from_species = || {
        let species = find_species(facts.species.as_deref()?).ok()?;
        Some(WoodFound {
            class: species.class,
            from: WoodSource::Species,
        })
    };
    facts
        .wood
        .map(|class| WoodFound {
            class,
            from: WoodSource::Given,
        })
        .or_else(from_species)
}

fn age(series: &Series, count: &Count, cautions: &mut Vec<Caution>) -> Option<Age> {
    if series.scope != Some(Scope::WholeFace) {
        if series.scope.is_none() {
            cautions.push(Caution {
                about: "reach-unknown".to_owned(),
                text: "the file does not say whether these rings reach from the pith to the bark, so no age is given"
                    .to_owned(),
            });
        }
        return None;
    }
    let species = series
        .facts
        .species
        .as_deref()
        .and_then(|name| find_species(name).ok());
    let cut = growth::years_to_cut(series.facts.cut_height_mm, species);
    cautions.extend(cut.cautions);
    Some(growth::age(&AgeInput {
        count,
        count_distribution: None,
        missing_pith: None,
        cut: cut.part,
        as_of: series.last_year(),
    }))
}
