//! Reading a face again after a mark, keeping what the mark does not change.

use crate::follow::{Asked, Followed, given_class, level};
use crate::start::Whole;
use crate::under::{Bounds, Under};
use crate::watch::{BrokenOff, UNWATCHED, Watch};
use crate::{blank, card, complete, marked, refuse, refused};
use photo::{Face, FoundCard};
use profile::BarkEdge;
use wood::{Facts, Marks, Point, Reading, Refusal, WoodClass};

/// What is kept of a face between two readings: its rings, straightened, and
/// what the network made of each place. Facts and marks on rings, the tape, the
/// bark edge and unreadable parts only need the steps after that. A new pith
/// needs them all, and so does a bark mark far outside what was taken for the
/// face.
#[derive(Debug)]
pub struct Kept {
    stage: Stage,
    /// The scale card in the photo, where it was looked for.
    card: Option<FoundCard>,
    /// Whether a person had given the scale, so that no card was looked for.
    measured: bool,
    pith: Option<Point>,
    bark: Vec<Point>,
}

#[derive(Debug)]
enum Stage {
    /// The photo itself cannot be read, whatever is marked.
    Refused(Refusal),
    Followed(Box<Levelled>),
}

#[derive(Debug)]
struct Levelled {
    followed: Followed,
    under: Under,
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
}

impl Kept {
    /// Follows the rings of a face: the long part of a reading.
    #[must_use]
    pub fn new(face: &Face, facts: &Facts, marks: &Marks) -> Self {
        Self::watched(face, facts, marks, UNWATCHED)
            .unwrap_or_else(|BrokenOff| unreachable!("nobody watches, so nobody breaks it off"))
    }

    /// As [`Kept::new`], telling how far it is.
    ///
    /// # Errors
    /// [`BrokenOff`] when whoever watches breaks it off.
    pub fn watched(
        face: &Face,
        facts: &Facts,
        marks: &Marks,
        watch: Watch<'_>,
    ) -> Result<Self, BrokenOff> {
        let (card, stage) = match refuse::before(face) {
            Some(refusal) => (None, Stage::Refused(refusal)),
            None => {
                let (card, whole) =
                    rayon::join(|| card::card(face, facts, marks), || Whole::of(face));
                let all = card::marks_with(card.as_ref(), face, facts, marks);
                let covered = card::covered(card.as_ref());
                let asked = Asked {
                    face,
                    facts,
                    marks: &all,
                    covered: &covered,
                    watch,
                };
                let (followed, under) = level(&asked, whole)?;
                let levelled = Levelled {
                    bark_marks: marks.bark.clone(),
                    unreadable: marks.unreadable.clone(),
                    given: given_class(facts),
                    edge: followed.edge.clone(),
                    bark: followed.bark,
                    to: followed.to,
                    followed,
                    under,
                };
                (card, Stage::Followed(Box::new(levelled)))
            }
        };
        Ok(Self {
            stage,
            card,
            measured: card::measured(facts, marks),
            pith: marks.pith,
            bark: marks.bark.clone(),
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
            && match &self.stage {
                Stage::Refused(_) => true,
                Stage::Followed(levelled) => {
                    let larger = |bark| levelled.under.is_larger(bark);
                    self.bark == marks.bark || !(larger(&self.bark) || larger(&marks.bark))
                }
            }
    }

    /// What the steps left behind at the last reading; `None` where the photo
    /// itself cannot be read.
    #[must_use]
    pub fn followed(&self) -> Option<&Followed> {
        match &self.stage {
            Stage::Refused(_) => None,
            Stage::Followed(levelled) => Some(&levelled.followed),
        }
    }

    /// The same reading as [`crate::read`] gives, of the face that this was
    /// made from.
    pub fn read(&mut self, file: &str, face: &Face, facts: &Facts, marks: &Marks) -> Reading {
        if !self.fits(facts, marks) {
            *self = Self::new(face, facts, marks);
        }
        let blank = blank(file, face);
        let marks = &card::marks_with(self.card.as_ref(), face, facts, marks);
        match &mut self.stage {
            Stage::Refused(refusal) => refused(blank, refusal.clone()),
            Stage::Followed(levelled) => {
                levelled.put_on(facts, marks);
                let followed = &mut levelled.followed;
                marked::decide(followed, facts, marks);
                match refuse::after(face, followed, marks) {
                    Some(refusal) => refused(blank, refusal),
                    None => complete(blank, face, facts, marks, followed, self.card.as_ref()),
                }
            }
        }
    }
}

impl Levelled {
    /// Puts on the marks of bark edge and unreadable parts, and takes off what
    /// marks on rings moved.
    fn put_on(&mut self, facts: &Facts, marks: &Marks) {
        let followed = &mut self.followed;
        let given = given_class(facts);
        let painted = self.unreadable != marks.unreadable || self.given != given;
        if painted || self.bark_marks != marks.bark {
            let straightened = &mut followed.straightened;
            self.under
                .hide(&marks.unreadable, &followed.unrolled, straightened);
            if painted {
                followed.seen = self.under.rings(&marks.unreadable, given, straightened);
            }
            let Bounds {
                edge,
                bark,
                to,
                profile,
            } = self.under.bounds(
                marks,
                &followed.seen,
                &followed.unrolled,
                straightened,
                &followed.level,
            );
            (self.edge, self.bark, self.to) = (edge, bark, to);
            followed.profile = profile;
            self.bark_marks.clone_from(&marks.bark);
            self.unreadable.clone_from(&marks.unreadable);
            self.given = given;
        }
        followed.edge.clone_from(&self.edge);
        followed.bark = self.bark;
        followed.to = self.to;
    }
}
