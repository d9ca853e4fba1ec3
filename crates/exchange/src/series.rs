//! What every format holds: the widths of one stump's rings, and their years.

use wood::{Facts, Mm, Px, Ring, Scope, Stump, Year};

/// Widths of rings, pith first, in the unit they are known in. `None` is a
/// ring whose width is not known; 0 is a ring that is missing on this face.
#[derive(Debug, Clone, PartialEq)]
pub enum Widths {
    /// In millimeters.
    Mm(Vec<Option<Mm>>),
    /// In pixels of a photo without a scale.
    Px(Vec<Option<Px>>),
}

impl Widths {
    /// How many rings.
    #[must_use]
    pub fn len(&self) -> usize {
        match self {
            Self::Mm(widths) => widths.len(),
            Self::Px(widths) => widths.len(),
        }
    }

    /// Whether there is none.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The plain numbers, in their own unit.
    #[must_use]
    pub fn numbers(&self) -> Vec<Option<f64>> {
        match self {
            Self::Mm(widths) => widths.iter().map(|w| w.map(|w| w.0)).collect(),
            Self::Px(widths) => widths.iter().map(|w| w.map(|w| w.0)).collect(),
        }
    }
}

/// One stump's rings, and what is known of the tree.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    /// The stump's name; any text.
    pub name: String,
    /// What is known of the tree.
    pub facts: Facts,
    /// What part of the tree the rings cover; `None` when not given.
    pub scope: Option<Scope>,
    /// The year of the first width, when the rings are dated.
    pub first_year: Option<Year>,
    /// The widths, pith first; one a year without a gap.
    pub widths: Widths,
    /// The chance that each ring's outer boundary is a true one, 0 to 1; as
    /// many as widths, or none when not given.
    pub confidence: Vec<f64>,
    /// Whether the widths were measured on a photo here, and not imported.
    pub from_photo: bool,
}

/// Why a stump has no series.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum NoSeries {
    /// The face could not be read.
    #[error("no rings were read on it")]
    NoRings,
    /// A ring has impossible values.
    #[error("ring {ring}: {problem}")]
    Unsound {
        /// Its number in the order of the file, from 1.
        ring: usize,
        /// What is wrong with it.
        problem: String,
    },
}

impl Series {
    /// The series of a stump. A `.stump.json` may have been edited by hand, so
    /// its rings are checked first: numbers that run from 1 by 1, widths that
    /// are finite and not negative, years that follow one another.
    ///
    /// # Errors
    /// When there is no ring, or one with impossible values.
    pub fn of(name: &str, stump: &Stump) -> Result<Self, NoSeries> {
        let rings = &stump.reading.rings;
        if rings.is_empty() {
            return Err(NoSeries::NoRings);
        }
        check(rings)?;
        let scaled = rings.iter().any(|ring| ring.width_mm.is_some());
        let widths = if scaled {
            Widths::Mm(rings.iter().map(|ring| ring.width_mm).collect())
        } else {
            Widths::Px(rings.iter().map(|ring| Some(ring.width_px)).collect())
        };
        Ok(Self {
            name: name.to_owned(),
            facts: stump.facts.clone(),
            scope: stump.reading.scope,
            first_year: rings[0].year,
            widths,
            confidence: rings.iter().map(|ring| ring.confidence).collect(),
            from_photo: stump.reading.photo.width_px > 0,
        })
    }

    /// The year of the last width.
    #[must_use]
    pub fn last_year(&self) -> Option<Year> {
        let span = i32::try_from(self.widths.len()).ok()?.checked_sub(1)?;
        self.first_year?.0.checked_add(span).map(Year)
    }
}

fn check(rings: &[Ring]) -> Result<(), NoSeries> {
    let sound = |number: f64| number.is_finite() && number >= 0.0;
    let first_year = rings.first().and_then(|ring| ring.year);
    for (index, ring) in rings.iter().enumerate() {
        let wrong = |problem: String| {
            Err(NoSeries::Unsound {
                ring: index + 1,
                problem,
            })
        };
        if ring.number as usize != index + 1 {
            return wrong(format!("it has the number {}", ring.number));
        }
        if !sound(ring.width_px.0) {
            return wrong(format!("its width is {} pixels", ring.width_px.0));
        }
        if let Some(width) = ring.width_mm.filter(|width| !sound(width.0)) {
            return wrong(format!("its width is {} mm", width.0));
        }
        if !(0.0..=1.0).contains(&ring.confidence) {
            return wrong(format!("its confidence is {}", ring.confidence));
        }
        let expected = first_year.and_then(|first| first.0.checked_add(index as i32));
        if ring.year.map(|year| year.0) != expected {
            let found = ring
                .year
                .map_or("no year".to_owned(), |year| format!("the year {year}"));
            return wrong(format!("it has {found}, which does not follow the others"));
        }
    }
    Ok(())
}
