//! The widths that findings are made from.

use growth::{Widths, widths, years_of_growth};
use wood::stats::mean;
use wood::{Facts, Mm, Reading, Ring};

/// Of ten rings in a row, at most this many may be in doubt; with more, their
/// mean width says nothing. Chosen: a clear majority is sound.
pub(crate) const MOST_DOUBTFUL: usize = 3;

/// Rings whose growth was finished, and their widths.
#[derive(Debug)]
pub(crate) struct Series<'a> {
    /// Pith first.
    pub(crate) rings: &'a [Ring],
    /// One width a ring, never negative, never NaN.
    pub(crate) widths: Vec<f64>,
    /// In millimeters; else in pixels.
    pub(crate) in_mm: bool,
}

/// A mean width: in millimeters, or as a share of the tree's own mean.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Width {
    /// With a scale.
    Measured(Mm),
    /// Without one: 1 is the mean of all whole rings.
    OfOwnMean(f64),
}

impl<'a> Series<'a> {
    /// The series of a reading: its years of growth.
    pub(crate) fn of(reading: &'a Reading, facts: &Facts) -> Self {
        let rings = years_of_growth(reading, facts);
        let Widths {
            values: widths,
            in_mm,
        } = widths(rings);
        Self {
            rings,
            widths,
            in_mm,
        }
    }

    /// Mean width of a run of rings; 0 of none.
    pub(crate) fn mean(&self, from: usize, count: usize) -> f64 {
        let run = self.widths.get(from..from + count).unwrap_or_default();
        mean(run).unwrap_or(0.0)
    }

    /// How many rings of a run are in doubt.
    pub(crate) fn doubtful(&self, from: usize, count: usize) -> usize {
        let run = self.rings.get(from..from + count).unwrap_or_default();
        run.iter().filter(|ring| ring.is_doubtful()).count()
    }

    /// Whether the run is there, and few enough of its rings are in doubt.
    pub(crate) fn is_sound(&self, from: usize, count: usize) -> bool {
        from + count <= self.rings.len() && self.doubtful(from, count) <= MOST_DOUBTFUL
    }

    /// A mean width as a sentence can give it.
    pub(crate) fn width(&self, mean: f64) -> Width {
        if self.in_mm {
            return Width::Measured(Mm(mean));
        }
        let whole = self.mean(0, self.widths.len());
        Width::OfOwnMean(if whole > 0.0 { mean / whole } else { 0.0 })
    }
}
