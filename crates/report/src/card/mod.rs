//! The printable scale card: the layout of `wood` as ink, as a PDF page and as
//! a picture.

mod ink;
mod page;
mod raster;

pub use page::card_pdf;
pub use raster::card_picture;
