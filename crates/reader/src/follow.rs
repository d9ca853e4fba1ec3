//! From a face to its boundaries: the steps in order, and what they leave.

use crate::marked;
use crate::start::{Begun, Ground, STARTED, Whole};
use crate::under::{Bounds, Under};
use crate::watch::{BrokenOff, UNWATCHED, Watch, tell};
use boundary::{Boundaries, Boundary, Request, find_boundaries, sector_shifts};
use ndarray::Array2;
use photo::Face;
use profile::{
    BarkEdge, Levelness, RadialProfile, StraightenParams, Straightened, Unrolled, flatten,
    radial_profile, straighten_along, straighten_by, usual_spacing,
};
use sight::{SeenRings, SeenScene, chance_of_pith, look, see_rings, strip};
use wood::{
    Facts, Marks, Pith, PithSource, Point, Px, Quality, Scope, Strip, WoodClass, WoodFound,
    WoodSource, find_species,
};

/// What the steps leave behind: enough to draw, to judge and to read again.
#[derive(Debug, Clone)]
pub struct Followed {
    /// Where the pith is.
    pub pith: Pith,
    /// How likely the pith looks in the whole photo, 0 to 1.
    pub pith_chance: f64,
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
    /// What its rings showed before the sectors of the circle were aligned, where they
    /// were: what is aligned agrees with itself more than the wood shows.
    pub(crate) before: Option<Evidence>,
}

/// What lines show of being rings, each 0 to 1.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Evidence {
    /// How clearly they are seen.
    pub(crate) clarity: f64,
    /// The mean share of the circle that shows them.
    pub(crate) support: f64,
}

impl Evidence {
    fn of(list: &[Boundary], clarity: f64) -> Self {
        let count = list.len().max(1) as f64;
        Self {
            clarity,
            support: list.iter().map(|b| b.support).sum::<f64>() / count,
        }
    }
}

/// The first course on which a year can end, in photo pixels: closer in, no
/// ring can be told from the pith itself.
pub(crate) const FIRST_PX: f64 = 2.5;

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

    /// How clearly its rings are seen, 0 to 1.
    #[must_use]
    pub fn clarity(&self) -> f64 {
        let now = self.seen.clarity();
        self.before.map_or(now, |before| now.min(before.clarity))
    }

    /// What its rings show of being rings.
    pub(crate) fn evidence(&self) -> Evidence {
        let now = Evidence::of(&self.boundaries.list, self.clarity());
        self.before.map_or(now, |before| Evidence {
            clarity: now.clarity,
            ..before
        })
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
        Quality {
            misfit: self.misfit,
            coherence: self.level.coherence,
            closure_rings: (self.level.closure_courses)
                .map(|courses| courses / self.boundaries.spacing.max(1.0)),
            circle_share: f64::from(seen[..to].iter().sum::<f32>()) / to as f64,
            median_width_px: Px(self.boundaries.spacing * self.unrolled.step_px),
        }
    }
}

/// Times that lines are followed, at most: the first time they are seen in rings
/// that may run askew, each later time in rings more level.
const TIMES: usize = 3;
/// Clarity from which the next time is the last: once more changes little (80
/// practice faces, seeds 501 to 580: 65 counted exactly for 64, F1 0.958 for 0.959).
/// Clearer faces need no sectors aligned either.
const LEVEL_SOON: f64 = 0.65;

/// Clarity from which a sector shows a pattern of rings by which it can be laid
/// against others. Below it (a face rough from the saw) noise is fitted to noise:
/// it then looks clearer than it is, and is read and not refused.
const PATTERNED: f64 = 0.4;

/// Steps in which a ring is looked at; the network was shown rings of 3 to 35.
const STEPS_A_RING: f32 = 9.0;
/// Most courses taken together.
const MOST_POOLED: usize = 6;

/// What is asked of the long part of a reading.
#[derive(Clone, Copy)]
pub(crate) struct Asked<'a> {
    pub(crate) face: &'a Face,
    pub(crate) facts: &'a Facts,
    pub(crate) marks: &'a Marks,
    /// What is not looked at: a scale card.
    pub(crate) covered: &'a [Vec<Point>],
    pub(crate) watch: Watch<'a>,
}

/// Follows the rings of a face.
#[must_use]
pub fn follow(face: &Face, facts: &Facts, marks: &Marks) -> Followed {
    let asked = Asked {
        face,
        facts,
        marks,
        covered: &[],
        watch: UNWATCHED,
    };
    let (mut followed, _) = level(&asked, &Whole::of(face))
        .unwrap_or_else(|BrokenOff| unreachable!("nobody watches, so nobody breaks it off"));
    marked::decide(&mut followed, facts, marks);
    followed
}

/// The long part of following: the rings run level, and nothing is decided on
/// them that is not decided anew. What is covered is not looked at; what a person
/// marked unreadable is, and does not count, so that it can be marked without a
/// new look.
pub(crate) fn level(asked: &Asked<'_>, whole: &Whole) -> Result<(Followed, Under), BrokenOff> {
    let params = StraightenParams::default();
    let ground = Ground::of(*asked, whole, &params);
    let begun = ground.start(asked.watch)?;
    let misfit = ground.misfit(begun.guess.0);
    follow_lines(
        asked,
        begun,
        misfit,
        ground.scene,
        (STARTED, LEVEL - STARTED),
        &params,
    )
}

/// Share of a reading's time after which the rings run level.
const LEVEL: f32 = 0.95;

/// Straightens what was begun along the lines that are seen in it; `span` is the
/// share of the reading's time before, and the one that this takes.
fn follow_lines(
    asked: &Asked<'_>,
    begun: Begun,
    misfit: f64,
    scene: &SeenScene,
    (before, part): (f32, f32),
    params: &StraightenParams,
) -> Result<(Followed, Under), BrokenOff> {
    let Asked {
        face,
        facts,
        marks,
        watch,
        ..
    } = *asked;
    let Begun {
        guess: (pith, uncertainty_px),
        unrolled,
        mut straightened,
        mut seen,
        ..
    } = begun;
    let given = given_class(facts);
    let usual = seen.usual_spacing();
    let spacing = plainest_spacing(&radial_profile(
        &straightened,
        &straightened.levelness(usual, params),
    ));
    // Wide rings are looked at in fewer, longer steps: fuzz between them goes.
    let factor = ((usual / STEPS_A_RING) as usize).clamp(1, MOST_POOLED);
    let flat = flatten(&unrolled, spacing);
    let mut patterned = false;
    let mut along = |straightened: &Straightened, seen: &SeenRings| {
        patterned = patterned || seen.clarity() >= PATTERNED;
        let lines = seen.lines(patterned);
        straighten_along(&unrolled, &flat, straightened, &lines, params)
    };
    for nth in 1..TIMES {
        if seen.clarity() >= LEVEL_SOON {
            break;
        }
        straightened = along(&straightened, &seen);
        tell(watch, before + part * nth as f32 / TIMES as f32)?;
        seen = see_rings(&strip(face, &unrolled, &straightened), factor);
    }
    straightened = along(&straightened, &seen);
    let mut last = look(&strip(face, &unrolled, &straightened), factor);
    let seen = last.rings(None, given);
    let mut unaligned = None;
    let clear = seen.clarity() >= LEVEL_SOON;
    if !clear {
        let from = FIRST_PX / unrolled.step_px;
        let found = bare_boundaries(&seen, from);
        unaligned = Some(Evidence::of(&found.list, seen.clarity()));
        let shifts = shifts_of(&seen, &found, from);
        straightened = straighten_by(&unrolled, &flat, &straightened, &shifts);
        last = last.shifted(&shifts);
    }
    drop(flat);
    tell(watch, before + part)?;
    let level = straightened.levelness(spacing, params);
    let under = Under::new(
        &unrolled,
        &straightened,
        scene.clone(),
        last,
        face.rgb.dimensions(),
    );
    under.hide(&marks.unreadable, &unrolled, &mut straightened);
    let seen = under.rings(&marks.unreadable, given, &straightened);
    let Bounds {
        edge,
        bark,
        to,
        profile,
    } = under.bounds(marks, &seen, &unrolled, &mut straightened, &level);
    let followed = Followed {
        pith: pith_at(pith, uncertainty_px, face, marks),
        pith_chance: pith_chance(scene, pith, face, marks, clear),
        misfit,
        wood: wood_class(facts, &seen),
        unrolled,
        straightened,
        level,
        edge,
        bark,
        start: 0.0,
        to,
        profile,
        seen,
        boundaries: Boundaries {
            list: Vec::new(),
            counts: Vec::new(),
            spacing: 1.0,
        },
        strip: marks.strip.clone(),
        before: unaligned,
    };
    Ok((followed, under))
}

/// The boundaries before the bark edge is found and anything is marked on them.
fn bare_boundaries(seen: &SeenRings, from: f64) -> Boundaries {
    find_boundaries(&Request {
        seen,
        from,
        bark: None,
        to: seen.last_wood() as f64,
        required: &[],
        forbidden: &[],
    })
}

/// How far from level the rings run in each sector.
fn shifts_of(seen: &SeenRings, found: &Boundaries, from: f64) -> Array2<f32> {
    let agreed: Vec<f64> = found.list.iter().map(|boundary| boundary.course).collect();
    sector_shifts(seen, &agreed, from, seen.last_wood() as f64)
}

/// How far a marked pith may be from the one seen to be the same, as a share of the
/// photo's longer side (chosen).
const SAME_PITH: f64 = 0.05;

/// How likely the pith looks in the whole photo, 0 to 1, looked at more often where rings
/// are not `clear`; a pith that a person marked somewhere else is no evidence of rings.
fn pith_chance(scene: &SeenScene, pith: Point, face: &Face, marks: &Marks, clear: bool) -> f64 {
    let (width, height) = face.rgb.dimensions();
    let (seen, chance) = scene.pith;
    let elsewhere = seen.distance(pith).0 > SAME_PITH * f64::from(width.max(height));
    if marks.pith.is_some() && elsewhere {
        0.0
    } else if clear {
        f64::from(chance)
    } else {
        f64::from(chance_of_pith(face, seen))
    }
}

/// The pith with how it is known.
fn pith_at(at: Point, uncertainty_px: Px, face: &Face, marks: &Marks) -> Pith {
    Pith {
        x_px: Px(at.x_px),
        y_px: Px(at.y_px),
        from: match (marks.pith, face.holds(at)) {
            (Some(_), _) => PithSource::Given,
            (None, true) => PithSource::Seen,
            (None, false) => PithSource::Outside,
        },
        uncertainty_px,
    }
}

/// The wood class that the person gave, by itself or with the species.
pub(crate) fn given_wood(facts: &Facts) -> Option<WoodFound> {
    let given = facts.wood.map(|class| WoodFound {
        class,
        from: WoodSource::Given,
    });
    let of_species = || {
        let species = find_species(facts.species.as_deref()?).ok()?;
        Some(WoodFound {
            class: species.class,
            from: WoodSource::Species,
        })
    };
    given.or_else(of_species)
}

/// The class of [`given_wood`].
pub(crate) fn given_class(facts: &Facts) -> Option<WoodClass> {
    given_wood(facts).map(|wood| wood.class)
}

/// The wood class the person gave, the species brings, or the picture suggests.
pub(crate) fn wood_class(facts: &Facts, seen: &SeenRings) -> WoodFound {
    if let Some(given) = given_wood(facts) {
        return given;
    }
    let likeliest = (0..WoodClass::ALL.len())
        .max_by(|&a, &b| seen.kinds[a].total_cmp(&seen.kinds[b]))
        .unwrap_or(0);
    WoodFound {
        class: WoodClass::ALL[likeliest],
        from: WoodSource::Guessed,
    }
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

/// The usual ring spacing where rings are the plainest: the inner two thirds
/// of what most of the circle shows.
fn plainest_spacing(profile: &RadialProfile) -> f32 {
    let whole = profile
        .seen
        .iter()
        .rposition(|&share| share > 0.6)
        .unwrap_or(profile.seen.len());
    usual_spacing(profile, whole * 2 / 3)
}
