//! In: a face, whole or with its rings straightened. Out: what two small
//! trained networks see in it: where the wood and its pith are, where rings
//! end, how wide they run, which class of wood it is. Never: files, or a
//! decision on what is counted.

pub mod clarity;
mod field;
mod kernel;
mod layers;
mod rings;
mod scene;
mod unet;
mod view;
mod weights;

pub use rings::{SeenPlaces, SeenRings, chance_of_end, see_places, see_rings};
pub use scene::{SeenScene, see_scene};
pub use view::{ROWS, SMALL, STRIP_CHANNELS, StripView, small, small_part, strip};
pub use weights::install;
