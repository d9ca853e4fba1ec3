//! What an edit starts from: the rings as they are read now, and where a place
//! in the photo is among them.

use crate::error::ApiError;
use crate::facts::mm;
use reader::{ReadingSession, StripView, TracedFace};
use std::f64::consts::TAU;
use wood::{Marks, Measure, Point, Ring, RingMark, RingMarkKind, Tape};

/// What an edit is made on.
#[derive(Debug, Clone, Copy)]
pub(crate) struct EditContext<'a> {
    pub(crate) rings: &'a [Ring],
    /// What the photo shows, where it was opened.
    pub(crate) kept: Option<&'a ReadingSession>,
    /// The rings that the program followed, where the reading is made of them.
    pub(crate) traced: Option<&'a TracedFace>,
    pub(crate) size: (u32, u32),
}

/// How near a mark must be to a ring's line to be that ring's, as a share of
/// the distance to the ring beside it.
const NEAR: f64 = 0.35;

impl EditContext<'_> {
    fn traced(&self) -> Result<&TracedFace, ApiError> {
        self.traced.ok_or_else(|| {
            ApiError::invalid(
                "the program counted no rings on this photo",
                "count along a strip by hand: its rings are set and taken away on the strip",
            )
        })
    }

    /// What the program sees along the marked strip, where it can look.
    pub(crate) fn strip_view(&self) -> Option<StripView> {
        self.kept?.strip_view()
    }

    fn ring(&self, number: u32) -> Result<&Ring, ApiError> {
        self.rings
            .iter()
            .find(|ring| ring.number == number)
            .ok_or_else(|| ApiError::no_ring(number))
    }

    pub(crate) fn at_bark(&self, number: u32) -> Result<bool, ApiError> {
        Ok(self.ring(number)?.notes.contains(&wood::RingNote::AtBark))
    }

    /// A place within the photo.
    pub(crate) fn place(&self, at: Point) -> Result<(), ApiError> {
        let (width, height) = (f64::from(self.size.0), f64::from(self.size.1));
        let inside = |value: f64, size: f64| value.is_finite() && (0.0..=size).contains(&value);
        if inside(at.x_px, width) && inside(at.y_px, height) {
            Ok(())
        } else {
            Err(ApiError::invalid(
                "that place is outside the photo",
                "mark a place on the face",
            ))
        }
    }

    /// A place within the photo or no further outside than a pith may be.
    pub(crate) fn near(&self, at: Point) -> Result<(), ApiError> {
        /// In lengths of the photo's longer side; the same as on the command line.
        const OUTSIDE: f64 = 0.5;
        let longer = f64::from(self.size.0.max(self.size.1));
        let off = |value: f64, size: u32| (-value).max(value - f64::from(size)).max(0.0);
        let away = off(at.x_px, self.size.0).hypot(off(at.y_px, self.size.1));
        if at.x_px.is_finite() && at.y_px.is_finite() && away <= OUTSIDE * longer {
            Ok(())
        } else {
            Err(ApiError::invalid(
                "that place is far off the face",
                "mark a place on the face or close beside it",
            ))
        }
    }

    fn course(&self, at: Point) -> Result<f64, ApiError> {
        let traced = self.traced()?;
        let (row, radius) = traced.unrolled.locate(at);
        let row = (row.round() as usize) % traced.unrolled.angles();
        Ok(traced.straightened.course_at(row, radius as f32))
    }

    /// The courses of all rings, pith first.
    fn courses(&self) -> Result<Vec<f64>, ApiError> {
        let list = &self.traced()?.boundaries.list;
        Ok(list.iter().map(|boundary| boundary.course).collect())
    }

    /// The inner and outer course of a ring.
    fn span(&self, number: u32) -> Result<(f64, f64), ApiError> {
        self.ring(number)?;
        let courses = self.courses()?;
        let at = (number.max(1) - 1) as usize;
        let outer = courses.get(at).copied();
        let inner = match at.checked_sub(1) {
            Some(inner) => courses.get(inner).copied(),
            None => Some(self.traced()?.start),
        };
        match (inner, outer) {
            (Some(inner), Some(outer)) => Ok((inner, outer)),
            _ => Err(ApiError::no_ring(number)),
        }
    }

    /// The distance between the rings on both sides of a course.
    fn gap(&self, course: f64) -> Result<f64, ApiError> {
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
    fn at_course(&self, course: f64) -> Result<Point, ApiError> {
        let traced = self.traced()?;
        let rows = traced.unrolled.angles();
        (0..rows)
            .map(|row| traced.straightened.place(&traced.unrolled, row, course))
            .find(|place| self.place(*place).is_ok())
            .ok_or_else(|| {
                ApiError::invalid(
                    "that ring is outside the photo all the way round",
                    "mark a ring that the photo shows",
                )
            })
    }

    /// A place on a ring's outer boundary.
    pub(crate) fn on(&self, number: u32) -> Result<Point, ApiError> {
        let (_, outer) = self.span(number)?;
        self.at_course(outer)
    }

    /// The most likely place of one more year's end within a ring: the steepest
    /// step of the mean profile in its middle quarter, clear of both its lines.
    pub(crate) fn within(&self, number: u32) -> Result<Point, ApiError> {
        let (inner, outer) = self.span(number)?;
        if outer - inner < 4.0 {
            return Err(ApiError::invalid(
                format!("ring {number} is too narrow to be split"),
                "add the missing ring where you see it",
            ));
        }
        let mean = &self.traced()?.profile.mean;
        let clear = 0.38 * (outer - inner);
        let step = |course: usize| {
            let side = |at: usize| mean.get(at).copied().unwrap_or_default();
            (side(course + 1) - side(course.saturating_sub(1))).abs()
        };
        let steepest = ((inner + clear).ceil() as usize..=(outer - clear) as usize)
            .max_by(|a, b| step(*a).total_cmp(&step(*b)));
        self.at_course(steepest.map_or(0.5 * (inner + outer), |course| course as f64))
    }

    /// A year ends here; earlier marks close by are dropped.
    pub(crate) fn add(&self, marks: &mut Marks, at: Point) -> Result<(), ApiError> {
        let course = self.course(at)?;
        let traced = self.traced()?;
        if traced.bark.is_some_and(|bark| course > bark + 1.0) {
            return Err(ApiError::invalid(
                "that place is outside the bark edge",
                "move the bark edge out first",
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
    fn drop_near(&self, marks: &mut Marks, course: f64, reach: f64) -> Result<(), ApiError> {
        let mut kept = Vec::with_capacity(marks.rings.len() + 1);
        for mark in &marks.rings {
            if (self.course(mark.at)? - course).abs() > reach {
                kept.push(*mark);
            }
        }
        marks.rings = kept;
        Ok(())
    }

    pub(crate) fn remove(&self, marks: &mut Marks, number: u32) -> Result<(), ApiError> {
        if self.at_bark(number)? {
            return Err(ApiError::invalid(
                "the last line is the bark edge and cannot be removed",
                "move the bark edge in, or remove the ring under it",
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

    /// Takes back a join whose ring is on a course.
    fn unjoin(&self, marks: &mut Marks, course: f64) -> Result<(), ApiError> {
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

    pub(crate) fn shift(&self, marks: &mut Marks, number: u32, to: Point) -> Result<(), ApiError> {
        if self.at_bark(number)? {
            self.bark(marks, to);
            return Ok(());
        }
        let (inner, old) = self.span(number)?;
        let new = self.course(to)?;
        let outer = self
            .span(number + 1)
            .map(|span| span.1)
            .unwrap_or(f64::INFINITY);
        if new <= inner + 1.0 || new >= outer - 1.0 {
            return Err(ApiError::invalid(
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

    /// The bark edge runs through here; an earlier mark close by is dropped.
    pub(crate) fn bark(&self, marks: &mut Marks, at: Point) {
        /// As a share of the whole turn: eight degrees.
        const CLOSE: f64 = 8.0 / 360.0;
        if let Some(traced) = self.traced {
            let pith = traced.unrolled.pith;
            let turn = |place: Point| pith.angle_to(place).0 / TAU;
            marks.bark.retain(|place| {
                let off = (turn(*place) - turn(at)).rem_euclid(1.0);
                off.min(1.0 - off) > CLOSE
            });
        }
        marks.bark.push(at);
    }

    pub(crate) fn join(
        &self,
        marks: &mut Marks,
        (ring, with): (u32, u32),
        (at, also): (Option<Point>, Option<Point>),
    ) -> Result<(), ApiError> {
        if ring.abs_diff(with) != 1 {
            return Err(ApiError::invalid(
                format!("rings {ring} and {with} are not next to each other"),
                "join a ring with the one next to it",
            ));
        }
        if self.at_bark(ring)? || self.at_bark(with)? {
            return Err(ApiError::invalid(
                "the bark edge cannot be joined with a ring",
                "remove the ring under the bark, or move the bark edge",
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
    fn opposite(&self, number: u32, share: f64) -> Result<Point, ApiError> {
        let (_, course) = self.span(number)?;
        let traced = self.traced()?;
        let rows = traced.unrolled.angles();
        let start = (share * rows as f64) as usize;
        (0..rows)
            .map(|row| (start + row) % rows)
            .map(|row| traced.straightened.place(&traced.unrolled, row, course))
            .find(|place| self.place(*place).is_ok())
            .ok_or_else(|| ApiError::no_ring(number))
    }

    pub(crate) fn tape(
        &self,
        marks: &mut Marks,
        ends: (Option<Point>, Option<Point>),
        length: Option<&str>,
    ) -> Result<String, ApiError> {
        let (Some(from), Some(to)) = ends else {
            marks.tape = None;
            return Ok("the tape removed".to_owned());
        };
        self.place(from)?;
        self.place(to)?;
        let length_mm = mm(Measure::Tape, length.unwrap_or_default())?;
        let tape = Tape {
            from,
            to,
            length_mm,
        };
        photo::scale_from_tape(&tape)
            .map_err(|error| ApiError::invalid(error.to_string(), error.advice()))?;
        marks.tape = Some(tape);
        Ok("the scale set on the tape".to_owned())
    }
}
