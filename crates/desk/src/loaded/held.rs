//! What of a loaded stump is large: its photo and its pictures, held while there is
//! room and made again when they are asked for.

use super::Loaded;
use super::opening::open;
use crate::error::ApiError;
use crate::pictures::{Photo, Pictures};
use crate::progress::Progress;
use std::path::Path;

impl Loaded {
    /// About how much memory the photo and its pictures take, in bytes; `None` where
    /// neither is held.
    pub(crate) fn held_bytes(&self) -> Option<u64> {
        let alone = self.photo_alone.as_ref().map(Photo::bytes);
        self.pictures.as_ref().map(Pictures::bytes).or(alone)
    }

    pub(crate) fn release_pictures(&mut self) {
        self.photo_alone = None;
        self.pictures = None;
    }

    /// Whether the pictures are at hand, or none are needed to show the stump.
    pub(crate) fn is_complete(&self) -> bool {
        self.pictures.is_some()
            || (!self.stump.reading.readable && self.stump.marks.strip.is_none())
    }

    /// The photo, opened again if it was released.
    pub(crate) fn photo(&mut self, name: &str) -> Result<&Photo, ApiError> {
        if let Some(pictures) = &self.pictures {
            return Ok(&pictures.photo);
        }
        let photo = take(&mut self.photo_alone, name, &self.photo)?;
        Ok(self.photo_alone.insert(photo))
    }

    /// The pictures, made if they are not at hand. The reading that comes with them
    /// takes the place of the saved one, which an older version may have made.
    pub(crate) fn pictures(
        &mut self,
        name: &str,
        progress: &Progress,
    ) -> Result<&mut Pictures, ApiError> {
        if self.pictures.is_none() {
            let input = self.input();
            let photo = take(&mut self.photo_alone, name, &self.photo)?;
            let mut pictures = Pictures::new(photo, &input, self.versions, progress)?;
            self.stump.reading = pictures.read(name, &input);
            pictures.fit_height(self.versions);
            self.pictures = Some(pictures);
        }
        self.pictures
            .as_mut()
            .ok_or_else(|| ApiError::unfinished("opening the photo"))
    }

    /// Makes the pictures that are not at hand; whether the reading is another one now.
    pub(crate) fn completed(&mut self, name: &str, progress: &Progress) -> Result<bool, ApiError> {
        if self.is_complete() {
            return Ok(false);
        }
        let before = self.stump.reading.clone();
        self.pictures(name, progress)?;
        let changed = self.stump.reading != before;
        if changed {
            // As after the first reading: a folder that cannot be written to can be looked at.
            let _ = self.save();
        }
        Ok(changed)
    }
}

/// Takes the photo that is held alone; opens it where none is.
fn take(alone: &mut Option<Photo>, name: &str, path: &Path) -> Result<Photo, ApiError> {
    match alone.take() {
        Some(photo) => Ok(photo),
        None => Ok(Photo::new(open(name, path)?)),
    }
}
