//! Why a photo cannot be opened, and what to do about it.

use crate::Limits;

/// Why a photo cannot be opened. The caller puts the file's name in front.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PhotoError {
    /// There is not one byte.
    #[error("the file is empty")]
    Empty,
    /// The bytes are something else.
    #[error("this is not a photo but {what}")]
    NotAPhoto {
        /// What the bytes look like, with its article: "a text file".
        what: &'static str,
    },
    /// The photo stops before its end.
    #[error("the photo is cut off: the end of the file is missing")]
    CutOff,
    /// The header asks for more pixels than the caller allows.
    #[error(
        "the picture claims to be {width} by {height} pixels, which is over the limit of {limit} pixels"
    )]
    TooManyPixels {
        /// Claimed width in pixels.
        width: u32,
        /// Claimed height in pixels.
        height: u32,
        /// [`Limits::max_pixels`] at that time.
        limit: u64,
    },
    /// HEIC or HEIF where the decoder was left out, or AVIF.
    #[error("this copy of Stumpbook cannot open HEIC or AVIF photos")]
    Heic,
    /// A camera's raw file: what can be decoded in it is only a small preview.
    #[error("this is a camera's raw file, which is not read here")]
    Raw,
    /// A photo in a way of packing that the decoder does not know.
    #[error("this way of packing a photo is not known here")]
    Unsupported {
        /// What the decoder said.
        #[source]
        source: image::ImageError,
    },
    /// The bytes contradict themselves.
    #[error("the photo is damaged")]
    Damaged {
        /// What the decoder said.
        #[source]
        source: image::ImageError,
    },
}

impl PhotoError {
    /// What to do, as shown after `try:` on the command line, the page and in
    /// JSON. Lower case, no full stop.
    #[must_use]
    pub fn advice(&self) -> String {
        match self {
            Self::Empty | Self::CutOff => {
                "copy the photo again from the phone or camera, and wait until the copy has ended"
                    .to_owned()
            }
            Self::NotAPhoto { .. } => {
                "give the photo itself: a JPEG, PNG, TIFF or WebP file, as the phone or camera wrote it"
                    .to_owned()
            }
            Self::TooManyPixels { width, height, .. } => {
                let asked = u64::from(*width) * u64::from(*height);
                if asked <= MOST_BELIEVABLE_PIXELS {
                    format!(
                        "make the picture smaller, or raise the limit to {} megapixels",
                        asked.div_ceil(1_000_000)
                    )
                } else {
                    "open it in a picture program and save it smaller; if it will not open there \
                     either, the file is damaged: copy it again from the phone or camera"
                        .to_owned()
                }
            }
            Self::Heic => {
                "share the photo as JPEG; on an iPhone: Settings, Camera, Formats, Most Compatible"
                    .to_owned()
            }
            Self::Raw => "save the photo as JPEG, or set the camera to write JPEG as well".to_owned(),
            Self::Unsupported { .. } => {
                "open it in a picture program and save it as an ordinary JPEG or PNG".to_owned()
            }
            Self::Damaged { .. } => {
                "copy the photo again from the phone or camera; if it opens in a picture program, \
                 save it from there as JPEG"
                    .to_owned()
            }
        }
    }

    /// What a decoder's error means to the person. `size` is what the header
    /// claimed, where it could be read.
    pub(crate) fn from_decoder(
        error: image::ImageError,
        size: Option<(u32, u32)>,
        limits: Limits,
    ) -> Self {
        if ran_out_of_bytes(&error) {
            return Self::CutOff;
        }
        match (error, size) {
            (image::ImageError::Limits(_), Some((width, height))) => Self::TooManyPixels {
                width,
                height,
                limit: limits.max_pixels,
            },
            (source @ image::ImageError::Unsupported(_), _) => Self::Unsupported { source },
            (source, _) => Self::Damaged { source },
        }
    }
}

/// Above this a picture's size is taken for nonsense and not for a large
/// picture. Chosen: ten times the largest phone.
const MOST_BELIEVABLE_PIXELS: u64 = 2_000_000_000;

/// Whether the reason, or a reason of the reason, is that the bytes ended.
fn ran_out_of_bytes(error: &(dyn std::error::Error + 'static)) -> bool {
    let mut next = Some(error);
    while let Some(reason) = next {
        let io_kind = reason
            .downcast_ref::<std::io::Error>()
            .map(std::io::Error::kind);
        // image::ImageError::IoError gives the source of the io error and
        // leaves the io error itself out of the chain.
        let outer_kind = match reason.downcast_ref::<image::ImageError>() {
            Some(image::ImageError::IoError(io)) => Some(io.kind()),
            _ => None,
        };
        if io_kind.or(outer_kind) == Some(std::io::ErrorKind::UnexpectedEof) {
            return true;
        }
        next = reason.source();
    }
    false
}
