//! Where to begin: the face, and the pith around which its rings run most level.

use crate::follow::Asked;
use crate::marked::Rim;
use crate::under::Area;
use crate::watch::{BrokenOff, tell};
use photo::Face;
use profile::{
    Directions, PithParams, StraightenParams, Straightened, Unrolled, find_pith, misfit_at,
    straighten, unroll,
};
use sight::{SeenRings, SeenScene, see_rings, see_scene, strip};
use wood::{Point, Px};

/// A face unrolled around its pith, and what is seen in it at first.
pub(crate) struct Start {
    pub(crate) pith: Point,
    pub(crate) uncertainty_px: Px,
    /// Share of ring direction on the face that does not point at the pith, 0 to 1.
    pub(crate) misfit: f64,
    pub(crate) unrolled: Unrolled,
    pub(crate) straightened: Straightened,
    pub(crate) seen: SeenRings,
    pub(crate) scene: SeenScene,
}

/// Two guesses of the pith must lie this share of the photo apart to be both tried.
const APART: f64 = 0.01;
/// Chance from which the scene's pith is taken without trying others.
const SURE: f32 = 0.85;
/// Chance from which the scene's pith is a guess worth trying.
const LEAST_CHANCE: f32 = 0.1;
/// Share of the photo under which what looks like a face is none.
const LEAST_FACE: f64 = 0.004;

/// Share of a reading's time after which the first guess of the pith is tried,
/// and after which one is chosen (measured at 12 megapixels, rounded).
const BEGUN: f32 = 0.15;
pub(crate) const STARTED: f32 = 0.4;

/// Bark marks that lie outside what is taken for the face: they tell that it
/// is larger.
pub(crate) fn far_marks(scene: &SeenScene, bark: &[Point]) -> bool {
    scene.share() >= LEAST_FACE && bark.iter().any(|mark| !scene.is_near(*mark))
}

/// Unrolls and straightens around each guess of the pith and keeps the one
/// around which the rings agree best. Nothing is read under what is `covered`.
pub(crate) fn start(asked: &Asked<'_>, params: &StraightenParams) -> Result<Start, BrokenOff> {
    let Asked {
        face,
        marks,
        covered,
        watch,
        ..
    } = *asked;
    let (height, width) = face.lightness.dim();
    let longest = width.max(height) as f64;
    let directions = Directions::of(&face.lightness);
    tell(watch, 0.05)?;
    let scene = see_scene(face);
    tell(watch, BEGUN)?;
    let no_face = scene.share() < LEAST_FACE;
    let on_face = |place: Point| no_face || scene.is_near(place);
    let covered: Vec<Area<'_>> = covered.iter().map(|area| Area::of(area)).collect();
    let larger = far_marks(&scene, &marks.bark);
    let begin = |at: Point, uncertainty_px: Px| {
        let rim = larger.then(|| Rim::around(at, &marks.bark));
        let within = |place: Point| rim.as_ref().is_some_and(|rim| rim.holds(place));
        let unreadable = |place: Point| {
            !(on_face(place) || within(place)) || covered.iter().any(|area| area.holds(place))
        };
        let reach = (!no_face).then(|| {
            let marked = rim.as_ref().map_or(0.0, Rim::farthest_px);
            Px(scene.reach_from(at).0.max(marked))
        });
        let unrolled = unroll(face, at, reach, &unreadable);
        let straightened = straighten(&unrolled, &directions, params);
        let seen = see_rings(&strip(face, &unrolled, &straightened), 1);
        (at, uncertainty_px, unrolled, straightened, seen)
    };
    let guesses = match marks.pith {
        Some(at) => vec![(at, Px(2.0))],
        None => guesses(face, &directions, &scene, APART * longest),
    };
    let part = (STARTED - BEGUN) / guesses.len().max(1) as f32;
    let mut best = None;
    let mut agreed = f64::NEG_INFINITY;
    for (nth, (at, uncertainty)) in guesses.into_iter().enumerate() {
        let begun = begin(at, uncertainty);
        let agreement = begun.4.agreement_inside();
        if best.is_none() || agreement >= agreed {
            (best, agreed) = (Some(begun), agreement);
        }
        tell(watch, BEGUN + part * (nth + 1) as f32)?;
    }
    let middle = Point::new(width as f64 / 2.0, height as f64 / 2.0);
    let (pith, uncertainty_px, unrolled, straightened, seen) =
        best.unwrap_or_else(|| begin(middle, Px(longest)));
    Ok(Start {
        pith,
        uncertainty_px,
        misfit: misfit_at(&directions, pith, &on_face),
        unrolled,
        straightened,
        seen,
        scene,
    })
}

/// The guesses of the pith worth trying, the surest first.
fn guesses(
    face: &Face,
    directions: &Directions,
    scene: &SeenScene,
    apart_px: f64,
) -> Vec<(Point, Px)> {
    let seen = (scene.pith.0, Px(0.3 * scene.cell_px));
    if scene.pith.1 > SURE {
        return vec![seen];
    }
    let (height, width) = face.lightness.dim();
    let voted = find_pith(
        directions,
        width as f64,
        height as f64,
        &PithParams::default(),
    );
    let mut all = vec![(voted.at, voted.uncertainty_px)];
    if scene.pith.1 > LEAST_CHANCE {
        all.insert(0, seen);
    }
    all.extend(scene.meeting);
    all.push((voted.from_afar, voted.uncertainty_px));
    let mut apart: Vec<(Point, Px)> = Vec::new();
    for (at, uncertainty) in all {
        if apart
            .iter()
            .all(|(other, _)| other.distance(at).0 > apart_px)
        {
            apart.push((at, uncertainty));
        }
    }
    apart
}
