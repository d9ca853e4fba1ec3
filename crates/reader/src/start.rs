//! Where to begin: the face, and the pith around which its rings run most level.

use crate::follow::Asked;
use crate::marked::Rim;
use crate::under::Area;
use crate::watch::{BrokenOff, tell};
use photo::Face;
use profile::{
    Directions, Fineness, PithParams, StraightenParams, Straightened, Unrolled, find_pith,
    misfit_at, straighten, unroll,
};
use sight::{SeenRings, SeenScene, see_rings, see_scene, strip};
use wood::{Point, Px};

/// What the photo shows before anything is unrolled.
pub(crate) struct Whole {
    directions: Directions,
    scene: SeenScene,
}

impl Whole {
    pub(crate) fn of(face: &Face) -> Self {
        let (directions, scene) =
            rayon::join(|| Directions::of(&face.lightness), || see_scene(face));
        Self { directions, scene }
    }
}

/// A face unrolled around its pith, and what is seen in it at first.
pub(crate) struct Start {
    /// More than one where its rings are unclear, in steps of different length.
    pub(crate) begun: Vec<Begun>,
    /// Share of ring direction on the face that does not point at the pith, 0 to 1.
    pub(crate) misfit: f64,
    pub(crate) scene: SeenScene,
}

/// A face unrolled around one guess of the pith.
pub(crate) struct Begun {
    pub(crate) at: Point,
    pub(crate) uncertainty_px: Px,
    pub(crate) unrolled: Unrolled,
    pub(crate) straightened: Straightened,
    pub(crate) seen: SeenRings,
    /// How well the rings around it agree, 0 to 1.
    agreed: f64,
}

/// Where the pith may be, and how far off that may be.
type Guess = (Point, Px);

/// Two guesses of the pith must lie this share of the photo apart to be both tried.
const APART: f64 = 0.01;
/// Chance from which the scene's pith is taken without trying others.
const SURE: f32 = 0.85;
/// Chance from which the scene's pith is a guess worth trying.
const LEAST_CHANCE: f32 = 0.1;
/// Share of the photo under which what looks like a face is none.
const LEAST_FACE: f64 = 0.004;

/// Steps in a usual ring, and in the narrowest tenth of the face, with which
/// rings are read as well as in more.
const USUAL_STEPS: f32 = 6.5;
const NARROW_STEPS: f32 = 4.5;
/// Clarity under which more steps may show what is not seen.
const CLEAR: f64 = 0.6;

/// Clarity at first under which a face is read several times, in steps so many
/// times as long: where little is clear, how the samples happen to fall decides
/// on single rings. A cracked real face (27 by hand), turned, mirrored and made
/// smaller in eight ways, was counted 27 to 37; by the middle of five counts,
/// 27 to 29 and once 31.
const UNCLEAR: f64 = 0.45;
const OTHER_STEPS: [f64; 4] = [1.05, 1.1, 1.16, 1.22];

/// Where rings tell their centre, from and to these shares of the wood. The
/// rings next to a pith that was missed run around what was taken for it; those
/// farther out still run around the true one, but trees grow askew: from afar
/// the way is found, from near the place.
const CENTRES: [(f64, f64); 3] = [(0.1, 0.35), (0.05, 0.2), (0.03, 0.1)];
/// A pith that lies closer to the centre of the rings stays where it is, as a
/// share of the usual ring spacing.
const LEAST_MOVE: f64 = 0.15;
/// Share of the circle on which inner rings must be seen to have a centre.
const CLOSED: f32 = 0.7;

/// Share of a reading's time after which the first guess of the pith is tried,
/// and after which one is chosen (measured at 12 megapixels, rounded).
const BEGUN: f32 = 0.15;
pub(crate) const STARTED: f32 = 0.4;

/// Bark marks that lie outside what is taken for the face: they tell that it
/// is larger.
pub(crate) fn far_marks(scene: &SeenScene, bark: &[Point]) -> bool {
    scene.share() >= LEAST_FACE && bark.iter().any(|mark| !scene.is_near(*mark))
}

/// Unrolls and straightens around each guess of the pith, and around the centre
/// of the rings that come of it, and keeps the one around which they agree best.
/// Nothing is read under what is `covered`.
pub(crate) fn start(
    asked: &Asked<'_>,
    whole: Whole,
    params: &StraightenParams,
) -> Result<Start, BrokenOff> {
    let Asked {
        face,
        marks,
        covered,
        watch,
        ..
    } = *asked;
    let (height, width) = face.lightness.dim();
    let longest = width.max(height) as f64;
    tell(watch, BEGUN)?;
    let Whole { directions, scene } = whole;
    let no_face = scene.share() < LEAST_FACE;
    let on_face = |place: Point| no_face || scene.is_near(place);
    let covered: Vec<Area<'_>> = covered.iter().map(|area| Area::of(area)).collect();
    let larger = far_marks(&scene, &marks.bark);
    let begin = |(at, uncertainty_px): Guess, fineness: Fineness| {
        let rim = larger.then(|| Rim::around(at, &marks.bark));
        let within = |place: Point| rim.as_ref().is_some_and(|rim| rim.holds(place));
        let unreadable = |place: Point| {
            !(on_face(place) || within(place)) || covered.iter().any(|area| area.holds(place))
        };
        let reach = (!no_face).then(|| {
            let marked = rim.as_ref().map_or(0.0, Rim::farthest_px);
            Px(scene.reach_from(at).0.max(marked))
        });
        let unrolled = unroll(face, at, reach, fineness, &unreadable);
        let straightened = straighten(&unrolled, &directions, params);
        let seen = see_rings(&strip(face, &unrolled, &straightened), 1);
        Begun {
            at,
            uncertainty_px,
            agreed: seen.agreement_inside(),
            unrolled,
            straightened,
            seen,
        }
    };
    let (surest, others) = match marks.pith {
        Some(at) => ((at, Px(2.0)), Vec::new()),
        None => guesses(face, &directions, &scene, APART * longest),
    };
    let unsure = marks.pith.is_none() && scene.pith.1 <= SURE;
    let centres = if unsure { &CENTRES[..] } else { &[] };
    let part = (STARTED - BEGUN) / (1 + others.len() + centres.len()) as f32;
    let mut best = begin(surest, Fineness::COARSE);
    let mut tried = 1;
    tell(watch, BEGUN + part)?;
    let mut also = |best: &mut Begun, guess: Guess| {
        let begun = begin(guess, Fineness::COARSE);
        if begun.agreed >= best.agreed {
            *best = begun;
        }
        tried += 1;
        tell(watch, BEGUN + part * tried as f32)
    };
    for guess in others {
        also(&mut best, guess)?;
    }
    for inner in centres {
        if let Some(guess) = best.centre(*inner) {
            also(&mut best, guess)?;
        }
    }
    if let Some(finer) = best.needs_finer() {
        best = begin((best.at, best.uncertainty_px), finer);
    }
    let (at, step_px) = (best.at, best.unrolled.step_px);
    let guess = (at, best.uncertainty_px);
    let unclear = best.seen.clarity() < UNCLEAR;
    let mut begun = vec![best];
    if unclear {
        begun.extend(OTHER_STEPS.map(|times| {
            let step = Px(times * step_px);
            begin(
                guess,
                Fineness {
                    step,
                    ..Fineness::FULL
                },
            )
        }));
    }
    Ok(Start {
        misfit: misfit_at(&directions, at, &on_face),
        begun,
        scene,
    })
}

/// The guesses of the pith worth trying: the surest, and others apart from it.
fn guesses(
    face: &Face,
    directions: &Directions,
    scene: &SeenScene,
    apart_px: f64,
) -> (Guess, Vec<Guess>) {
    let seen = (scene.pith.0, Px(0.3 * scene.cell_px));
    if scene.pith.1 > SURE {
        return (seen, Vec::new());
    }
    let (height, width) = face.lightness.dim();
    let voted = find_pith(
        directions,
        width as f64,
        height as f64,
        &PithParams::default(),
    );
    let met = (voted.at, voted.uncertainty_px);
    let (surest, mut rest) = if scene.pith.1 > LEAST_CHANCE {
        (seen, vec![met])
    } else {
        (met, Vec::new())
    };
    rest.extend(scene.meeting);
    rest.push((voted.from_afar, voted.uncertainty_px));
    let mut others: Vec<Guess> = Vec::new();
    for guess in rest {
        let mut known = std::iter::once(&surest).chain(&others);
        if known.all(|(other, _)| other.distance(guess.0).0 > apart_px) {
            others.push(guess);
        }
    }
    (surest, others)
}

impl Begun {
    /// How finely it is to be unrolled anew, where its rings are unclear or the
    /// narrower of them too few steps wide to be seen and followed.
    fn needs_finer(&self) -> Option<Fineness> {
        let mut widths: Vec<f32> = self.seen.spacing[..self.seen.last_wood()].to_vec();
        widths.sort_by(f32::total_cmp);
        let narrow = widths.get(widths.len() / 10).copied().unwrap_or(0.0);
        let usual = self.seen.usual_spacing();
        let step_px = self.unrolled.step_px as f32;
        // With `each` 1 in steps as they are, with pixels a step in steps of a pixel.
        let few = |each: f32| usual * each < USUAL_STEPS || narrow * each < NARROW_STEPS;
        if few(step_px) {
            Some(Fineness::FINEST)
        } else {
            let unclear = self.seen.clarity() < CLEAR;
            (step_px > 1.0 && (unclear || few(1.0))).then_some(Fineness::FULL)
        }
    }

    /// The centre of some inner rings, where it lies apart from the pith that
    /// was tried: of the outlines of some courses, from and to these shares of
    /// the wood, the mean centre of gravity. `None` where too little is seen.
    fn centre(&self, (from, to): (f64, f64)) -> Option<Guess> {
        const COURSES: usize = 16;
        const EVERY: usize = 8;
        let Self {
            unrolled,
            straightened,
            seen,
            ..
        } = self;
        let wood = seen.last_wood() as f64;
        let (mut x, mut y) = (0.0, 0.0);
        for nth in 0..COURSES {
            let course = wood * (from + (to - from) * nth as f64 / (COURSES - 1) as f64);
            let column = (course as usize).min(straightened.seen.ncols() - 1);
            let shown = straightened.seen.column(column);
            if shown.sum() < CLOSED * shown.len() as f32 {
                return None;
            }
            let outline: Vec<Point> = (0..unrolled.angles())
                .step_by(EVERY)
                .map(|row| straightened.place(unrolled, row, course))
                .collect();
            let centre = centre_of_gravity(&outline)?;
            x += centre.x_px / COURSES as f64;
            y += centre.y_px / COURSES as f64;
        }
        let centre = Point::new(x, y);
        let least = LEAST_MOVE * f64::from(seen.usual_spacing()) * unrolled.step_px;
        (centre.distance(self.at).0 > least).then_some((centre, self.uncertainty_px))
    }
}

/// The centre of gravity of the area within an outline; `None` without an area.
fn centre_of_gravity(outline: &[Point]) -> Option<Point> {
    let first = *outline.first()?;
    let (mut area, mut x, mut y) = (0.0, 0.0, 0.0);
    for (a, b) in outline.iter().zip(outline.iter().cycle().skip(1)) {
        let (ax, ay) = (a.x_px - first.x_px, a.y_px - first.y_px);
        let (bx, by) = (b.x_px - first.x_px, b.y_px - first.y_px);
        let twice = ax * by - bx * ay;
        area += twice;
        x += twice * (ax + bx) / 3.0;
        y += twice * (ay + by) / 3.0;
    }
    (area.abs() > 1e-9).then(|| Point::new(first.x_px + x / area, first.y_px + y / area))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rings_tell_where_a_pith_that_was_missed_lies() {
        let recipe = practice::Recipe {
            seed: 11,
            rings: 40,
            width_px: 700,
            height_px: 700,
            radius_share: 0.85,
            ..practice::Recipe::default()
        };
        let made = practice::render(&recipe);
        let bytes = practice::jpeg(&made.rgb, 92);
        let face = photo::open(&bytes, &photo::Limits::default()).unwrap();
        let pith = Point::from(made.truth.pith);
        let at = Point::new(pith.x_px + 18.0, pith.y_px - 12.0);
        let unrolled = unroll(&face, at, Some(Px(320.0)), Fineness::FULL, &|_| false);
        let directions = Directions::of(&face.lightness);
        let straightened = straighten(&unrolled, &directions, &StraightenParams::default());
        let seen = see_rings(&strip(&face, &unrolled, &straightened), 1);
        let begun = Begun {
            at,
            uncertainty_px: Px(20.0),
            agreed: seen.agreement_inside(),
            unrolled,
            straightened,
            seen,
        };
        let (centre, _) = begun.centre((0.1, 0.35)).unwrap();
        let off = centre.distance(pith).0;
        assert!(off < 7.0, "{off:.1} px off, 21.6 before");
    }

    #[test]
    fn the_centre_of_gravity_of_a_square_is_its_middle_and_a_line_has_none() {
        let square = [(2.0, 1.0), (4.0, 1.0), (4.0, 3.0), (2.0, 3.0)];
        let outline: Vec<Point> = square.iter().map(|&(x, y)| Point::new(x, y)).collect();
        let centre = centre_of_gravity(&outline).unwrap();
        assert!(centre.distance(Point::new(3.0, 2.0)).0 < 1e-9);
        assert!(centre_of_gravity(&outline[..2]).is_none());
        assert!(centre_of_gravity(&[]).is_none());
    }
}
