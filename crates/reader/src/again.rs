//! Reading a face again after a mark, keeping what the mark does not change.

use crate::follow::{Followed, follow};
use crate::{blank, card, complete, marked, refuse, refused};
use photo::{Face, FoundCard};
use profile::BarkEdge;
use wood::{Facts, Marks, Point, Reading, Refusal};

/// What is kept of a face between two readings: its rings, straightened. A
/// mark on a ring, the tape and every fact only need the steps after that; a
/// new pith, bark edge or unreadable part needs them all.
#[derive(Debug)]
pub struct Kept {
    stage: Stage,
    /// The scale card in the photo, where it was looked for.
    card: Option<FoundCard>,
    /// Whether a person had given the scale, so that no card was looked for.
    measured: bool,
    pith: Option<Point>,
    bark: Vec<Point>,
    unreadable: Vec<Vec<Point>>,
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
    /// The edge, its course and the last course as they were found: marks on
    /// rings may push them out, and taking the mark back must undo that.
    edge: BarkEdge,
    bark: Option<f64>,
    to: f64,
}

impl Kept {
    /// Follows the rings of a face: the long part of a reading.
    #[must_use]
    pub fn new(face: &Face, facts: &Facts, marks: &Marks) -> Self {
        let card = card::card(face, facts, marks);
        let all = card::marks_with(card.as_ref(), face, facts, marks);
        let stage = match refuse::before(face) {
            Some(refusal) => Stage::Refused(refusal),
            None => {
                // Marks on rings are put on later, so that the edge stays as found.
                let bare = Marks {
                    rings: Vec::new(),
                    joined: Vec::new(),
                    ..all
                };
                let followed = follow(face, facts, &bare);
                Stage::Followed(Box::new(Levelled {
                    edge: followed.edge.clone(),
                    bark: followed.bark,
                    to: followed.to,
                    followed,
                }))
            }
        };
        Self {
            stage,
            card,
            measured: card::measured(facts, marks),
            pith: marks.pith,
            bark: marks.bark.clone(),
            unreadable: marks.unreadable.clone(),
        }
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
            && self.bark == marks.bark
            && self.unreadable == marks.unreadable
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
                let followed = &mut levelled.followed;
                followed.edge.clone_from(&levelled.edge);
                followed.bark = levelled.bark;
                followed.to = levelled.to;
                marked::decide(followed, facts, marks);
                match refuse::after(face, followed, marks) {
                    Some(refusal) => refused(blank, refusal),
                    None => complete(blank, face, facts, marks, followed, self.card.as_ref()),
                }
            }
        }
    }
}
