//! The decadal layout of raw measurements: columns 1 to 8 the series, 9 to 12
//! the year, then ten widths of six columns each.
//!
//! Source: the NOAA Paleoclimatology text on tree-ring file formats (archived
//! 2008) for columns, unit and blanks; series names of eight columns, the stop
//! codes, 0 for a missing ring and years before −999 are wide practice, from
//! memory. Years are astronomical: 0 is 1 BC.

mod read;
mod write;

pub(crate) use read::read;
pub(crate) use write::write;

/// The unit of a decadal file, known from its stop code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Resolution {
    /// 0.01 mm, stop code 999.
    Hundredth,
    /// 0.001 mm, stop code −9999.
    Thousandth,
}

impl Resolution {
    /// Units in a millimeter.
    fn per_mm(self) -> f64 {
        match self {
            Self::Hundredth => 100.0,
            Self::Thousandth => 1000.0,
        }
    }

    /// What stands in the year after the last ring.
    fn stop(self) -> i32 {
        match self {
            Self::Hundredth => 999,
            Self::Thousandth => -9999,
        }
    }
}

/// How many values the line of that year holds at most.
fn slots(year: i32) -> usize {
    10 - year.rem_euclid(10) as usize
}

#[cfg(test)]
mod tests;
