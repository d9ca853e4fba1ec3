//! The vocabulary of Stumpbook: units, wood classes, species, what a person
//! knows (facts), what a person put on a photo (marks) and what the program
//! made of it (a reading).
//!
//! In: nothing. Out: types that every other crate speaks. Never: input or
//! output, image code, or another crate of ours.
//!
//! Conventions meant everywhere: `x` runs to the right and `y` down, in pixels
//! of the upright photo as stored; an [`Angle`] is in radians, clockwise from
//! +x (so that it grows the way a clock hand turns, because y points down).

mod accepted;
mod card;
mod class;
mod facts;
mod felled;
mod hex;
mod intensity;
mod length;
mod marks;
mod point;
mod polygon;
mod reading;
mod species;
pub mod stats;
mod strip;
mod stump;
mod units;

pub use accepted::{Measure, MisplacedMark, NotAccepted};
pub use card::{
    CARD_BAR_MM, CARD_CODE_MM, CARD_CODES, CARD_DISC_RADIUS_MM, CARD_DISCS_MM, CARD_MM, CardCode,
};
pub use class::WoodClass;
pub use facts::{Facts, Hemisphere, Remembered};
pub use felled::{Felled, ParseFelledError};
pub use hex::hex;
pub use intensity::{IntensityPlace, IntensityProfile, ProfileBoundary};
pub use length::{Length, ParseLengthError, Units};
pub use marks::{Marks, RingMark, RingMarkKind, Tape};
pub use point::Point;
pub use polygon::Polygon;
pub use reading::{
    Age, AgePart, AgePartKind, Caution, Count, Decade, Event, EventKind, GrowthFigures, PhotoId,
    Pith, PithSource, Quality, Reading, Refusal, RefusalReason, Ring, RingNote, Scale, ScaleSource,
    Scope, WoodFound, WoodSource,
};
pub use species::{
    ClassSource, Species, UnknownSpecies, YoungGrowth, find_species, species_table, species_with,
};
pub use strip::Strip;
pub use stump::{STUMP_FORMAT, Stump};
pub use units::{Angle, Mm, MmPerPx, Px, Year, Years};
