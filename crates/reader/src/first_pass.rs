//! Where to begin: the face, and the pith around which its rings run most level.

use crate::bark_marks::MarkedBark;
use crate::strips;
use crate::watch::{BrokenOff, Watch, report_progress};
use photo::Face;
use profile::{
    Directions, Fineness, PithParams, Span, StraightenParams, Straightened, Unrolled, find_pith,
    misfit_at, straighten, unroll,
};
use sight::{SeenRings, SeenScene, clarity, see_rings, see_scene, strip};
use wood::{Facts, Marks, Point, Polygon, Px};

/// What is asked of the long part of a reading.
#[derive(Clone, Copy)]
pub(crate) struct Inputs<'a> {
    pub(crate) face: &'a Face,
    pub(crate) facts: &'a Facts,
    pub(crate) marks: &'a Marks,
    /// What is not looked at: a scale card.
    pub(crate) covered: &'a [Vec<Point>],
    /// Where the pith was found when the whole face was looked at.
    pub(crate) known_pith: Option<Guess>,
    pub(crate) watch: Watch<'a>,
}

/// What the photo shows before anything is unrolled.
#[derive(Debug)]
pub(crate) struct Overview {
    directions: Directions,
    pub(crate) scene: SeenScene,
}

impl Overview {
    pub(crate) fn of(face: &Face) -> Self {
        let (directions, scene) =
            rayon::join(|| Directions::of(&face.lightness), || see_scene(face));
        Self { directions, scene }
    }
}

/// The face in a photo, ready to be unrolled around any place.
pub(crate) struct PithSearch<'a> {
    face: &'a Face,
    marks: &'a Marks,
    known_pith: Option<Guess>,
    params: &'a StraightenParams,
    directions: &'a Directions,
    pub(crate) scene: &'a SeenScene,
    covered: Vec<Polygon>,
    /// Nothing in the photo looks like a face: all of it is read.
    no_face: bool,
    /// Bark is marked outside what looks like the face.
    larger: bool,
}

/// A face unrolled around one guess of the pith.
pub(crate) struct FirstPass {
    pub(crate) guess: Guess,
    pub(crate) unrolled: Unrolled,
    pub(crate) straightened: Straightened,
    pub(crate) seen: SeenRings,
}

/// Where the pith may be, and how far off that may be.
pub(crate) type Guess = (Point, Px);

/// Two guesses of the pith must lie this share of the photo apart to be both tried.
/// Chosen: closer ones give the same rings.
const APART: f64 = 0.01;
/// Chance from which the scene's pith is taken without trying others. Of 480
/// practice faces (seeds 301 to 600 and 1001 to 1100, 80 of them rough) five have
/// a lower one, and all of these lie far off; of the others, two lie more than 2 %
/// of the radius off.
const SURE: f32 = 0.5;
/// Chance from which the scene's pith is a guess worth trying. Chosen: below it the
/// network sees no pith, and other guesses go first.
const LEAST_CHANCE: f32 = 0.1;
/// Share of the photo under which what looks like a face is none. Chosen: in a photo of
/// four megapixels a face of 70 pixels radius, the smallest that is read.
const LEAST_FACE: f64 = 0.004;

/// Steps in a usual ring with which rings are read as well as in more. Chosen on drawn
/// faces (2026-11-26); the network was shown rings of three steps and more.
const USUAL_STEPS: f32 = 6.5;
/// The same for the narrowest tenth of the face (chosen likewise).
const NARROW_STEPS: f32 = 4.5;

/// Share of a reading's time after which the first guess of the pith is tried,
/// and after which one is chosen (measured at 12 megapixels, rounded).
const BEGUN: f32 = 0.15;
/// Share of a reading's time after which the first pass is done (measured at 12
/// megapixels, rounded).
pub(crate) const STARTED: f32 = 0.4;

/// Whether bark is marked outside what looks like the face, which then is larger.
pub(crate) fn far_marks(scene: &SeenScene, bark: &[Point]) -> bool {
    scene.share() >= LEAST_FACE && bark.iter().any(|mark| !scene.is_near(*mark))
}

impl<'a> PithSearch<'a> {
    /// Nothing is read under what is covered.
    pub(crate) fn of(
        inputs: Inputs<'a>,
        whole: &'a Overview,
        params: &'a StraightenParams,
    ) -> Self {
        let Overview { directions, scene } = whole;
        let Inputs { face, marks, .. } = inputs;
        Self {
            face,
            marks,
            known_pith: inputs.known_pith,
            covered: inputs.covered.iter().cloned().map(Polygon::new).collect(),
            no_face: scene.share() < LEAST_FACE,
            larger: far_marks(scene, &marks.bark),
            params,
            directions,
            scene,
        }
    }

    fn on_face(&self, place: Point) -> bool {
        self.no_face || self.scene.is_near(place)
    }

    /// Share of ring direction on the face that does not point at a pith, 0 to 1.
    pub(crate) fn misfit(&self, pith: Point) -> f64 {
        misfit_at(self.directions, pith, &|place| self.on_face(place))
    }

    /// Unrolls and straightens around each guess of the pith and keeps the one
    /// around which the rings agree best.
    pub(crate) fn start(&self, watch: Watch<'_>) -> Result<FirstPass, BrokenOff> {
        report_progress(watch, BEGUN)?;
        let (surest, others) = match (self.marks.pith, self.known_pith, &self.marks.strip) {
            (Some(at), ..) => ((at, Px(2.0)), Vec::new()),
            (None, Some(known), _) => (known, Vec::new()),
            (None, None, Some(strip)) => (strips::pith(strip, self.scene), Vec::new()),
            (None, None, None) => guesses(self.face, self.directions, self.scene),
        };
        let part = (STARTED - BEGUN) / (1 + others.len()) as f32;
        let mut best = self.begin(surest, Fineness::COARSE);
        report_progress(watch, BEGUN + part)?;
        for (nth, guess) in others.into_iter().enumerate() {
            let first = self.begin(guess, Fineness::COARSE);
            if first.seen.agreement_inside() >= best.seen.agreement_inside() {
                best = first;
            }
            report_progress(watch, BEGUN + part * (nth + 2) as f32)?;
        }
        if let Some(finer) = best.needs_finer() {
            best = self.begin(best.guess, finer);
        }
        Ok(best)
    }

    fn begin(&self, guess: Guess, fineness: Fineness) -> FirstPass {
        let (at, _) = guess;
        let rim = self
            .larger
            .then(|| MarkedBark::around(at, &self.marks.bark));
        let within = |place: Point| rim.as_ref().is_some_and(|rim| rim.holds(place));
        let unreadable = |place: Point| {
            let in_question = match &self.marks.strip {
                Some(strip) => strip.holds(place),
                None => self.on_face(place) || within(place),
            };
            !in_question || self.covered.iter().any(|area| area.holds(place))
        };
        let marked_strip = self.marks.strip.as_ref();
        let to_end = marked_strip.map(|strip| strip.reach_from(at));
        let to_face = || {
            (!self.no_face).then(|| {
                let marked = rim.as_ref().map_or(0.0, MarkedBark::farthest_px);
                Px(self.scene.reach_from(at).0.max(marked))
            })
        };
        let reach = to_end.or_else(to_face);
        let span = marked_strip.map_or(Span::CIRCLE, |strip| Span::along(strip, at));
        let unrolled = unroll(self.face, at, reach, span, fineness, &unreadable);
        let straightened = straighten(&unrolled, self.directions, self.params);
        let seen = see_rings(&strip(self.face, &unrolled, &straightened), 1);
        FirstPass {
            guess,
            unrolled,
            straightened,
            seen,
        }
    }
}

/// The guesses of the pith worth trying: the surest, and others apart from it.
fn guesses(face: &Face, directions: &Directions, scene: &SeenScene) -> (Guess, Vec<Guess>) {
    let seen = (scene.pith.0, Px(0.3 * scene.cell_px));
    if scene.pith.1 > SURE {
        return (seen, Vec::new());
    }
    let (width, height) = face.rgb.dimensions();
    let (width, height) = (f64::from(width), f64::from(height));
    let apart_px = APART * width.max(height);
    let voted = find_pith(directions, width, height, &PithParams::default());
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

impl FirstPass {
    /// In what steps to unroll it again, where its rings are unclear or the
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
            let unclear = self.seen.clarity() < clarity::RESOLVED;
            (step_px > 1.0 && (unclear || few(1.0))).then_some(Fineness::FULL)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pith_among_narrow_rings_is_found_from_close_by() {
        // Seen in the whole photo alone, the pith lay 4.4 % of the radius off.
        let recipe = practice::Recipe::random(302);
        let made = practice::render(&recipe);
        let bytes = practice::jpeg(&made.rgb, recipe.troubles.jpeg_quality);
        let face = photo::open(&bytes, &photo::Limits::default()).unwrap();
        let (found, _) = see_scene(&face).pith;
        let off = found.distance(Point::from(made.truth.pith)).0;
        let share = off / recipe.in_range().radius_px();
        assert!(share < 0.005, "{:.2} % of the radius off", 100.0 * share);
    }
}
