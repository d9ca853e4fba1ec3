//! What a person does on the page, turned into facts and marks.
//!
//! Marks say where, never which number: numbers move when a ring is added.

use crate::fault::Fault;
use crate::history::Said;
use reader::Followed;
use serde::Deserialize;
use wood::{
    Facts, Hemisphere, Length, Marks, Mm, Point, Remembered, Ring, RingMark, RingMarkKind, Tape,
    WoodClass, Year,
};

/// One thing done on the page. Rings are told by their number at that time,
/// places in pixels of the upright photo.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(
    tag = "do",
    rename_all = "kebab-case",
    rename_all_fields = "kebab-case",
    deny_unknown_fields
)]
pub enum Edit {
    /// A year ends here.
    Add {
        /// A place on its boundary.
        at: Point,
    },
    /// This ring's outer boundary is no year's end.
    Remove {
        /// The ring's number.
        ring: u32,
    },
    /// This ring's outer boundary is one, whatever the doubt.
    Keep {
        /// The ring's number.
        ring: u32,
    },
    /// This ring is two: one more year ends within it.
    Split {
        /// The ring's number.
        ring: u32,
    },
    /// This ring's outer boundary lies elsewhere.
    Move {
        /// The ring's number.
        ring: u32,
        /// A place on the boundary as it should be.
        to: Point,
    },
    /// These lines are one ring, broken.
    Join {
        /// The ring's number.
        ring: u32,
        /// The number of the ring beside it.
        with: u32,
        /// Where the first one is right.
        at: Option<Point>,
        /// Where the second one is right.
        also: Option<Point>,
    },
    /// The pith lies here; nothing lets the program find it.
    Pith {
        /// Its place.
        at: Option<Point>,
    },
    /// The bark edge runs through here.
    Bark {
        /// A place on it.
        at: Point,
    },
    /// The bark edge is as the program found it.
    ClearBark,
    /// A length along the tape; without one, no tape.
    Tape {
        /// One end.
        from: Option<Point>,
        /// The other end.
        to: Option<Point>,
        /// What lies between, with its unit.
        length: Option<String>,
    },
    /// This part cannot be read.
    Unreadable {
        /// Its outline.
        area: Vec<Point>,
    },
    /// Every part can be read.
    ClearUnreadable,
    /// A fact is told, or taken back where there is no text.
    Fact {
        /// Which.
        name: FactName,
        /// As the person wrote it.
        text: String,
    },
    /// Something is remembered of a year; without text, it is forgotten.
    Remember {
        /// The year.
        year: i32,
        /// What happened.
        what: String,
    },
}

/// The facts that a person may tell.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum FactName {
    /// The common or Latin name of the species.
    Species,
    /// The wood class.
    Wood,
    /// The date of felling.
    Felled,
    /// `northern` or `southern`.
    Hemisphere,
    /// Height of the cut, with its unit.
    CutHeight,
    /// Mean width inside the bark, with its unit.
    Across,
    /// Radius of a hollow, with its unit.
    Hollow,
    /// Anything else.
    Note,
}

/// What an edit is made on.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ground<'a> {
    pub(crate) rings: &'a [Ring],
    pub(crate) followed: Option<&'a Followed>,
    pub(crate) size: (u32, u32),
}

/// What is said after an edit, and what was done, in a few words.
pub(crate) fn apply(
    edit: &Edit,
    ground: Ground<'_>,
    before: &Said,
) -> Result<(Said, String), Fault> {
    let mut said = before.clone();
    let marks = &mut said.marks;
    let what = match edit {
        Edit::Add { at } => {
            ground.place(*at)?;
            ground.add(marks, *at)?;
            "a ring added".to_owned()
        }
        Edit::Remove { ring } => {
            ground.remove(marks, *ring)?;
            format!("ring {ring} removed")
        }
        Edit::Keep { ring } => {
            let at = ground.on(*ring)?;
            if !ground.at_bark(*ring)? {
                ground.add(marks, at)?;
            }
            format!("ring {ring} kept")
        }
        Edit::Split { ring } => {
            let at = ground.within(*ring)?;
            ground.add(marks, at)?;
            format!("ring {ring} split")
        }
        Edit::Move { ring, to } => {
            ground.place(*to)?;
            ground.shift(marks, *ring, *to)?;
            format!("ring {ring} moved")
        }
        Edit::Join {
            ring,
            with,
            at,
            also,
        } => {
            ground.join(marks, (*ring, *with), (*at, *also))?;
            format!("rings {ring} and {with} joined")
        }
        Edit::Pith { at } => {
            if let Some(at) = at {
                ground.near(*at)?;
            }
            marks.pith = *at;
            match at {
                Some(_) => "the pith moved".to_owned(),
                None => "the pith left to the program".to_owned(),
            }
        }
        Edit::Bark { at } => {
            ground.place(*at)?;
            marks.bark.push(*at);
            "the bark edge moved".to_owned()
        }
        Edit::ClearBark => {
            marks.bark.clear();
            "the bark edge left to the program".to_owned()
        }
        Edit::Tape { from, to, length } => ground.tape(marks, (*from, *to), length.as_deref())?,
        Edit::Unreadable { area } => {
            if area.len() < 3 || area.len() > MOST_CORNERS {
                return Err(Fault::wrong(
                    format!("an outline of {} places is no part of the face", area.len()),
                    "paint over the part that cannot be read",
                ));
            }
            for place in area {
                ground.near(*place)?;
            }
            marks.unreadable.push(area.clone());
            "a part marked unreadable".to_owned()
        }
        Edit::ClearUnreadable => {
            marks.unreadable.clear();
            "every part readable".to_owned()
        }
        Edit::Fact { name, text } => tell(&mut said.facts, *name, text.trim())?,
        Edit::Remember { year, what } => remember(&mut said.facts, *year, what.trim())?,
    };
    Ok((said, what))
}

/// Corners of one outline; a brush makes some dozens.
const MOST_CORNERS: usize = 2000;
/// How near a mark must be to a ring's line to be that ring's, as a share of
/// the distance to the ring beside it.
const NEAR: f64 = 0.35;

impl Ground<'_> {
    fn followed(&self) -> Result<&Followed, Fault> {
        self.followed.ok_or_else(|| {
            Fault::wrong(
                "no rings were read on this face",
                "drag the pith to where it is, or take the photo again",
            )
        })
    }

    fn ring(&self, number: u32) -> Result<&Ring, Fault> {
        self.rings
            .iter()
            .find(|ring| ring.number == number)
            .ok_or_else(|| Fault::no_ring(number))
    }

    fn at_bark(&self, number: u32) -> Result<bool, Fault> {
        Ok(self.ring(number)?.notes.contains(&wood::RingNote::AtBark))
    }

    /// A place within the photo.
    fn place(&self, at: Point) -> Result<(), Fault> {
        let (width, height) = (f64::from(self.size.0), f64::from(self.size.1));
        let inside = |value: f64, size: f64| value.is_finite() && (0.0..=size).contains(&value);
        if inside(at.x_px, width) && inside(at.y_px, height) {
            Ok(())
        } else {
            Err(Fault::wrong(
                "that place is outside the photo",
                "mark a place on the face",
            ))
        }
    }

    /// A place within the photo or no further outside than a pith may be.
    fn near(&self, at: Point) -> Result<(), Fault> {
        /// In lengths of the photo's longer side; the same as on the command line.
        const OUTSIDE: f64 = 0.5;
        let longer = f64::from(self.size.0.max(self.size.1));
        let off = |value: f64, size: u32| (-value).max(value - f64::from(size)).max(0.0);
        let away = off(at.x_px, self.size.0).hypot(off(at.y_px, self.size.1));
        if at.x_px.is_finite() && at.y_px.is_finite() && away <= OUTSIDE * longer {
            Ok(())
        } else {
            Err(Fault::wrong(
                "that place is far off the face",
                "mark a place on the face or close beside it",
            ))
        }
    }

    fn course(&self, at: Point) -> Result<f64, Fault> {
        let followed = self.followed()?;
        let (row, radius) = followed.unrolled.locate(at);
        let row = (row.round() as usize) % followed.unrolled.angles();
        Ok(followed.straightened.course_at(row, radius as f32))
    }

    /// The courses of all rings, pith first.
    fn courses(&self) -> Result<Vec<f64>, Fault> {
        let list = &self.followed()?.boundaries.list;
        Ok(list.iter().map(|boundary| boundary.course).collect())
    }

    /// The inner and outer course of a ring.
    fn span(&self, number: u32) -> Result<(f64, f64), Fault> {
        self.ring(number)?;
        let courses = self.courses()?;
        let at = (number.max(1) - 1) as usize;
        let outer = courses.get(at).copied();
        let inner = match at.checked_sub(1) {
            Some(inner) => courses.get(inner).copied(),
            None => Some(self.followed()?.start),
        };
        match (inner, outer) {
            (Some(inner), Some(outer)) => Ok((inner, outer)),
            _ => Err(Fault::no_ring(number)),
        }
    }

    /// The distance between the rings on both sides of a course.
    fn gap(&self, course: f64) -> Result<f64, Fault> {
        let courses = self.courses()?;
        let outer = courses.iter().copied().find(|at| *at > course + 0.5);
        let inner = courses.iter().rev().copied().find(|at| *at < course - 0.5);
        Ok(match (inner, outer) {
            (Some(inner), Some(outer)) => outer - inner,
            (None, Some(outer)) => outer,
            (Some(inner), None) => course - inner,
            (None, None) => course,
        }
        .max(2.0))
    }

    /// A place of a course on the photo, where the circle is seen.
    fn at_course(&self, course: f64) -> Result<Point, Fault> {
        let followed = self.followed()?;
        let rows = followed.unrolled.angles();
        (0..rows)
            .map(|row| followed.straightened.place(&followed.unrolled, row, course))
            .find(|place| self.place(*place).is_ok())
            .ok_or_else(|| {
                Fault::wrong(
                    "that ring lies outside the photo all round",
                    "mark a ring that the photo shows",
                )
            })
    }

    /// A place on a ring's outer boundary.
    fn on(&self, number: u32) -> Result<Point, Fault> {
        let (_, outer) = self.span(number)?;
        self.at_course(outer)
    }

    /// The likeliest place of one more year's end within a ring: the steepest
    /// step of the mean profile in its middle half.
    fn within(&self, number: u32) -> Result<Point, Fault> {
        let (inner, outer) = self.span(number)?;
        if outer - inner < 4.0 {
            return Err(Fault::wrong(
                format!("ring {number} is too narrow to be split"),
                "add the missing ring where you see it",
            ));
        }
        let mean = &self.followed()?.profile.mean;
        let quarter = 0.25 * (outer - inner);
        let step = |course: usize| {
            let side = |at: usize| mean.get(at).copied().unwrap_or_default();
            (side(course + 1) - side(course.saturating_sub(1))).abs()
        };
        let steepest = ((inner + quarter).ceil() as usize..=(outer - quarter) as usize)
            .max_by(|a, b| step(*a).total_cmp(&step(*b)));
        self.at_course(steepest.map_or(0.5 * (inner + outer), |course| course as f64))
    }

    /// A year ends here: no earlier mark says otherwise any longer.
    fn add(&self, marks: &mut Marks, at: Point) -> Result<(), Fault> {
        let course = self.course(at)?;
        let followed = self.followed()?;
        if followed.bark.is_some_and(|bark| course > bark + 1.0) {
            return Err(Fault::wrong(
                "that place lies outside the bark edge",
                "drag the bark edge out first",
            ));
        }
        let reach = NEAR * self.gap(course)?;
        self.drop_near(marks, course, reach)?;
        marks.rings.push(RingMark {
            kind: RingMarkKind::Boundary,
            at,
        });
        Ok(())
    }

    /// Drops marks on rings within `reach` of a course.
    fn drop_near(&self, marks: &mut Marks, course: f64, reach: f64) -> Result<(), Fault> {
        let mut kept = Vec::with_capacity(marks.rings.len() + 1);
        for mark in &marks.rings {
            if (self.course(mark.at)? - course).abs() > reach {
                kept.push(*mark);
            }
        }
        marks.rings = kept;
        Ok(())
    }

    fn remove(&self, marks: &mut Marks, number: u32) -> Result<(), Fault> {
        if self.at_bark(number)? {
            return Err(Fault::wrong(
                "the last line is the bark edge, not a ring in doubt",
                "drag the bark edge in, or remove the ring under it",
            ));
        }
        let (_, course) = self.span(number)?;
        let at = self.on(number)?;
        self.drop_near(marks, course, NEAR * self.gap(course)?)?;
        self.unjoin(marks, course)?;
        marks.rings.push(RingMark {
            kind: RingMarkKind::NoBoundary,
            at,
        });
        Ok(())
    }

    /// Takes back a join whose ring lies on a course.
    fn unjoin(&self, marks: &mut Marks, course: f64) -> Result<(), Fault> {
        let mut kept = Vec::new();
        for line in &marks.joined {
            let mut sum = 0.0;
            for place in line {
                sum += self.course(*place)?;
            }
            if (sum / line.len().max(1) as f64 - course).abs() > 1.0 {
                kept.push(line.clone());
            }
        }
        marks.joined = kept;
        Ok(())
    }

    fn shift(&self, marks: &mut Marks, number: u32, to: Point) -> Result<(), Fault> {
        if self.at_bark(number)? {
            marks.bark.push(to);
            return Ok(());
        }
        let (inner, old) = self.span(number)?;
        let new = self.course(to)?;
        let outer = self
            .span(number + 1)
            .map(|span| span.1)
            .unwrap_or(f64::INFINITY);
        if new <= inner + 1.0 || new >= outer - 1.0 {
            return Err(Fault::wrong(
                format!("ring {number} would cross the ring beside it"),
                "remove one and add another, or move the other one first",
            ));
        }
        let from = self.at_course(old)?;
        self.drop_near(marks, old, NEAR * self.gap(old)?)?;
        self.unjoin(marks, old)?;
        marks.rings.push(RingMark {
            kind: RingMarkKind::NoBoundary,
            at: from,
        });
        marks.rings.push(RingMark {
            kind: RingMarkKind::Boundary,
            at: to,
        });
        Ok(())
    }

    fn join(
        &self,
        marks: &mut Marks,
        (ring, with): (u32, u32),
        (at, also): (Option<Point>, Option<Point>),
    ) -> Result<(), Fault> {
        if ring.abs_diff(with) != 1 {
            return Err(Fault::wrong(
                format!("rings {ring} and {with} do not lie side by side"),
                "join a ring with the one next to it",
            ));
        }
        if self.at_bark(ring)? || self.at_bark(with)? {
            return Err(Fault::wrong(
                "the bark edge cannot be joined with a ring",
                "remove the ring under the bark, or drag the bark edge",
            ));
        }
        let place = |number: u32, given: Option<Point>, share: f64| match given {
            Some(given) => self.place(given).map(|()| given),
            None => self.opposite(number, share),
        };
        let line = vec![place(ring, at, 0.0)?, place(with, also, 0.5)?];
        for number in [ring, with] {
            let (_, course) = self.span(number)?;
            self.drop_near(marks, course, NEAR * self.gap(course)?)?;
            self.unjoin(marks, course)?;
        }
        marks.joined.push(line);
        Ok(())
    }

    /// A place on a ring at about a share of the turn.
    fn opposite(&self, number: u32, share: f64) -> Result<Point, Fault> {
        let (_, course) = self.span(number)?;
        let followed = self.followed()?;
        let rows = followed.unrolled.angles();
        let start = (share * rows as f64) as usize;
        (0..rows)
            .map(|row| (start + row) % rows)
            .map(|row| followed.straightened.place(&followed.unrolled, row, course))
            .find(|place| self.place(*place).is_ok())
            .ok_or_else(|| Fault::no_ring(number))
    }

    fn tape(
        &self,
        marks: &mut Marks,
        ends: (Option<Point>, Option<Point>),
        length: Option<&str>,
    ) -> Result<String, Fault> {
        let (Some(from), Some(to)) = ends else {
            marks.tape = None;
            return Ok("the tape taken away".to_owned());
        };
        self.place(from)?;
        self.place(to)?;
        let length_mm = mm("length", length.unwrap_or_default())?;
        let tape = Tape {
            from,
            to,
            length_mm,
        };
        photo::scale_from_tape(&tape)
            .map_err(|error| Fault::wrong(error.to_string(), error.advice()))?;
        marks.tape = Some(tape);
        Ok("the scale set on the tape".to_owned())
    }
}

/// A length as a person writes it.
fn mm(what: &str, text: &str) -> Result<Mm, Fault> {
    text.parse::<Length>().map(Length::mm).map_err(|error| {
        Fault::wrong(
            error.to_string(),
            format!("write the {what} with its unit, as in 24in or 61cm"),
        )
    })
}

/// Tells a fact, or takes it back.
fn tell(facts: &mut Facts, name: FactName, text: &str) -> Result<String, Fault> {
    let given = !text.is_empty();
    let length = |what: &str| given.then(|| mm(what, text)).transpose();
    let what = match name {
        FactName::Species => {
            let species = given
                .then(|| wood::find_species(text))
                .transpose()
                .map_err(|error| {
                    Fault::wrong(
                        error.to_string(),
                        "choose one from the list, or tell the wood class",
                    )
                })?;
            facts.species = species.map(|species| species.name.to_owned());
            // An earlier class must not outvote the species told now.
            facts.wood = None;
            "species"
        }
        FactName::Wood => {
            let class = given
                .then(|| {
                    WoodClass::ALL
                        .into_iter()
                        .find(|class| class.name() == text)
                        .ok_or_else(|| {
                            Fault::wrong(
                                format!("\"{text}\" is no wood class"),
                                "choose one from the list",
                            )
                        })
                })
                .transpose()?;
            let contradicts = facts
                .species
                .as_deref()
                .and_then(|name| wood::find_species(name).ok())
                .is_some_and(|species| class.is_some_and(|class| class != species.class));
            if contradicts {
                facts.species = None;
            }
            facts.wood = class;
            "wood class"
        }
        FactName::Felled => {
            facts.felled = given.then(|| text.parse()).transpose().map_err(
                |error: wood::ParseFelledError| {
                    Fault::wrong(error.to_string(), "the year alone is enough")
                },
            )?;
            "date of felling"
        }
        FactName::Hemisphere => {
            facts.hemisphere = if text == "southern" {
                Hemisphere::Southern
            } else {
                Hemisphere::Northern
            };
            "hemisphere"
        }
        FactName::CutHeight => {
            facts.cut_height_mm = length("height of cut")?;
            "height of cut"
        }
        FactName::Across => {
            facts.across_inside_bark_mm = length("width inside the bark")?;
            "width inside the bark"
        }
        FactName::Hollow => {
            facts.hollow_radius_mm = length("radius of the hollow")?;
            "radius of the hollow"
        }
        FactName::Note => {
            facts.note = given.then(|| text.to_owned());
            "note"
        }
    };
    if let (Some(hollow), Some(across)) = (facts.hollow_radius_mm, facts.across_inside_bark_mm)
        && hollow.0 * 2.0 >= across.0
    {
        return Err(Fault::wrong(
            "the hollow does not fit in the face",
            "give its radius: from the middle to the first sound ring",
        ));
    }
    Ok(format!(
        "the {what} {}",
        if given { "told" } else { "taken back" }
    ))
}

/// Notes what is remembered of a year, or forgets it.
fn remember(facts: &mut Facts, year: i32, what: &str) -> Result<String, Fault> {
    const LONGEST: usize = 80;
    if what.chars().count() > LONGEST {
        return Err(Fault::wrong(
            format!("that is more than {LONGEST} letters"),
            "write it in a few words; the note has room for more",
        ));
    }
    facts.remembered.retain(|known| known.year != Year(year));
    if what.is_empty() {
        return Ok(format!("what was remembered of {year} forgotten"));
    }
    facts.remembered.push(Remembered {
        year: Year(year),
        what: what.to_owned(),
    });
    facts.remembered.sort_by_key(|known| known.year);
    Ok(format!("{year} remembered"))
}
