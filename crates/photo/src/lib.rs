//! In: the bytes of a photo. Out: an upright [`Face`] (color, lightness) with
//! the date and place the camera wrote, and the scale of the picture where a
//! length in it is known or the scale card is in it. Never: files, folders or the network.
//!
//! What kind of file it is, is read from its first bytes and never from its
//! name. How large it is, is read from its header before room for the pixels
//! is taken.
//!
//! The feature `heic` (off by default) decodes HEIC and HEIF; without it they
//! are refused with what to do instead.

mod camera;
mod card;
mod cut_off;
mod decode;
mod error;
mod face;
#[cfg(feature = "heic")]
mod heic;
mod kind;
mod lightness;
mod limits;
mod open;
mod scale;
mod shrink;
mod tiff_texts;
mod transpose;
mod turn;

pub use card::{FoundCard, Plane, find_card};
pub use error::PhotoError;
pub use face::{Face, Place};
pub use image::RgbImage;
pub use lightness::{Lightness, lightness};
pub use limits::Limits;
pub use open::open;
pub use scale::{ScaleError, TAPE_END_PX, scale_from_across, scale_from_tape};
pub use shrink::shrink;
