//! Renders sawn faces whose rings are known exactly, so that reading them can
//! be measured, practiced and shown.
//!
//! In: a [`Recipe`]. Out: a [`Face`], the photo and its [`Truth`]. Never:
//! input or output, or any look at how faces are read.
//!
//! The wood is built as it grows: ring by ring around the pith ([`Recipe`]'s
//! widths and shape), then its tissue by wood class, vessels one by one, then
//! what saw, weather and yard did to it, and last the camera.

mod bark;
mod camera;
mod canvas;
mod color;
mod defects;
mod dice;
mod dressed;
mod face;
mod ground;
mod memory;
mod noise;
mod pen;
mod pieces;
mod recipe;
mod render;
mod rings;
mod samples;
mod scenes;
mod suite;
mod surface;
mod tape;
mod tissue;
mod truth;
mod vessels;
mod view;
mod woodlot;
mod years;

pub use camera::jpeg;
pub use pieces::{Piece, Pieces, pieces};
pub use recipe::{DressedStrip, Dressing, Ground, GrowthStep, Recipe, TapeLaid, Troubles, Widths};
pub use render::{DressedPlaces, Face, render};
pub use samples::{Sample, samples};
pub use truth::{
    FalseRing, OUTLINE_STEPS, Outline, RingOnStrip, StripTruth, TapeTruth, Truth, Wedging,
    counted_to_px, in_view, is_counted,
};
pub use woodlot::{LotStump, MEMORIES, Memory, woodlot};
