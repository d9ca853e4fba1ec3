//! The pixels of an open stump and the pictures made from them: large, and
//! always possible to make again from the photo and the marks.

use crate::error::ApiError;
use crate::history::Input;
use crate::progress::Progress;
use crate::strip;
use crate::unrolled;
use axum::body::Bytes;
use photo::Face;
use reader::ReadingSession;
use std::sync::{Arc, Mutex, PoisonError};
use wood::{Reading, Strip};

/// The photo itself. A clone shares its pixels, so that pictures are made of them while
/// the stump is open to others.
#[derive(Debug, Clone)]
pub(crate) struct Photo {
    pub(crate) face: Arc<Face>,
    jpeg: Arc<Mutex<Option<Bytes>>>,
}

impl Photo {
    pub(crate) fn new(face: Face) -> Self {
        Self {
            face: Arc::new(face),
            jpeg: Arc::default(),
        }
    }

    /// About how much memory it takes, in bytes.
    pub(crate) fn bytes(&self) -> u64 {
        // Color takes three bytes a pixel, lightness four a value.
        self.face.rgb.as_raw().len() as u64 + 4 * self.face.lightness.values.len() as u64
    }

    /// The upright photo as a JPEG. Made once: who asks meanwhile waits for it.
    pub(crate) fn jpeg(&self) -> Result<Bytes, ApiError> {
        // It is only ever replaced whole, so a poisoned lock holds a whole one.
        let mut held = self.jpeg.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(jpeg) = &*held {
            return Ok(jpeg.clone());
        }
        let jpeg = unrolled::photo(&self.face).map_err(|error| ApiError::cannot_draw(&error))?;
        *held = Some(jpeg.clone());
        Ok(jpeg)
    }

    /// A small copy as a JPEG, to be shown until the whole one is there.
    pub(crate) fn small(&self) -> Result<Bytes, ApiError> {
        unrolled::thumbnail(&self.face.rgb, SMALL_LONG)
            .map_err(|error| ApiError::cannot_draw(&error))
    }
}

/// The longer side of the small copy, in pixels: a photo pane of a large screen.
const SMALL_LONG: u32 = 1200;

/// The photo of a stump and its straightened rings.
#[derive(Debug)]
pub(crate) struct Pictures {
    pub(crate) photo: Photo,
    pub(crate) current: Straightening,
    /// The straightening before, so that a pith moved by mistake is quickly undone.
    previous: Option<Straightening>,
    /// The strip drawn last, and its picture.
    strip: Option<(Strip, Bytes)>,
}

/// One straightening of the face: what a new pith makes necessary, and marks
/// on rings do not.
#[derive(Debug)]
pub(crate) struct Straightening {
    /// Grows with each new one, so that the page knows when to fetch pictures.
    pub(crate) version: u64,
    pub(crate) kept: ReadingSession,
    /// The course at the upper edge of the unrolled picture.
    top_course: f64,
    /// The unrolled picture and its numbers.
    unrolled: Option<(Bytes, Bytes)>,
}

impl Straightening {
    fn new(
        version: u64,
        face: &Face,
        input: &Input,
        progress: &Progress,
        before: Option<&ReadingSession>,
    ) -> Result<Self, ApiError> {
        let Input { facts, marks } = input;
        let kept = progress.track(|watch| match before {
            Some(before) => before.again(face, facts, marks, watch),
            None => ReadingSession::watched(face, facts, marks, watch),
        })?;
        Ok(Self {
            version,
            kept,
            top_course: 0.0,
            unrolled: None,
        })
    }
}

/// Rasters as large as the unrolled face that one straightening amounts to, at
/// four bytes a value: lightness, visibility, where each place is, and the
/// network's output (estimated from the memory of desks with two and ten photos).
const RASTERS: u64 = 12;

impl Pictures {
    /// Straightens the rings of a face; `version` is the number of this straightening.
    pub(crate) fn new(
        photo: Photo,
        input: &Input,
        version: u64,
        progress: &Progress,
    ) -> Result<Self, ApiError> {
        Ok(Self {
            current: Straightening::new(version, &photo.face, input, progress, None)?,
            photo,
            previous: None,
            strip: None,
        })
    }

    /// The reading of the photo with these facts and marks, which the current
    /// straightening must fit.
    pub(crate) fn read(&mut self, name: &str, Input { facts, marks }: &Input) -> Reading {
        let face = &self.photo.face;
        self.current.kept.read(name, face, facts, marks)
    }

    /// About how much memory it takes, in bytes.
    pub(crate) fn bytes(&self) -> u64 {
        let one = |straightening: &Straightening| {
            let traced = straightening.kept.traced();
            let values = traced.map_or(0, |traced| traced.unrolled.lightness.len() as u64);
            4 * RASTERS * values
        };
        self.photo.bytes() + one(&self.current) + self.previous.as_ref().map_or(0, one)
    }

    /// Makes the straightening that these facts and marks need the current
    /// one, if it is at hand; whether it is.
    pub(crate) fn switch_to(&mut self, input: &Input) -> bool {
        let fits = |one: &Straightening| one.kept.fits(&input.facts, &input.marks);
        if fits(&self.current) {
            return true;
        }
        match self.previous.as_mut() {
            Some(previous) if fits(previous) => {
                std::mem::swap(previous, &mut self.current);
                true
            }
            _ => false,
        }
    }

    /// Straightens the rings again for these facts and marks.
    pub(crate) fn straighten(
        &mut self,
        input: &Input,
        version: u64,
        progress: &Progress,
    ) -> Result<(), ApiError> {
        let new = Straightening::new(
            version,
            &self.photo.face,
            input,
            progress,
            Some(&self.current.kept),
        )?;
        self.previous = Some(std::mem::replace(&mut self.current, new));
        Ok(())
    }

    /// Drops an unrolled picture that has become too low, because the bark edge
    /// is further out now; gives it `version` then. Whether it did.
    pub(crate) fn fit_height(&mut self, version: u64) -> bool {
        let current = &mut self.current;
        let top = current.kept.traced().map_or(0.0, unrolled::top_course);
        if (top - current.top_course).abs() <= 0.5 {
            return false;
        }
        current.top_course = top;
        let dropped = current.unrolled.take().is_some();
        if dropped {
            current.version = version;
        }
        dropped
    }

    /// The marked strip as a JPEG.
    pub(crate) fn strip(&mut self, strip: &Strip) -> Result<Bytes, ApiError> {
        if let Some((drawn, picture)) = &self.strip
            && drawn.covers_same(strip)
        {
            return Ok(picture.clone());
        }
        let picture = strip::picture(&self.photo.face, strip)
            .map_err(|error| ApiError::cannot_draw(&error))?;
        self.strip = Some((strip.clone(), picture.clone()));
        Ok(picture)
    }

    /// The unrolled picture and its numbers.
    pub(crate) fn unrolled(&mut self) -> Result<(Bytes, Bytes), ApiError> {
        if let Some(made) = &self.current.unrolled {
            return Ok(made.clone());
        }
        let traced = self.current.kept.traced().ok_or_else(nothing_unrolled)?;
        let top = unrolled::top_course(traced);
        let picture = unrolled::picture(&self.photo.face, traced, top)
            .map_err(|error| ApiError::cannot_draw(&error))?;
        let made = (picture, unrolled::field(traced, top));
        self.current.unrolled = Some(made.clone());
        Ok(made)
    }
}

pub(crate) fn nothing_unrolled() -> ApiError {
    ApiError::invalid(
        "no rings were read on this photo, so there is nothing to unroll",
        "take the photo again as its advice says, or mark the pith in it",
    )
}
