//! Charts of growth: SVG text for the page and the sheet, PNG for the rest.
//!
//! Every chart has units on its axes, years as years, and a caption that says
//! what it shows; its fills differ in lightness, so that it reads in grey.

mod against_trend;
mod age;
mod area;
mod axis;
mod bars;
mod decades;
mod diameter;
mod increments;
pub mod palette;
mod png;
mod sheet;
mod years;

pub use against_trend::against_trend_svg;
pub use age::age_svg;
pub use area::area_svg;
pub use decades::decades_svg;
pub use diameter::{diameter_svg, diameter_svg_sized};
pub use increments::{increments_svg, increments_svg_sized};
pub use png::png;
pub use sheet::Size;
pub use years::{RememberedYear, YearBar, years_svg};

#[cfg(test)]
mod tests;
