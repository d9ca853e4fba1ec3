//! What the page gets about a stump.

use crate::error::ApiError;
use crate::folder::Folder;
use crate::loaded::Loaded;
use crate::progress::Progress;
use crate::strip::StripInfo;
use crate::unrolled::UnrolledInfo;
use serde::Serialize;
use wood::{RingNote, ScaleSource, Stump};

/// A stump as the page shows it. Everything in it is saved.
#[derive(Debug, Serialize)]
pub(crate) struct View<'a> {
    /// The photo's name.
    pub(crate) file: &'a str,
    /// The photos before and after it in the folder.
    pub(crate) neighbors: Neighbors,
    /// Grows with each change; a change must name the one it was made on.
    pub(crate) revision: u64,
    /// What was done last, in a few words.
    pub(crate) done: Option<String>,
    /// What would be undone.
    pub(crate) undo: Option<&'a str>,
    /// What would be redone.
    pub(crate) redo: Option<&'a str>,
    /// Width and height of the upright photo, in pixels.
    pub(crate) size_px: (u32, u32),
    /// The day the camera wrote into the photo.
    pub(crate) taken: Option<&'a str>,
    /// How long the reading took, in milliseconds.
    pub(crate) reading_ms: f64,
    /// Numbers of the rings to check.
    pub(crate) doubts: Vec<u32>,
    /// Contradictions between what a person entered, in sentences.
    pub(crate) warnings: Vec<String>,
    /// Whether the innermost ring is a core that was not read.
    pub(crate) pith_unread: bool,
    /// Whether the unrolled picture and the strip are there if the stump has them; else
    /// they take a while and are to be asked for.
    pub(crate) complete: bool,
    /// How the unrolled picture is to be read; `None` where no rings were read.
    pub(crate) unrolled: Option<UnrolledInfo>,
    /// What the program sees along the marked strip; `None` where none is marked.
    pub(crate) strip: Option<StripInfo>,
    /// How the rings were counted, where not on the whole face.
    pub(crate) counted_along: Option<&'static str>,
    /// The stump itself, as it is in its file.
    pub(crate) stump: &'a Stump,
}

/// The view of a loaded stump as JSON; `named` is its photo's name and its revision.
pub(crate) fn view_of(
    loaded: &mut Loaded,
    folder: &Folder,
    (file, revision): (&str, u64),
    done: Option<String>,
    progress: &Progress,
) -> Result<Vec<u8>, ApiError> {
    let complete = loaded.is_complete();
    let (unrolled, strip) = if complete {
        (
            loaded.unrolled_info(file, progress)?,
            loaded.strip_info(file, progress)?,
        )
    } else {
        (None, None)
    };
    let stump = loaded.stump();
    as_json(&View {
        file,
        neighbors: Neighbors::of(folder, file),
        revision,
        done,
        undo: loaded.history().last(),
        redo: loaded.history().next(),
        size_px: loaded.size_px(),
        taken: loaded.taken(),
        reading_ms: loaded.reading_ms(),
        doubts: doubts(stump),
        warnings: warnings(stump),
        pith_unread: growth::unread_heart(&stump.reading.rings).is_some(),
        complete,
        unrolled,
        strip,
        counted_along: stump.reading.counted_along(),
        stump,
    })
}

pub(crate) fn as_json(what: &impl Serialize) -> Result<Vec<u8>, ApiError> {
    serde_json::to_vec(what).map_err(|error| ApiError::unfinished(&error.to_string()))
}

/// The photos beside one in the folder, in its order.
#[derive(Debug, Default, Serialize)]
pub(crate) struct Neighbors {
    previous: Option<String>,
    next: Option<String>,
    /// The place of this one, counted from 1, and how many there are.
    number: usize,
    of: usize,
}

impl Neighbors {
    pub(crate) fn of(folder: &Folder, name: &str) -> Self {
        // Where the folder cannot be listed there is simply no way onward.
        let names = folder.photos().unwrap_or_default();
        let Some(at) = names.iter().position(|known| known == name) else {
            return Self::default();
        };
        Self {
            previous: at.checked_sub(1).and_then(|at| names.get(at).cloned()),
            next: names.get(at + 1).cloned(),
            number: at + 1,
            of: names.len(),
        }
    }
}

/// The rings that a person should check: doubtful, or maybe two, and not
/// marked yet.
pub(crate) fn doubts(stump: &Stump) -> Vec<u32> {
    stump
        .reading
        .rings
        .iter()
        .filter(|ring| !ring.notes.contains(&RingNote::Marked))
        .filter(|ring| ring.is_doubtful())
        .map(|ring| ring.number)
        .collect()
}

/// What is still missing for a good age, in a few words each.
pub(crate) fn missing(stump: &Stump) -> Vec<&'static str> {
    let (facts, reading) = (&stump.facts, &stump.reading);
    let mut missing = Vec::new();
    for (known, what) in [
        (facts.species.is_some() || facts.wood.is_some(), "species"),
        (facts.felled.is_some(), "felling date"),
        (facts.cut_height_mm.is_some(), "height of cut"),
        (reading.scale.is_some(), "scale"),
    ] {
        if !known {
            missing.push(what);
        }
    }
    missing
}

/// Contradictions between what a person entered.
pub(crate) fn warnings(stump: &Stump) -> Vec<String> {
    scale_warning(stump).into_iter().collect()
}

/// Two scales that contradict each other: the tape in the photo and the width
/// inside the bark. The reading uses the tape.
fn scale_warning(stump: &Stump) -> Option<String> {
    /// Ratio of the two from which they contradict: a face is not round, and a
    /// width is measured one way, which accounts for some 10 % (judged).
    const MOST: f64 = 1.2;
    let scale = stump.reading.scale.as_ref()?;
    if scale.from != ScaleSource::Tape {
        return None;
    }
    let given = stump.facts.across_inside_bark_mm?;
    let across_px = width_inside_bark_px(stump)?;
    let by_tape_mm = across_px * scale.mm_per_px.0;
    let ratio = by_tape_mm / given.0;
    if ratio.max(1.0 / ratio) < MOST {
        return None;
    }
    let both = |mm: f64| format!("{:.1} in ({:.0} cm)", mm / 25.4, mm / 10.0);
    Some(format!(
        "The tape and the width inside bark contradict each other: by the tape the face is {} wide, \
         but {} was entered. The tape is used. Check the length typed for the tape, and the width",
        both(by_tape_mm),
        both(given.0)
    ))
}

/// Twice the mean distance of the bark edge from the pith, in pixels.
fn width_inside_bark_px(stump: &Stump) -> Option<f64> {
    let reading = &stump.reading;
    let pith = reading.pith.as_ref()?.point();
    let seen: Vec<f64> = reading
        .bark_edge_px
        .iter()
        .flatten()
        .map(|place| (place.x_px - pith.x_px).hypot(place.y_px - pith.y_px))
        .collect();
    if seen.is_empty() {
        return None;
    }
    Some(2.0 * seen.iter().sum::<f64>() / seen.len() as f64)
}
