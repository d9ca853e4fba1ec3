//! What people hold in their hands: the owner's sheet as PDF and HTML, the
//! count sheet, the printable scale card, and the pictures that go into them.
//!
//! In: a stump's entry and its photo as values. Out: bytes of PDF, text of
//! HTML, pictures. Never: files, a clock, or a number that is not in the
//! reading or follows from it by a stated step.

mod card;
mod content;
mod count_sheet;
mod error;
mod findings;
mod html;
mod letters;
mod paper;
mod pdf;
pub mod picture;
mod ring_table;
mod sheet;
mod sheet_input;
#[cfg(test)]
mod test_readings;
mod woodlot_sheet;
mod words;

pub use card::{card_pdf, card_picture};
pub use count_sheet::{CountSheet, Radius, Row};
pub use error::ReportError;
pub use findings::{Finding, Width, findings};
pub use paper::{Paper, PaperColor};
pub use sheet::Sheet;
pub use sheet_input::SheetInput;
pub use woodlot_sheet::{Column, Table, WoodlotSheet};
pub use words::{Span, direction};
