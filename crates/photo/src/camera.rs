//! What the camera wrote beside the picture: turn, day and place. What makes
//! no sense is passed over; none of it can stop a photo from being opened.

use crate::Place;
use exif::{Context, Exif, In, Reader, Tag, Value};
use image::metadata::Orientation;
use jiff::civil::Date;

/// What the camera wrote.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Camera {
    /// How the stored picture must be turned to stand upright.
    pub(crate) orientation: Orientation,
    /// The day, as the camera's clock had it.
    pub(crate) taken: Option<Date>,
    /// The place.
    pub(crate) place: Option<Place>,
    /// Whether the picture is the preview of a raw file.
    pub(crate) raw: bool,
}

/// The year of the first photograph that survives (from memory). An earlier
/// one is a clock gone wrong.
const FIRST_PHOTO_YEAR: i16 = 1826;

/// Tag of raw files in the digital negative format: its version.
const DNG_VERSION: Tag = Tag(Context::Tiff, 50706);
/// Tag that says whether a TIFF's picture is a reduced one (bit 0).
const NEW_SUBFILE_TYPE: Tag = Tag(Context::Tiff, 254);

impl Camera {
    /// A photo beside which nothing was written.
    pub(crate) const SILENT: Self = Self {
        orientation: Orientation::NoTransforms,
        taken: None,
        place: None,
        raw: false,
    };

    /// What an EXIF block says. Some writers of WebP put the mark of a JPEG's
    /// segment before it.
    pub(crate) fn from_exif_block(block: &[u8]) -> Self {
        let block = block.strip_prefix(b"Exif\0\0").unwrap_or(block);
        let exif = read(|reader| reader.read_raw(block.to_vec()));
        Self {
            // Reads the first directory only, so it still works where the
            // rest of the block is nonsense.
            orientation: Orientation::from_exif_chunk(block).unwrap_or(Orientation::NoTransforms),
            ..exif.as_ref().map_or(Self::SILENT, Self::from_exif)
        }
    }

    /// What a TIFF file says: its own directory is the EXIF block.
    pub(crate) fn from_tiff_file(bytes: &[u8]) -> Self {
        let exif = read(|reader| reader.read_raw(bytes.to_vec()));
        exif.as_ref().map_or(Self::SILENT, Self::from_exif)
    }

    fn from_exif(exif: &Exif) -> Self {
        let number = |tag| {
            exif.get_field(tag, In::PRIMARY)
                .and_then(|field| field.value.get_uint(0))
        };
        Self {
            orientation: number(Tag::Orientation)
                .and_then(|tag| u8::try_from(tag).ok())
                .and_then(Orientation::from_exif)
                .unwrap_or(Orientation::NoTransforms),
            taken: [Tag::DateTimeOriginal, Tag::DateTimeDigitized, Tag::DateTime]
                .into_iter()
                .find_map(|tag| day(exif, tag)),
            place: place(exif),
            raw: exif.get_field(DNG_VERSION, In::PRIMARY).is_some()
                || number(NEW_SUBFILE_TYPE).is_some_and(|bits| bits & 1 == 1),
        }
    }
}

/// Reads as much as can be read.
fn read(from: impl FnOnce(&Reader) -> Result<Exif, exif::Error>) -> Option<Exif> {
    let mut reader = Reader::new();
    reader.continue_on_error(true);
    from(&reader)
        .or_else(|error| error.distill_partial_result(|_| {}))
        .ok()
}

/// A day. EXIF times have no zone, so it stays the camera's own.
fn day(exif: &Exif, tag: Tag) -> Option<Date> {
    let Value::Ascii(ref texts) = exif.get_field(tag, In::PRIMARY)?.value else {
        return None;
    };
    let time = exif::DateTime::from_ascii(texts.first()?).ok()?;
    let date = Date::new(
        i16::try_from(time.year).ok()?,
        i8::try_from(time.month).ok()?,
        i8::try_from(time.day).ok()?,
    )
    .ok()?;
    (date.year() >= FIRST_PHOTO_YEAR).then_some(date)
}

fn place(exif: &Exif) -> Option<Place> {
    let latitude_deg = degrees(
        exif,
        Tag::GPSLatitude,
        Tag::GPSLatitudeRef,
        [b'N', b'S'],
        90.0,
    )?;
    let longitude_deg = degrees(
        exif,
        Tag::GPSLongitude,
        Tag::GPSLongitudeRef,
        [b'E', b'W'],
        180.0,
    )?;
    // Both exactly zero is what a blanked block says, and no tree grows there.
    (latitude_deg.abs() + longitude_deg.abs() > 0.0).then_some(Place {
        latitude_deg,
        longitude_deg,
    })
}

/// Degrees, minutes and seconds as one number, negative on the second side.
fn degrees(exif: &Exif, tag: Tag, side_tag: Tag, sides: [u8; 2], most: f64) -> Option<f64> {
    let Value::Ascii(ref side) = exif.get_field(side_tag, In::PRIMARY)?.value else {
        return None;
    };
    let side = side.first()?.first()?.to_ascii_uppercase();
    let sign = match sides.iter().position(|&known| known == side)? {
        0 => 1.0,
        _ => -1.0,
    };
    let Value::Rational(ref parts) = exif.get_field(tag, In::PRIMARY)?.value else {
        return None;
    };
    let [degrees, minutes, seconds] = parts.get(..3)? else {
        return None;
    };
    let angle = degrees.to_f64() + minutes.to_f64() / 60.0 + seconds.to_f64() / 3600.0;
    // A division by zero in the block is neither.
    (angle.is_finite() && angle <= most).then_some(sign * angle)
}
