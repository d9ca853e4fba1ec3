//! In: the bytes of a photo. Out: an upright [`Face`] (colour, lightness) with
//! the date and place the camera wrote. Never: files, folders or the network.

mod face;

pub use face::{Face, Place};
