//! The sheet as one HTML page that holds everything it shows.

mod page;
mod safe;

pub(crate) use page::write;
