//! Comma-separated values after RFC 4180: one line a ring, units in the names
//! of the columns.

mod read;
mod write;

pub(crate) use read::read;
pub(crate) use write::{Lines, number, scope_name, write};

/// The columns that are written, in this order.
const COLUMNS: [&str; 12] = [
    "stump",
    "species",
    "felled",
    "scope",
    "cut_height_mm",
    "across_inside_bark_mm",
    "ring",
    "year",
    "width_mm",
    "radius_mm",
    "width_px",
    "confidence",
];

#[cfg(test)]
mod tests;
