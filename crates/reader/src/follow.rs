//! From a face to its boundaries: the steps in order, and what they leave.

use crate::marked;
use boundary::{Boundaries, guess_class};
use photo::Face;
use profile::{
    BarkEdge, Directions, FoundPith, RadialProfile, SpacingParams, Stage, StraightenParams,
    Straightened, Unrolled, find_bark_edge, find_pith, local_spacing, misfit_at, radial_profile,
    straighten, straighten_again, unroll,
};
use wood::{
    Facts, Marks, Pith, PithSource, Point, Px, Quality, Scope, WoodFound, WoodSource, find_species,
};

/// What the steps leave behind: enough to draw, to judge and to read again.
#[derive(Debug, Clone)]
pub struct Followed {
    /// Where the pith is.
    pub pith: Pith,
    /// How badly ring normals point at it, 0 to 1.
    pub misfit: f64,
    /// The face unrolled.
    pub unrolled: Unrolled,
    /// The rings straightened; nothing outside the bark edge is seen.
    pub straightened: Straightened,
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
    /// The boundaries.
    pub boundaries: Boundaries,
}

/// Share of the circle in which the bark edge must be seen for the face to be whole.
const WHOLE: f64 = 0.35;
/// The first course on which a year can end, in photo pixels: closer in, no
/// ring can be told from the pith itself.
pub(crate) const FIRST_PX: f64 = 4.0;

impl Followed {
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

    /// How well the rings could be followed.
    #[must_use]
    pub fn quality(&self) -> Quality {
        let seen = &self.profile.seen;
        let to = (self.to as usize).clamp(1, seen.len());
        Quality {
            misfit: self.misfit,
            coherence: self.straightened.coherence,
            closure_rings: self.straightened.closure_courses / self.boundaries.spacing.max(1.0),
            circle_share: f64::from(seen[..to].iter().sum::<f32>()) / to as f64,
            median_width_px: Px(self.boundaries.spacing * self.unrolled.step_px),
        }
    }
}

/// Follows the rings of a face.
#[must_use]
pub fn follow(face: &Face, facts: &Facts, marks: &Marks) -> Followed {
    let (height, width) = face.lightness.dim();
    let (width, height) = (width as f64, height as f64);
    let directions = Directions::of(&face.lightness);
    let found = match marks.pith {
        Some(at) => FoundPith {
            at,
            uncertainty_px: Px(2.0),
            misfit: misfit_at(&directions, at, Px(width.max(height))),
            from_afar: at,
        },
        None => find_pith(&directions, width, height, &profile::PithParams::default()),
    };
    let unreadable = |place: Point| marks.unreadable.iter().any(|area| holds(area, place));
    let params = StraightenParams::default();
    let (found, mut unrolled, first) = best_start(face, &directions, found, &unreadable, &params);
    let inside = found.at.x_px >= 0.0
        && found.at.y_px >= 0.0
        && found.at.x_px < width
        && found.at.y_px < height;
    let pith = Pith {
        x_px: Px(found.at.x_px),
        y_px: Px(found.at.y_px),
        from: match (marks.pith, inside) {
            (Some(_), _) => PithSource::Given,
            (None, true) => PithSource::Seen,
            (None, false) => PithSource::Outside,
        },
        uncertainty_px: found.uncertainty_px,
    };
    let spacing = usual_spacing(&radial_profile(&first));
    let second = straighten_again(&unrolled, &first, spacing, Stage::Spacing, &params);
    let mut second_edge = find_bark_edge(face, &unrolled, &second);
    marked::bark_edge(&mut second_edge, &marks.bark, &unrolled, &second);
    second_edge.hide_outside(&mut unrolled, &second);
    let straightened = straighten_again(&unrolled, &second, spacing, Stage::Edge, &params);
    let edge = second_edge.carried_over(&second, &straightened);
    let bark = if edge.seen_share() >= WHOLE {
        edge.median_course()
    } else {
        None
    };
    let profile = radial_profile(&straightened);
    let to = bark.unwrap_or_else(|| last_readable(&profile));
    let mut followed = Followed {
        pith,
        misfit: found.misfit,
        unrolled,
        straightened,
        edge,
        bark,
        start: 0.0,
        to,
        profile,
        wood: WoodFound {
            class: wood::WoodClass::Conifer,
            from: WoodSource::Guessed,
        },
        boundaries: Boundaries {
            list: Vec::new(),
            counts: Vec::new(),
            spacing: 1.0,
        },
    };
    marked::decide(&mut followed, facts, marks, &mut None);
    followed
}

/// The wood class the person gave, the species brings, or the picture suggests.
pub(crate) fn wood_class(facts: &Facts, profile: &RadialProfile, from: f64, to: f64) -> WoodFound {
    if let Some(class) = facts.wood {
        return WoodFound {
            class,
            from: WoodSource::Given,
        };
    }
    if let Some(species) = facts
        .species
        .as_deref()
        .and_then(|name| find_species(name).ok())
    {
        return WoodFound {
            class: species.class,
            from: WoodSource::Species,
        };
    }
    WoodFound {
        class: guess_class(profile, from, to).class,
        from: WoodSource::Guessed,
    }
}

/// Two guesses of the pith must lie this share of the photo apart to be both tried.
const APART: f64 = 0.012;

/// How much more level the rings must run for the guess from afar to be kept:
/// closing in is right more often than not.
const MUST_GAIN: f64 = 1.05;

/// Unrolls and straightens around the pith, from both guesses where they
/// differ, and keeps the one around which rings run the more level.
fn best_start(
    face: &Face,
    directions: &Directions,
    found: FoundPith,
    unreadable: &(dyn Fn(Point) -> bool + Sync),
    params: &StraightenParams,
) -> (FoundPith, Unrolled, Straightened) {
    let (height, width) = face.lightness.dim();
    let longest = width.max(height) as f64;
    let start = |at: Point| {
        let unrolled = unroll(face, at, None, unreadable);
        let straightened = straighten(&unrolled, directions, params);
        (unrolled, straightened)
    };
    let (near, near_level) = start(found.at);
    if found.at.distance(found.from_afar).0 < APART * longest {
        return (found, near, near_level);
    }
    let mut at = found.from_afar;
    let (mut far, mut far_level) = start(at);
    // Home in by the centres of rings, each time of smaller ones.
    for share in [0.08, 0.04] {
        let course = share * longest / far.step_px;
        let (x, y) = far_level.centre_offset(&far, course);
        if x.0.hypot(y.0) < 2.0 || x.0.hypot(y.0) > 0.9 * share * longest {
            break;
        }
        let next = Point::new(at.x_px + x.0, at.y_px + y.0);
        let (unrolled, straightened) = start(next);
        if straightened.coherence < far_level.coherence {
            break;
        }
        (at, far, far_level) = (next, unrolled, straightened);
    }
    if far_level.coherence <= MUST_GAIN * near_level.coherence {
        return (found, near, near_level);
    }
    let misfit = misfit_at(directions, at, Px(longest));
    let uncertainty_px = Px(found.uncertainty_px.0.max(0.01 * longest));
    (
        FoundPith {
            at,
            uncertainty_px,
            misfit,
            from_afar: at,
        },
        far,
        far_level,
    )
}

/// The course at the rim of a hollow of known radius, where a scale is known.
pub(crate) fn hollow_course(
    facts: &Facts,
    marks: &Marks,
    straightened: &Straightened,
    unrolled: &Unrolled,
    bark: Option<f64>,
) -> Option<f64> {
    let hollow = facts.hollow_radius_mm?;
    let scale = crate::scale::scale_of(facts, marks, straightened, unrolled, bark)?;
    let radius = hollow.0 / scale.mm_per_px.0 / unrolled.step_px;
    let mut courses: Vec<f64> = (0..unrolled.angles())
        .step_by(16)
        .map(|row| straightened.course_at(row, radius as f32))
        .collect();
    courses.sort_by(f64::total_cmp);
    courses.get(courses.len() / 2).copied()
}

/// The median of the local ring spacing over the courses whose rings are the
/// plainest: the inner two thirds of what most of the circle shows.
fn usual_spacing(profile: &RadialProfile) -> f32 {
    let whole = profile
        .seen
        .iter()
        .rposition(|&share| share > 0.6)
        .unwrap_or(profile.seen.len());
    let to = (whole * 2 / 3).max(40).min(profile.mean.len());
    let stations: Vec<usize> = (16..to).step_by(12).collect();
    let params = SpacingParams {
        widest: (to as f64 / 3.0).clamp(20.0, 220.0),
        ..SpacingParams::default()
    };
    let mut found = local_spacing(&profile.mean, &profile.seen, &stations, &params);
    found.sort_by(f32::total_cmp);
    found.get(found.len() / 2).copied().unwrap_or(20.0)
}

/// The last course of which a part of the circle worth averaging is seen.
fn last_readable(profile: &RadialProfile) -> f64 {
    const LEAST_SHARE: f32 = 0.02;
    profile
        .seen
        .iter()
        .rposition(|&share| share > LEAST_SHARE)
        .unwrap_or(1) as f64
}

/// Whether a polygon holds a place (even-odd rule).
fn holds(area: &[Point], place: Point) -> bool {
    let mut inside = false;
    for (i, a) in area.iter().enumerate() {
        let b = area[(i + 1) % area.len()];
        if (a.y_px > place.y_px) != (b.y_px > place.y_px) {
            let x = a.x_px + (place.y_px - a.y_px) / (b.y_px - a.y_px) * (b.x_px - a.x_px);
            if place.x_px < x {
                inside = !inside;
            }
        }
    }
    inside
}
