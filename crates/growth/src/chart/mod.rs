//! Charts of growth: SVG text for the page and the sheet, PNG for the rest.
//!
//! Every chart has units on its axes, years as years, and a caption that says
//! what it shows; its fills differ in lightness, so that it reads in grey.

mod axis;
mod decades;
mod increments;
pub mod palette;
mod png;
mod sheet;
mod years;

pub use decades::decades_svg;
pub use increments::increments_svg;
pub use png::png;
pub use years::{YearBar, years_svg};

#[cfg(test)]
mod tests;
