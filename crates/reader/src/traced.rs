//! A face with its rings traced: what the steps up to the count leave behind.

use boundary::Boundaries;
use photo::Face;
use profile::{BarkEdge, Levelness, RadialProfile, Straightened, Unrolled};
use sight::{SeenRings, clarity};
use wood::{Facts, Pith, PithSource, Point, Px, Quality, Scope, Strip, WoodClass, WoodFound};

/// Places in an outline: one every three degrees.
pub(crate) const STEPS: usize = 120;

/// How far a face must point at its pith to be read where its rings are not evident.
/// Chosen on 31 real photos, each read by weights that never saw it: 16 of 20 that can be
/// counted have 0.98 or more, three whose pith is taken in the wrong place 0.68 or less;
/// of eleven that must be refused one has 0.96, one 0.99 and rings that agree nowhere, the
/// others 0.84 or less.
const CENTERED: f64 = 0.97;
/// The same where rings agree around the circle, from [`clarity::AGREED`]. Of 400 rough
/// drawn faces (seeds 7001 to 7400) 29 are read by this and [`CENTERED`] would refuse
/// them; the range holds the truth of all 29. Of eleven photos that must be refused none
/// agrees so far.
const NEARLY_CENTERED: f64 = 0.87;
/// What the steps leave behind: enough to draw, to judge and to read again.
#[derive(Debug, Clone)]
pub struct TracedFace {
    /// Where the pith is.
    pub pith: Pith,
    /// How far all of the face in the photo points at the pith, about 1 for a sawn face;
    /// `None` where its rings are clear and nobody asked.
    pub centered: Option<f64>,
    /// How badly ring normals point at it, 0 to 1.
    pub misfit: f64,
    /// The face unrolled.
    pub unrolled: Unrolled,
    /// The rings straightened; nothing outside the bark edge is seen.
    pub straightened: Straightened,
    /// How level they run.
    pub level: Levelness,
    /// The bark edge.
    pub edge: BarkEdge,
    /// The course of the bark edge, where most of it is seen.
    pub bark: Option<f64>,
    /// The course at which the first ring begins: 0, or the rim of a hollow.
    pub start: f64,
    /// The last course that can be read.
    pub to: f64,
    /// The profile that was read.
    pub profile: RadialProfile,
    /// The wood class used.
    pub wood: WoodFound,
    /// What is seen in the straightened rings.
    pub seen: SeenRings,
    /// The boundaries.
    pub boundaries: Boundaries,
    /// The strip that was looked at, in place of the whole face.
    pub strip: Option<Strip>,
    /// How clearly its rings were seen before the sectors of the circle were aligned,
    /// where they were: what is aligned agrees with itself more than the wood shows.
    pub(crate) unaligned_clarity: Option<f64>,
    /// Rings that single sectors show beyond those of the circle, as a share of those;
    /// 0 where the face is clear or one strip is read.
    pub(crate) lost_share: f64,
}

/// The first course on which a year can end, in photo pixels (chosen): closer in, a
/// ring cannot be distinguished from the pith itself.
pub(crate) const FIRST_PX: f64 = 2.5;

impl TracedFace {
    /// What part of the tree the boundaries cover.
    #[must_use]
    pub fn scope(&self, facts: &Facts) -> Scope {
        if self.bark.is_none() {
            Scope::RingsInView
        } else if facts.hollow_radius_mm.is_some() || self.pith.from == PithSource::Outside {
            Scope::OutsideHeart
        } else {
            Scope::WholeFace
        }
    }

    /// How clearly its rings are seen, 0 to 1.
    #[must_use]
    pub fn clarity(&self) -> f64 {
        let now = self.seen.clarity();
        self.unaligned_clarity.map_or(now, |before| now.min(before))
    }

    /// Whether the face in the photo points at the pith, or its rings are clear.
    pub(crate) fn is_centered(&self) -> bool {
        self.centered.is_none_or(|centered| {
            centered >= CENTERED || (centered >= NEARLY_CENTERED && self.agrees())
        })
    }

    /// Whether its rings agree around the circle.
    pub(crate) fn agrees(&self) -> bool {
        self.seen.agreement() >= clarity::AGREED
    }

    /// Mean radius of what is read, in photo pixels.
    pub(crate) fn face_radius_px(&self) -> f64 {
        self.straightened.mean_radius(&self.unrolled, self.to).0
    }

    /// The chance that the picture gives the wood class in use, 0 to 1.
    pub(crate) fn chance_of_class(&self) -> f64 {
        let weight = |class: WoodClass| {
            let nth = WoodClass::ALL.iter().position(|&other| other == class);
            nth.map_or(0.0, |nth| f64::from(self.seen.kinds[nth]).exp())
        };
        let all: f64 = WoodClass::ALL.into_iter().map(weight).sum();
        weight(self.wood.class) / all.max(1e-12)
    }

    /// How well the rings could be followed.
    #[must_use]
    pub fn quality(&self) -> Quality {
        let seen = &self.profile.seen;
        let to = (self.to as usize).clamp(1, seen.len());
        let share = self.unrolled.span.share;
        Quality {
            misfit: self.misfit,
            coherence: self.level.coherence,
            closure_rings: (self.level.closure_courses)
                .filter(|_| share >= 1.0)
                .map(|courses| courses / self.boundaries.spacing.max(1.0)),
            circle_share: share * f64::from(seen[..to].iter().sum::<f32>()) / to as f64,
            median_width_px: Px(self.boundaries.spacing * self.unrolled.step_px),
        }
    }
}

/// The course of a place in the photo.
pub(crate) fn course_of(traced: &TracedFace, place: Point) -> f64 {
    let (row, radius) = traced.unrolled.locate(place);
    let row = (row as usize).min(traced.unrolled.angles() - 1);
    traced.straightened.course_at(row, radius as f32)
}

/// A course in one row as a place in the photo; `None` outside it.
pub(crate) fn in_photo(face: &Face, traced: &TracedFace, row: usize, course: f64) -> Option<Point> {
    let angle = row as f64;
    let place = traced
        .unrolled
        .place(angle, f64::from(traced.straightened.radius_at(row, course)));
    face.holds(place).then(|| {
        Point::new(
            (place.x_px * 10.0).round() / 10.0,
            (place.y_px * 10.0).round() / 10.0,
        )
    })
}
