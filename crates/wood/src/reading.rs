//! What the program made of a face: the contract between the method and
//! everything that shows, keeps or passes on its results.

use crate::{Mm, MmPerPx, Point, Px, Strip, WoodClass, Year, Years};
use serde::{Deserialize, Serialize};

/// What the program made of one face.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// Whether rings could be read at all; when not, `refusal` says why.
    pub readable: bool,
    /// Why nothing is claimed, and how to take the photo again.
    pub refusal: Option<Refusal>,
    /// Which photo this is.
    pub photo: PhotoId,
    /// The wood class used and where it came from.
    pub wood: Option<WoodFound>,
    /// Where the pith is.
    pub pith: Option<Pith>,
    /// The size of a pixel, where it is known.
    pub scale: Option<Scale>,
    /// What part of the tree the count covers.
    pub scope: Option<Scope>,
    /// How many rings.
    pub count: Option<Count>,
    /// The strip along which they were counted; `None` where they were counted on
    /// the whole face.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub strip: Option<Strip>,
    /// The bark edge at even steps of angle, clockwise from +x; `None` where
    /// it is not seen. Empty when no edge was found.
    pub bark_edge_px: Vec<Option<Point>>,
    /// The rings, pith first.
    pub rings: Vec<Ring>,
    /// The age, where it can be estimated.
    pub age: Option<Age>,
    /// Growth by decade (by tens of rings when no year is known), oldest first.
    pub decades: Vec<Decade>,
    /// Releases and suppressions, oldest first.
    pub events: Vec<Event>,
    /// Figures of the whole series.
    pub figures: Option<GrowthFigures>,
    /// How well the rings could be followed.
    pub quality: Option<Quality>,
    /// What the person should know before trusting the numbers.
    pub cautions: Vec<Caution>,
}

impl Reading {
    /// The reading of a photo of which nothing is known yet: readable, without rings.
    #[must_use]
    pub fn of(photo: PhotoId) -> Self {
        Self {
            readable: true,
            refusal: None,
            photo,
            wood: None,
            pith: None,
            scale: None,
            scope: None,
            count: None,
            strip: None,
            bark_edge_px: Vec::new(),
            rings: Vec::new(),
            age: None,
            decades: Vec::new(),
            events: Vec::new(),
            figures: None,
            quality: None,
            cautions: Vec::new(),
        }
    }

    /// How the rings were counted, in words; `None` where they were counted on the
    /// whole face.
    #[must_use]
    pub fn counted_along(&self) -> Option<&'static str> {
        self.strip.as_ref().map(|strip| {
            if strip.by_hand {
                "counted by hand along one strip"
            } else {
                "counted along one strip"
            }
        })
    }
}

/// Why a face was not read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RefusalReason {
    /// The photo has too few pixels.
    TooSmall,
    /// Nothing in the photo looks like rings around a pith.
    NoRings,
    /// The photo is too dark, too bright or without contrast.
    NoContrast,
    /// The photo is not sharp enough.
    Blurred,
    /// The rings are narrower than the photo can show.
    RingsTooNarrow,
    /// The face is seen too much from the side.
    TooOblique,
    /// The face fills too little of the photo.
    FaceTooSmall,
    /// It is to be counted by hand, and no ring is set yet.
    NotCounted,
}

/// Why a face was not read, and what to do.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Refusal {
    /// The kind of trouble.
    pub reason: RefusalReason,
    /// What was seen, in a plain sentence with its figure.
    pub detail: String,
    /// How to take the photo again.
    pub advice: String,
}

/// Which photo a reading was made from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PhotoId {
    /// The file's name, without folders.
    pub file: String,
    /// SHA-256 of the file's bytes, in hex.
    pub sha256: String,
    /// Width of the upright photo.
    pub width_px: u32,
    /// Height of the upright photo.
    pub height_px: u32,
}

/// Where the wood class came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum WoodSource {
    /// The person gave the class.
    Given,
    /// The person gave the species, which has this class.
    Species,
    /// Guessed from the picture.
    Guessed,
}

/// The wood class a reading was made with.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct WoodFound {
    /// The class.
    pub class: WoodClass,
    /// Where it came from.
    pub from: WoodSource,
}

/// How the pith was found.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PithSource {
    /// It is in the photo.
    Seen,
    /// The person marked it.
    Given,
    /// It is outside the photo; its place follows from the rings' curve.
    Outside,
}

/// Where the pith is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Pith {
    /// To the right.
    pub x_px: Px,
    /// Down.
    pub y_px: Px,
    /// How it was found.
    pub from: PithSource,
    /// One standard deviation of its place in each direction.
    pub uncertainty_px: Px,
}

impl Pith {
    /// The place of the pith.
    #[must_use]
    pub fn point(&self) -> Point {
        Point::new(self.x_px.0, self.y_px.0)
    }
}

/// Where the scale came from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum ScaleSource {
    /// A length along a tape in the photo.
    Tape,
    /// The known width inside the bark and the bark edge found.
    Across,
    /// The scale card lying in the photo.
    Card,
}

/// The size of a pixel on the face.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Scale {
    /// Millimeters for one pixel.
    pub mm_per_px: MmPerPx,
    /// Where it came from.
    pub from: ScaleSource,
    /// One standard deviation, as a share of the scale.
    pub uncertainty: f64,
}

/// What part of the tree a count covers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Scope {
    /// From the pith to the bark edge.
    WholeFace,
    /// Only what the photo shows: no bark edge was found.
    RingsInView,
    /// From a hollow or unreadable heart to the bark edge.
    OutsideHeart,
}

/// How many rings: the best count and the range that holds the truth at `level`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Count {
    /// The best count.
    pub best: u32,
    /// The lowest likely count.
    pub low: u32,
    /// The highest likely count.
    pub high: u32,
    /// The share of faces on which the range should hold the truth.
    pub level: f64,
}

/// Something to know about one ring.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum RingNote {
    /// Its outer boundary was marked by the person.
    Marked,
    /// It may be false: look again.
    Doubtful,
    /// It ends at the bark edge.
    AtBark,
    /// It is cut by the edge of the photo on part of the circle.
    CutByPhoto,
    /// It is much wider than its neighbors: a boundary may have been missed.
    MaybeTwo,
}

/// One ring, described by its outer boundary.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Ring {
    /// 1 is the ring at the pith (or the innermost one read).
    pub number: u32,
    /// The year it grew in.
    pub year: Option<Year>,
    /// Mean distance of its outer boundary from the pith.
    pub radius_px: Px,
    /// The same in millimeters.
    pub radius_mm: Option<Mm>,
    /// Mean width.
    pub width_px: Px,
    /// The same in millimeters.
    pub width_mm: Option<Mm>,
    /// The chance that its outer boundary is a true one, 0 to 1.
    pub confidence: f64,
    /// What to know about it.
    pub notes: Vec<RingNote>,
    /// Its outer boundary: one place at each even step of angle, clockwise
    /// from +x, `None` where it is not seen.
    pub outline_px: Vec<Option<Point>>,
}

impl Ring {
    /// Whether it is one to look at again on the stump.
    #[must_use]
    pub fn is_doubtful(&self) -> bool {
        self.notes
            .iter()
            .any(|note| matches!(note, RingNote::Doubtful | RingNote::MaybeTwo))
    }
}

/// The part of the age that an [`AgePart`] stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum AgePartKind {
    /// Rings counted.
    Rings,
    /// Rings that the missing pith took with it.
    MissingPith,
    /// Years the stem took to grow to the height of the cut.
    CutHeight,
}

/// One part of the age, with its own range.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AgePart {
    /// Which part.
    pub what: AgePartKind,
    /// Best value, in years.
    pub best: Years,
    /// Lowest likely value.
    pub low: Years,
    /// Highest likely value.
    pub high: Years,
    /// How it was found, in a plain phrase with its source.
    pub how: String,
}

/// The age and its range.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Age {
    /// Best value, whole years.
    pub best: u32,
    /// Lowest likely value.
    pub low: u32,
    /// Highest likely value.
    pub high: u32,
    /// The share of trees on which the range should hold the truth.
    pub level: f64,
    /// What it is made of.
    pub parts: Vec<AgePart>,
    /// The year that the age is given for: the last year of growth.
    pub as_of: Option<Year>,
}

/// Growth over ten years (or ten rings).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Decade {
    /// The first year of the decade (1990), when rings are dated.
    pub from_year: Option<Year>,
    /// Number of the first ring in it.
    pub first_ring: u32,
    /// How many rings it holds, 1 to 10.
    pub rings: u32,
    /// Mean ring width.
    pub mean_width_mm: Option<Mm>,
    /// Rings per inch of radius.
    pub rings_per_inch: Option<f64>,
    /// Mean width against the tree's own age trend: 1 is as expected.
    pub against_trend: Option<f64>,
}

/// What kind of change in growth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum EventKind {
    /// Growth rose and stayed up.
    Release,
    /// Growth fell and stayed down.
    Suppression,
}

/// A lasting change in growth.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Event {
    /// Rise or fall.
    pub kind: EventKind,
    /// The last year before the change, when rings are dated.
    pub year: Option<Year>,
    /// Number of the last ring before the change.
    pub ring: u32,
    /// Change of the ten-year mean, in percent.
    pub change_percent: f64,
    /// Number of years that pass the threshold in one run.
    pub run: u32,
}

/// Figures of the whole series of ring widths.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct GrowthFigures {
    /// Mean ring width.
    pub mean_width_mm: Option<Mm>,
    /// Rings per inch of radius.
    pub rings_per_inch: Option<f64>,
    /// Mean sensitivity (Douglass 1936).
    pub mean_sensitivity: f64,
    /// Coefficient of variation.
    pub variation: f64,
    /// First-order autocorrelation.
    pub autocorrelation: f64,
    /// Gini coefficient.
    pub gini: f64,
}

/// How well the rings could be followed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Quality {
    /// Share of ring direction that does not point at the pith, 0 (all do) to 1.
    pub misfit: f64,
    /// Mean agreement of the straightened rings around the circle, 0 to 1.
    pub coherence: f64,
    /// By how many rings a ring followed once round misses itself; `None` where none
    /// can be followed once round.
    pub closure_rings: Option<f64>,
    /// Share of the circle that could be used.
    pub circle_share: f64,
    /// Median ring width.
    pub median_width_px: Px,
}

/// Something to know before trusting the numbers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Caution {
    /// A short name that does not change (`wood-guessed`, `no-felled-date`, ...).
    pub about: String,
    /// A plain sentence.
    pub text: String,
}
