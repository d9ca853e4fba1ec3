//! What the page draws of a loaded stump beside its entry: the unrolled stump, its
//! intensity profile, the marked strip.

use super::Loaded;
use crate::error::ApiError;
use crate::intensity::{self, IntensityInfo};
use crate::pictures::nothing_unrolled;
use crate::progress::Progress;
use crate::strip::{self, StripInfo};
use crate::strip_edit::no_strip;
use crate::unrolled::{self, UnrolledInfo};
use axum::body::Bytes;
use report::picture::intensity_profile;

impl Loaded {
    /// How the unrolled picture is to be read; `None` where no rings were read.
    pub(crate) fn unrolled_info(
        &mut self,
        name: &str,
        progress: &Progress,
    ) -> Result<Option<UnrolledInfo>, ApiError> {
        if !self.has_followed_rings() {
            return Ok(None);
        }
        let current = &self.pictures(name, progress)?.current;
        let traced = current.kept.traced();
        Ok(traced.map(|traced| unrolled::info(traced, current.version)))
    }

    /// The radial intensity profile, at the courses of the unrolled picture.
    pub(crate) fn intensity(
        &mut self,
        name: &str,
        progress: &Progress,
        revision: u64,
    ) -> Result<IntensityInfo, ApiError> {
        let unrolled = self
            .unrolled_info(name, progress)?
            .ok_or_else(nothing_unrolled)?;
        let pictures = self.pictures.as_ref().ok_or_else(nothing_unrolled)?;
        let traced = pictures.current.kept.traced();
        let rgb = &pictures.photo.face.rgb;
        let profile = intensity_profile(rgb, &self.stump.reading, photo::lightness);
        let (Some(traced), Some(profile)) = (traced, profile) else {
            return Err(nothing_unrolled());
        };
        let step_px = traced.unrolled.step_px;
        Ok(intensity::info(
            &profile,
            &unrolled.courses,
            step_px,
            revision,
        ))
    }

    /// Whether the reading is made of rings that the program followed.
    pub(super) fn has_followed_rings(&self) -> bool {
        let strip = self.stump.marks.strip.as_ref();
        self.stump.reading.readable && !strip.is_some_and(|strip| strip.by_hand)
    }

    /// How the marked strip is to be shown; `None` where none is marked.
    pub(crate) fn strip_info(
        &mut self,
        name: &str,
        progress: &Progress,
    ) -> Result<Option<StripInfo>, ApiError> {
        let Some(strip) = self.stump.marks.strip.clone() else {
            return Ok(None);
        };
        let kept = &self.pictures(name, progress)?.current.kept;
        Ok(Some(strip::info(&strip, kept)))
    }

    /// The marked strip as a JPEG.
    pub(crate) fn strip_picture(
        &mut self,
        name: &str,
        progress: &Progress,
    ) -> Result<Bytes, ApiError> {
        let strip = self.stump.marks.strip.clone().ok_or_else(no_strip)?;
        self.pictures(name, progress)?.strip(&strip)
    }
}
