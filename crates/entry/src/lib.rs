//! A stump's entry: the `.stump.json` beside the photo. What a person gave or
//! marked lives there and nowhere else, so it is never lost.
//!
//! In: paths and a [`wood::Stump`]. Out: the facts and marks saved before; a
//! file that is whole at every moment. Never: printing, or a look into photos.

mod aside;
mod error;
mod photos;
mod place;
mod sidecar;
mod steps;
mod writing;

pub use aside::set_aside;
pub use error::{EntryError, plain};
pub use photos::{PHOTO_ENDINGS, is_photo};
pub use place::{Place, beside, find, is_of_another_photo};
pub use sidecar::{Sidecar, load, load_stump, save};
pub use steps::{add_step, load_steps, steps_beside};
pub use writing::{replace, take_away_unfinished};
