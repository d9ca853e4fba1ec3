//! Charts of growth, as SVG text for pages and print and as PNG bytes; and the
//! one font and palette that every picture shares.
//!
//! In: rings, decades and ages in the words of `wood`. Out: SVG text or PNG
//! bytes. Never: a file, a clock, or arithmetic on growth that is not in `growth`.
//!
//! Every chart has units on its axes, years as years, and a caption that says
//! what it shows; its fills differ in lightness, so that it reads in gray.

pub mod font;
pub mod letters;
pub mod palette;

mod against_trend;
mod age;
mod agreement;
mod area;
mod axis;
mod bars;
mod decades;
mod diameter;
mod error;
mod increments;
mod intensity;
mod png;
mod sheet;
mod years;

pub use against_trend::against_trend_svg;
pub use age::age_svg;
pub use agreement::{AgreementRow, Stretch, agreement_svg};
pub use area::area_svg;
pub use decades::decades_svg;
pub use diameter::{diameter_svg, diameter_svg_sized};
pub use error::ChartError;
pub use increments::{increments_svg, increments_svg_with};
pub use intensity::intensity_svg;
pub use png::png;
pub use sheet::{Size, on_white};
pub use years::{RememberedYear, YearBar, years_svg};

#[cfg(test)]
mod made;
#[cfg(test)]
mod tests;
