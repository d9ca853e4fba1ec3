//! Ring widths in and out: CSV, JSON, the NOAA decadal layout and TRiDaS.
//!
//! In: stumps, or the bytes of a file. Out: the text of a file, or stumps; and
//! with either a list of what could not be carried over, so that nothing is
//! dropped silently. Never: a file, a clock, a photo.
//!
//! A format holds a [`Series`], the dated widths of one stump and what is known
//! of the tree; JSON alone holds everything. `docs/formats.md` says what each
//! format keeps, and to which resolution.

mod bytes;
mod decadal;
mod error;
mod format;
mod intensity;
mod json;
mod notice;
mod radii;
mod series;
mod stump;
mod table;
mod trees;
mod tridas;

pub use decadal::Resolution;
pub use error::{ExchangeError, Place};
pub use format::{Format, Read, Written, read, write, write_radii};
pub use intensity::intensity_csv;
pub use notice::Notice;
pub use series::{NoSeries, Series, Widths};
pub use stump::{Entry, Source, stump_of};
