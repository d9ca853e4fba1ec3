//! Reading a face again after a mark, keeping what the mark does not change.

use crate::complete::{blank, complete, refused};
use crate::counted::counted;
use crate::first_pass::{Inputs, Overview};
use crate::strip_view::{self, StripView};
use crate::trace::trace;
use crate::traced::TracedFace;
use crate::unmarked::{Bounds, UnmarkedFace};
use crate::watch::{BrokenOff, UNWATCHED, Watch};
use crate::wood_class::given_class;
use crate::{by_hand, card, marked, refuse, strip_search};
use photo::{Face, FoundCard};
use profile::BarkEdge;
use std::sync::Arc;
use wood::{Facts, Marks, Point, Reading, Refusal, Strip, WoodClass};

/// One photo that is read again and again while a person marks it. It holds what marks
/// do not change: the rings, straightened, and what the network made of each place. Facts and marks on rings, the tape, the
/// bark edge and unreadable parts only need the steps after that. A new pith
/// needs them all, and so does a bark mark far outside what was taken for the
/// face.
#[derive(Debug)]
pub struct ReadingSession {
    stage: Stage,
    /// What the photo shows whatever is marked; `None` where it cannot be read.
    overview: Option<Arc<Overview>>,
    /// The scale card in the photo, where it was looked for.
    card: Option<FoundCard>,
    /// Whether a person had given the scale, so that no card was looked for.
    measured: bool,
    pith: Option<Point>,
    bark: Vec<Point>,
    strip: Option<Strip>,
}

#[derive(Debug)]
enum Stage {
    /// The photo itself cannot be read, whatever is marked.
    Refused(Refusal),
    Traced(Box<Tracing>),
}

#[derive(Debug)]
struct Tracing {
    traced: TracedFace,
    unmarked: UnmarkedFace,
    /// The marks of bark edge and unreadable parts that are put on.
    bark_marks: Vec<Point>,
    unreadable: Vec<Vec<Point>>,
    /// The wood class that the person gave.
    given: Option<WoodClass>,
    /// The edge, its course and the last course as they are with these: marks
    /// on rings may push them out, and taking the mark back must undo that.
    edge: BarkEdge,
    bark: Option<f64>,
    to: f64,
    /// The strip that is read in place of an unclear face.
    plain_strip: Option<Strip>,
}

impl ReadingSession {
    /// Traces the rings of a face: the long part of a reading.
    #[must_use]
    pub fn new(face: &Face, facts: &Facts, marks: &Marks) -> Self {
        Self::unwatched(face, facts, marks, None)
    }

    fn unwatched(face: &Face, facts: &Facts, marks: &Marks, before: Option<&Self>) -> Self {
        Self::begun(face, facts, marks, UNWATCHED, before)
            .unwrap_or_else(|BrokenOff| unreachable!("nobody watches, so nobody breaks it off"))
    }

    /// As [`ReadingSession::new`], reporting how far it is.
    ///
    /// # Errors
    /// [`BrokenOff`] when whoever watches breaks it off.
    pub fn watched(
        face: &Face,
        facts: &Facts,
        marks: &Marks,
        watch: Watch<'_>,
    ) -> Result<Self, BrokenOff> {
        Self::begun(face, facts, marks, watch, None)
    }

    /// As [`ReadingSession::watched`] of the face that this was made from, without looking
    /// again for what no mark changes.
    ///
    /// # Errors
    /// [`BrokenOff`] when whoever watches breaks it off.
    pub fn again(
        &self,
        face: &Face,
        facts: &Facts,
        marks: &Marks,
        watch: Watch<'_>,
    ) -> Result<Self, BrokenOff> {
        Self::begun(face, facts, marks, watch, Some(self))
    }

    fn begun(
        face: &Face,
        facts: &Facts,
        marks: &Marks,
        watch: Watch<'_>,
        before: Option<&Self>,
    ) -> Result<Self, BrokenOff> {
        let known = before.and_then(|before| before.overview.clone());
        let card_of = || match before {
            Some(before) if !before.measured && !card::measured(facts, marks) => {
                before.card.clone()
            }
            _ => card::card(face, facts, marks),
        };
        let (card, overview, stage) = match refuse::before(face) {
            Some(refusal) => (None, None, Stage::Refused(refusal)),
            None => {
                let (card, overview) = rayon::join(card_of, || {
                    known.unwrap_or_else(|| Arc::new(Overview::of(face)))
                });
                let all = card::marks_with(card.as_ref(), face, facts, marks);
                let covered = card::covered(card.as_ref());
                let inputs = Inputs {
                    face,
                    facts,
                    marks: &all,
                    covered: &covered,
                    known_pith: None,
                    watch,
                };
                let (traced, unmarked) = trace(&inputs, &overview)?;
                let plainer = strip_search::plainer(&inputs, &overview, &traced)?;
                let (traced, unmarked, plain_strip) = match plainer {
                    Some((traced, unmarked, strip)) => (traced, unmarked, Some(strip)),
                    None => (traced, unmarked, None),
                };
                let tracing = Tracing {
                    bark_marks: marks.bark.clone(),
                    unreadable: marks.unreadable.clone(),
                    given: given_class(facts),
                    edge: traced.edge.clone(),
                    bark: traced.bark,
                    to: traced.to,
                    traced,
                    unmarked,
                    plain_strip,
                };
                (card, Some(overview), Stage::Traced(Box::new(tracing)))
            }
        };
        Ok(Self {
            stage,
            overview,
            card,
            measured: card::measured(facts, marks),
            pith: marks.pith,
            bark: marks.bark.clone(),
            strip: marks.strip.clone(),
        })
    }

    /// Whether these facts and marks leave the straightened rings as they are,
    /// so that reading again is quick.
    #[must_use]
    pub fn fits(&self, facts: &Facts, marks: &Marks) -> bool {
        let measured = card::measured(facts, marks);
        // Where no card was looked for there may be one; a card that a tape
        // sets aside is wood again.
        let same_card = if self.measured {
            measured
        } else {
            self.card.is_none() || !measured
        };
        same_card
            && self.pith == marks.pith
            && self.same_strip(marks)
            && match &self.stage {
                Stage::Refused(_) => true,
                Stage::Traced(tracing) => {
                    let larger = |bark| tracing.unmarked.is_larger(bark);
                    self.bark == marks.bark || !(larger(&self.bark) || larger(&marks.bark))
                }
            }
    }

    /// Whether the same part of the photo is looked at.
    fn same_strip(&self, marks: &Marks) -> bool {
        match (&self.strip, &marks.strip) {
            (Some(before), Some(now)) => before.covers_same(now),
            (before, now) => before.is_none() && now.is_none(),
        }
    }

    /// What the steps left behind at the last reading; `None` where the photo
    /// itself cannot be read.
    #[must_use]
    pub fn traced(&self) -> Option<&TracedFace> {
        match &self.stage {
            Stage::Refused(_) => None,
            Stage::Traced(tracing) => Some(&tracing.traced),
        }
    }

    /// What the program sees along the marked strip, as of the last reading; `None`
    /// without a strip, or where the photo itself cannot be read.
    #[must_use]
    pub fn strip_view(&self) -> Option<StripView> {
        let traced = self.traced()?;
        Some(strip_view::view(traced.strip.as_ref()?, traced))
    }

    /// The same reading as [`crate::read`] gives, of the face that this was
    /// made from.
    pub fn read(&mut self, file: &str, face: &Face, facts: &Facts, marks: &Marks) -> Reading {
        if !self.fits(facts, marks) {
            *self = Self::unwatched(face, facts, marks, Some(self));
        }
        let blank = blank(file, face);
        let card = self.card.as_ref();
        let mut marks = card::marks_with(card, face, facts, marks);
        if let (Stage::Traced(tracing), None) = (&self.stage, &marks.strip) {
            marks.strip.clone_from(&tracing.plain_strip);
        }
        let marks = &marks;
        if let Stage::Traced(tracing) = &mut self.stage {
            tracing.put_on(facts, marks);
            marked::decide(&mut tracing.traced, facts, marks);
        }
        if let Some(strip) = marks.strip.as_ref().filter(|strip| strip.by_hand) {
            let scene = match &self.stage {
                Stage::Refused(_) => None,
                Stage::Traced(tracing) => Some(tracing.unmarked.scene()),
            };
            return match by_hand::counted(face, facts, marks, strip, scene) {
                Some(counted) => complete(blank, facts, marks, counted, None, card),
                None => refused(blank, by_hand::nothing_set()),
            };
        }
        match &self.stage {
            Stage::Refused(refusal) => refused(blank, refusal.clone()),
            Stage::Traced(tracing) => {
                let traced = &tracing.traced;
                match refuse::after(face, traced, marks) {
                    Some(refusal) => refused(blank, refusal),
                    None => {
                        let counted = counted(face, facts, marks, traced);
                        complete(blank, facts, marks, counted, Some(traced), card)
                    }
                }
            }
        }
    }
}

impl Tracing {
    /// Puts on the marks of bark edge and unreadable parts, and takes off what
    /// marks on rings moved.
    fn put_on(&mut self, facts: &Facts, marks: &Marks) {
        let traced = &mut self.traced;
        let given = given_class(facts);
        let painted = self.unreadable != marks.unreadable || self.given != given;
        if painted || self.bark_marks != marks.bark {
            let straightened = &mut traced.straightened;
            self.unmarked
                .hide(&marks.unreadable, &traced.unrolled, straightened);
            if painted {
                traced.seen = self.unmarked.rings(&marks.unreadable, given, straightened);
            }
            let Bounds {
                edge,
                bark,
                to,
                profile,
            } = self.unmarked.bounds(
                marks,
                &traced.seen,
                &traced.unrolled,
                straightened,
                &traced.level,
            );
            (self.edge, self.bark, self.to) = (edge, bark, to);
            traced.profile = profile;
            self.bark_marks.clone_from(&marks.bark);
            self.unreadable.clone_from(&marks.unreadable);
            self.given = given;
        }
        traced.edge.clone_from(&self.edge);
        traced.bark = self.bark;
        traced.to = self.to;
    }
}
