//! One photo: opened, read, kept, drawn.

use super::entry::Plan;
use super::joined_from::joined_from;
use super::merge_facts;
use super::request::Request;
use super::results::{Known, Results};
use super::tasks::Task;
use super::up_to_date;
use crate::error::CommandError;
use crate::picture;
use indicatif::ProgressBar;
use photo::{Face, PhotoError};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};
use wood::{Facts, Marks, MisplacedMark, Reading, Refusal, STUMP_FORMAT, Stump};

/// What came of a photo.
#[derive(Debug)]
pub(crate) struct Done {
    /// The photo, as it was named.
    pub(crate) photo: PathBuf,
    /// The pictures that the photo was joined from; empty for an ordinary photo.
    pub(crate) joined_from: Vec<String>,
    /// What is known of the stump, saved before and given now.
    pub(crate) facts: Facts,
    /// What the program made of it.
    pub(crate) reading: Reading,
    /// What was written, in order.
    pub(crate) written: Vec<PathBuf>,
    /// Why the reading or its pictures could not be written, where they could not.
    pub(crate) not_written: Option<CommandError>,
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
        error: CommandError,
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
    task: Result<Task, CommandError>,
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
    came.unwrap_or_else(|error| Came::Failed {
        photo,
        made_from,
        error,
    })
}

/// Reads one photo and writes what belongs to it.
///
/// # Errors
/// When the photo cannot be opened, or a mark is far off it.
fn read_photo(
    plan: Plan,
    request: &Request,
    before: Before<'_>,
    made_from: &mut String,
    bar: &ProgressBar,
) -> Result<Came, CommandError> {
    let Plan {
        photo,
        entry: kept_in,
        stem,
        kept,
    } = plan;
    let known = kept.is_some();
    let bytes = std::fs::read(&photo).map_err(|error| CommandError::cannot_read(&photo, &error))?;
    if let Some(kept) = &kept {
        check_photo(&photo, &kept_in, kept, &bytes)?;
    }
    let (facts, marks) = kept
        .map(|kept| (kept.facts, kept.marks))
        .unwrap_or_default();
    let mut facts = merge_facts::facts(facts, &request.facts);
    request.labels.apply(&mut facts);
    let marks = merge_facts::marks(marks, &request.marks);
    check_facts(&facts, request)?;
    let name = photo
        .file_name()
        .unwrap_or(photo.as_os_str())
        .to_string_lossy()
        .into_owned();
    bar.set_message(format!("{name}: opening"));
    *made_from = up_to_date::fingerprint(&bytes, &facts, &marks);
    if let Some(results) = before.results
        && let Some(known) = results
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
            .known(&photo, made_from)
    {
        return Ok(Came::InResults(known));
    }
    let joined_from = joined_from(&bytes);
    let unchanged = if before.keep {
        up_to_date::kept(&kept_in, made_from)
    } else {
        None
    };
    if let Some(reading) = &unchanged
        && request.out.is_none()
    {
        return Ok(Came::Done(Box::new(Done {
            photo,
            joined_from,
            facts,
            reading: reading.clone(),
            written: Vec::new(),
            not_written: None,
            made_from: made_from.clone(),
            unchanged: true,
        })));
    }
    let face = open(&photo, &bytes, request)?;
    drop(bytes);
    check_places(&marks, face.rgb.dimensions())?;
    bar.set_message(format!("{name}: reading the rings"));
    let kept = unchanged.is_some();
    let reading = unchanged.unwrap_or_else(|| {
        let reading = reader::read(&name, &face, &facts, &marks);
        blame_pith(reading, &name, &face, &facts, &marks)
    });
    let something_given = known || facts != Facts::default() || marks != Marks::default();
    // A photo that is no stump gets no file, unless a person gave something about it.
    let stump = Stump {
        format: STUMP_FORMAT,
        facts,
        marks,
        reading,
    };
    let mut written = Vec::new();
    let mut not_written = None;
    if !kept && (stump.reading.readable || something_given) {
        match up_to_date::save(&kept_in, &stump, made_from) {
            Ok(()) => written.push(kept_in),
            Err(error) => not_written = Some(not_saved(&error)),
        }
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
        match picture::write(&pictures, &face.rgb, &reading, &facts) {
            Ok(paths) => written.extend(paths),
            Err(error) => not_written = not_written.or(Some(error)),
        }
    }
    Ok(Came::Done(Box::new(Done {
        photo,
        joined_from,
        facts,
        reading,
        written,
        not_written,
        made_from: made_from.clone(),
        unchanged: kept,
    })))
}

/// Opens a photo.
///
/// # Errors
/// When it cannot be, with what to do.
pub(super) fn open(photo: &Path, bytes: &[u8], request: &Request) -> Result<Face, CommandError> {
    photo::open(bytes, &request.limits).map_err(|error| {
        CommandError::failed(
            format!("cannot read {}: {error}", photo.display()),
            advice(&error),
        )
    })
}

/// The reading was made and is printed, but will be forgotten.
fn not_saved(error: &CommandError) -> CommandError {
    CommandError::failed(
        format!("the reading above was not saved: {error}"),
        "copy the photo to a folder that you may write in, and count it there; or keep what was \
         printed, with --json all of it",
    )
}

/// A refusal that only the pith given by a person leads to says so: without it
/// the face may be a good one. This takes a second reading, of refused faces only.
fn blame_pith(reading: Reading, name: &str, face: &Face, facts: &Facts, marks: &Marks) -> Reading {
    let (Some(pith), Some(_)) = (marks.pith, &reading.refusal) else {
        return reading;
    };
    let without = Marks {
        pith: None,
        ..marks.clone()
    };
    let other = reader::read(name, face, facts, &without);
    let Some(count) = other.count.filter(|_| other.readable) else {
        return reading;
    };
    let refusal = reading.refusal.map(|refusal| Refusal {
        detail: format!(
            "the pith given at {},{} is not where the rings center: around it no rings can be \
             read, without it {} are",
            pith.x_px, pith.y_px, count.best
        ),
        advice: "clear it with --pith none, or give the place where the rings center".to_owned(),
        ..refusal
    });
    Reading { refusal, ..reading }
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
    kept: &::entry::Sidecar,
    bytes: &[u8],
) -> Result<(), CommandError> {
    let steps = ::entry::steps_beside(entry);
    if !kept.is_of_another_photo(&up_to_date::photo_hash(bytes))
        || !(kept.has_input() || steps.exists())
    {
        return Ok(());
    }
    let (width, height) = kept.photo_size_px;
    Err(CommandError::failed(
        format!(
            "{} was made for another photo, of {width} by {height} pixels, so its facts and marks were not applied to {}",
            entry.display(),
            photo.display()
        ),
        "rename this photo, or move that file away; stumpbook desk can start a new entry for the photo and keep the facts of the old one",
    ))
}

/// Facts that cannot all be true are refused.
fn check_facts(facts: &Facts, request: &Request) -> Result<(), CommandError> {
    facts.fit(request.units).map_err(|error| {
        CommandError::usage(
            format!("--hollow: {error}"),
            "--hollow takes the radius, from the middle to the first sound ring, as in --hollow 3in; \
             --hollow none or --across none clears what was saved",
        )
    })
}

/// Marks have to lie in or near the photo.
fn check_places(marks: &Marks, (width, height): (u32, u32)) -> Result<(), CommandError> {
    marks.fit((width, height)).map_err(|error| {
        let (option, advice) = match error {
            MisplacedMark::Pith(_) => (
                "--pith",
                format!(
                    "--pith {},{} for the middle of this photo, or --pith none",
                    width / 2,
                    height / 2
                ),
            ),
            MisplacedMark::Tape(_) => (
                "--tape",
                format!(
                    "--tape {},{},{},{}=24in for a tape across this photo, or --tape none",
                    width / 10,
                    height / 2,
                    width * 9 / 10,
                    height / 2
                ),
            ),
            MisplacedMark::Strip(_) | MisplacedMark::ShortStrip(..) => (
                "--strip",
                format!(
                    "--strip {},{},{},{} for a strip from the middle of this photo to its right, \
                     or --strip none",
                    width / 2,
                    height / 2,
                    width * 9 / 10,
                    height / 2
                ),
            ),
        };
        CommandError::usage(
            format!("{option}: {error}: the photo is {width} by {height} pixels"),
            advice,
        )
    })
}

impl Done {
    /// The photo's name, as a person knows it.
    pub(crate) fn title(&self) -> &Path {
        &self.photo
    }
}
