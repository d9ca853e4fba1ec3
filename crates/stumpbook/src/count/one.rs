//! One photo: opened, read, kept, drawn.

use super::again;
use super::entry::Plan;
use super::request::Request;
use super::results::{Known, Results};
use super::tasks::Task;
use super::told;
use crate::picture;
use crate::trouble::Trouble;
use indicatif::ProgressBar;
use photo::PhotoError;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};
use wood::{Facts, Marks, Point, Reading, STUMP_FORMAT, Stump};

/// What came of a photo.
#[derive(Debug)]
pub(crate) struct Done {
    /// The photo, as it was named.
    pub(crate) photo: PathBuf,
    /// What is known of the stump, told before and now.
    pub(crate) facts: Facts,
    /// What the program made of it.
    pub(crate) reading: Reading,
    /// What was written, in order.
    pub(crate) written: Vec<PathBuf>,
    /// What the reading was made from.
    pub(crate) made_from: String,
    /// Whether it was kept from before.
    pub(crate) unchanged: bool,
}

/// What came of a task.
#[derive(Debug)]
pub(crate) enum Came {
    /// A reading, made now or kept.
    Done(Box<Done>),
    /// The file of results has its line already.
    InResults(Known),
    /// Nothing: why, with the photo and, where its bytes could be read, what
    /// was tried.
    Failed {
        /// The photo; `None` where the very name leads nowhere.
        photo: Option<PathBuf>,
        /// As [`Done::made_from`]; empty where the bytes could not be read.
        made_from: String,
        /// Why.
        trouble: Trouble,
    },
}

/// What is known before a photo is opened.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Before<'a> {
    /// Whether readings are kept where nothing changed: not when a person asks
    /// for one photo, for then they mean that it is read.
    pub(crate) keep: bool,
    /// The file of results, where there is one.
    pub(crate) results: Option<&'a Mutex<Results>>,
}

/// Does one task.
pub(crate) fn come(
    task: Result<Task, Trouble>,
    request: &Request,
    before: Before<'_>,
    bar: &ProgressBar,
) -> Came {
    let mut made_from = String::new();
    let mut photo = None;
    let came = task.and_then(|task| {
        photo = Some(task.photo().to_owned());
        read_photo(task.plan()?, request, before, &mut made_from, bar)
    });
    came.unwrap_or_else(|trouble| Came::Failed {
        photo,
        made_from,
        trouble,
    })
}

/// Reads one photo and writes what belongs to it.
///
/// # Errors
/// When the photo cannot be opened, a mark lies far off it, or nothing can be written.
fn read_photo(
    plan: Plan,
    request: &Request,
    before: Before<'_>,
    made_from: &mut String,
    bar: &ProgressBar,
) -> Result<Came, Trouble> {
    let Plan {
        photo,
        entry: kept_in,
        stem,
        kept,
    } = plan;
    let known = kept.is_some();
    let bytes = std::fs::read(&photo).map_err(|error| Trouble::cannot_read(&photo, &error))?;
    if let Some(kept) = &kept {
        check_photo(&photo, &kept_in, kept, &bytes)?;
    }
    let (facts, marks) = kept
        .map(|kept| (kept.facts, kept.marks))
        .unwrap_or_default();
    let facts = told::facts(facts, &request.told);
    let marks = told::marks(marks, &request.marks);
    check_hollow(&facts)?;
    let name = photo
        .file_name()
        .unwrap_or(photo.as_os_str())
        .to_string_lossy()
        .into_owned();
    bar.set_message(format!("{name}: opening"));
    *made_from = again::fingerprint(&bytes, &facts, &marks);
    if let Some(results) = before.results
        && let Some(known) = results
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .known(&photo, made_from)
    {
        return Ok(Came::InResults(known));
    }
    let unchanged = if before.keep {
        again::kept(&kept_in, made_from)
    } else {
        None
    };
    let done = |facts, reading, written, unchanged| {
        Ok(Came::Done(Box::new(Done {
            photo: photo.clone(),
            facts,
            reading,
            written,
            made_from: made_from.clone(),
            unchanged,
        })))
    };
    if let Some(reading) = &unchanged
        && request.out.is_none()
    {
        return done(facts, reading.clone(), Vec::new(), true);
    }
    let face = photo::open(&bytes, &request.limits).map_err(|error| {
        Trouble::failed(
            format!("cannot read {}: {error}", photo.display()),
            advice(&error),
        )
    })?;
    drop(bytes);
    check_places(&marks, face.rgb.dimensions())?;
    bar.set_message(format!("{name}: reading the rings"));
    let kept = unchanged.is_some();
    let reading = unchanged.unwrap_or_else(|| reader::read(&name, &face, &facts, &marks));
    let mut written = Vec::new();
    let something_told = known || facts != Facts::default() || marks != Marks::default();
    // A photo that is no stump gets no file, unless a person told something of it.
    let stump = Stump {
        format: STUMP_FORMAT,
        facts,
        marks,
        reading,
    };
    if !kept && (stump.reading.readable || something_told) {
        again::save(&kept_in, &stump, made_from)?;
        written.push(kept_in);
    }
    let Stump { facts, reading, .. } = stump;
    if let Some(folder) = &request.out
        && reading.readable
    {
        bar.set_message(format!("{name}: drawing"));
        let pictures = picture::Pictures {
            folder,
            stem: &stem,
            units: request.units,
        };
        written.extend(picture::write(&pictures, &face.rgb, &reading)?);
    }
    done(facts, reading, written, kept)
}

/// What to do about a photo that cannot be opened, with our option's name
/// where one helps; a photo that claims to be absurdly large is not helped.
fn advice(error: &PhotoError) -> String {
    /// Beyond this the advice is not to raise the limit.
    const BELIEVABLE: u64 = 2_000_000_000;
    match error {
        PhotoError::TooManyPixels { width, height, .. } => {
            let pixels = u64::from(*width) * u64::from(*height);
            if pixels > BELIEVABLE {
                return error.advice();
            }
            format!(
                "{}: --max-pixels {}M",
                error.advice(),
                pixels.div_ceil(1_000_000)
            )
        }
        _ => error.advice(),
    }
}

/// What a person entered for one photo is never applied to another photo that
/// has taken its name, as phones name every photo `image.jpg`.
fn check_photo(
    photo: &Path,
    entry: &Path,
    kept: &::entry::Kept,
    bytes: &[u8],
) -> Result<(), Trouble> {
    let steps = ::entry::steps_beside(entry);
    if !kept.is_of_another_photo(&again::photo_hash(bytes)) || !(kept.has_input() || steps.exists())
    {
        return Ok(());
    }
    let (width, height) = kept.photo_size_px;
    Err(Trouble::failed(
        format!(
            "{} was made for another photo, of {width} by {height} pixels, so its facts and marks were not applied to {}",
            entry.display(),
            photo.display()
        ),
        "rename this photo, or move that file away; stumpbook desk can start a new entry for the photo and keep the facts of the old one",
    ))
}

/// A hollow must be smaller than the face it is in.
fn check_hollow(facts: &Facts) -> Result<(), Trouble> {
    if let (Some(hollow), Some(across)) = (facts.hollow_radius_mm, facts.across_inside_bark_mm)
        && hollow.0 * 2.0 >= across.0
    {
        return Err(Trouble::usage(
            format!(
                "--hollow: a hollow of {:.1} in radius does not fit in a face {:.1} in across",
                hollow.inches(),
                across.inches()
            ),
            "--hollow takes the radius, from the middle to the first sound ring, as in --hollow 3in",
        ));
    }
    Ok(())
}

/// The pith may lie outside the photo, but not so far that rings would be
/// straight lines; a tape has to be in the photo.
fn check_places(marks: &Marks, (width, height): (u32, u32)) -> Result<(), Trouble> {
    /// How far outside the photo a pith may lie, in lengths of its longer side. Chosen.
    const PITH_OUTSIDE: f64 = 0.5;
    let longer = f64::from(width.max(height));
    let outside = |point: Point| {
        let off = |at: f64, size: u32| (-at).max(at - f64::from(size)).max(0.0);
        off(point.x_px, width).hypot(off(point.y_px, height))
    };
    if let Some(pith) = marks.pith
        && outside(pith) > PITH_OUTSIDE * longer
    {
        return Err(Trouble::usage(
            format!(
                "--pith: {},{} is far off the face: the photo is {width} by {height} pixels",
                pith.x_px, pith.y_px
            ),
            format!(
                "--pith {},{} for the middle of this photo",
                width / 2,
                height / 2
            ),
        ));
    }
    if let Some(tape) = marks.tape
        && outside(tape.from).max(outside(tape.to)) > 0.02 * longer
    {
        return Err(Trouble::usage(
            format!("--tape: an end lies outside the photo, which is {width} by {height} pixels"),
            format!(
                "--tape {},{},{},{}=24in for a tape across this photo",
                width / 10,
                height / 2,
                width * 9 / 10,
                height / 2
            ),
        ));
    }
    Ok(())
}

impl Done {
    /// The photo's name, as a person knows it.
    pub(crate) fn title(&self) -> &Path {
        &self.photo
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pith_a_little_outside_is_taken_and_one_far_off_is_not() {
        let with = |x, y| Marks {
            pith: Some(Point::new(x, y)),
            ..Marks::default()
        };
        for (x, y, taken) in [
            (500.0, 400.0, true),
            (-300.0, 400.0, true),
            (1400.0, 100.0, true),
            (-900.0, 400.0, false),
            (99999.0, 99999.0, false),
        ] {
            assert_eq!(
                check_places(&with(x, y), (1000, 800)).is_ok(),
                taken,
                "{x},{y}"
            );
        }
    }
}
