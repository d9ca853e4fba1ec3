//! An open stump: what is said of it, its reading, and its file.

use crate::edit::{self, Edit};
use crate::far::Far;
use crate::fault::Fault;
use crate::folder::Folder;
use crate::ground::Ground;
use crate::history::{History, Said};
use crate::straight;
use crate::view::{View, doubts};
use axum::body::Bytes;
use axum::http::StatusCode;
use entry::EntryError;
use photo::{Face, Limits};
use reader::Kept;
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError, TryLockError};
use std::time::{Duration, Instant, SystemTime};
use wood::{STUMP_FORMAT, Stump};

/// A tab that has not asked for this long is closed. Tabs ask every two seconds.
const TAB_GONE: Duration = Duration::from_secs(7);

/// When and how large a file was, to notice that it changed.
pub(crate) type Stamp = Option<(SystemTime, u64)>;

/// A stump that some page has opened.
#[derive(Debug)]
pub(crate) struct Open {
    name: String,
    photo: PathBuf,
    revision: AtomicU64,
    tabs: Mutex<BTreeMap<String, Instant>>,
    far: Far,
    /// Room that the pixels and what was made of them take, or took when they
    /// were held last, in bytes; 0 before that.
    room_bytes: AtomicU64,
    held: AtomicBool,
    work: Mutex<Option<Work>>,
}

#[derive(Debug)]
struct Work {
    entry: PathBuf,
    stamp: Stamp,
    stump: Stump,
    size_px: (u32, u32),
    taken: Option<String>,
    reading_ms: f64,
    history: History,
    /// Straightenings so far; each has its number.
    levels: u64,
    heavy: Option<Heavy>,
}

/// What takes room, and can be made again from the photo.
#[derive(Debug)]
struct Heavy {
    face: Face,
    now: Level,
    /// The straightening before, so that a pith moved by mistake is quickly undone.
    before: Option<Level>,
    photo: Option<Bytes>,
}

/// One straightening of the face.
#[derive(Debug)]
struct Level {
    number: u64,
    kept: Kept,
    /// The course at the upper edge of the unrolled picture.
    top_course: f64,
    /// The unrolled picture and its numbers.
    laid: Option<(Bytes, Bytes)>,
}

impl Level {
    fn new(number: u64, face: &Face, said: &Said, far: &Far) -> Result<Self, Fault> {
        let kept = far.watch(|watch| Kept::watched(face, &said.facts, &said.marks, watch))?;
        Ok(Self {
            number,
            kept,
            top_course: 0.0,
            laid: None,
        })
    }
}

/// Rasters as large as the unrolled face that one straightening comes to, four
/// bytes a place: lightness, what is seen, where each place lies, and what the
/// network made of it (reckoned from the memory of desks with two and ten photos).
const RASTERS: u64 = 12;

impl Heavy {
    /// About how much room it takes.
    fn bytes(&self) -> u64 {
        // Colour takes three bytes a pixel, lightness four a value.
        let face =
            self.face.rgb.as_raw().len() as u64 + 4 * self.face.lightness.values.len() as u64;
        let level = |level: &Level| {
            let unrolled = level.kept.followed().map(|followed| &followed.unrolled);
            4 * RASTERS * unrolled.map_or(0, |unrolled| unrolled.lightness.len() as u64)
        };
        face + level(&self.now) + self.before.as_ref().map_or(0, level)
    }

    /// Makes the straightening that these marks need the one at hand; whether
    /// it was at hand, or the one before.
    fn turn_to(&mut self, said: &Said) -> bool {
        let earlier = self
            .before
            .as_ref()
            .is_some_and(|level| level.kept.fits(&said.facts, &said.marks));
        if earlier
            && !self.now.kept.fits(&said.facts, &said.marks)
            && let Some(before) = self.before.as_mut()
        {
            std::mem::swap(before, &mut self.now);
        }
        self.now.kept.fits(&said.facts, &said.marks)
    }
}

/// What is asked to be done on a stump.
#[derive(Debug)]
pub(crate) enum Ask<'a> {
    Edit(&'a Edit),
    Undo,
    Redo,
}

impl Open {
    pub(crate) fn new(name: &str, photo: PathBuf) -> Self {
        Self {
            name: name.to_owned(),
            photo,
            revision: AtomicU64::new(1),
            tabs: Mutex::new(BTreeMap::new()),
            far: Far::default(),
            room_bytes: AtomicU64::new(0),
            held: AtomicBool::new(false),
            work: Mutex::new(None),
        }
    }

    pub(crate) fn name(&self) -> &str {
        &self.name
    }

    /// How far the long reading of this stump is, and breaking it off.
    pub(crate) fn far(&self) -> &Far {
        &self.far
    }

    /// Room that the pixels and what was made of them take now, in bytes.
    pub(crate) fn held_bytes(&self) -> u64 {
        if self.held.load(Ordering::SeqCst) {
            self.room_bytes.load(Ordering::SeqCst)
        } else {
            0
        }
    }

    /// The room that they took when they were held last.
    pub(crate) fn known_bytes(&self) -> Option<u64> {
        Some(self.room_bytes.load(Ordering::SeqCst)).filter(|bytes| *bytes > 0)
    }

    fn hold(&self, heavy: &Heavy) {
        self.room_bytes.store(heavy.bytes(), Ordering::SeqCst);
        self.held.store(true, Ordering::SeqCst);
    }

    /// Gives the pixels back, unless they are in use right now.
    pub(crate) fn let_go(&self) {
        let mut work = match self.work.try_lock() {
            Ok(work) => work,
            Err(TryLockError::Poisoned(poisoned)) => poisoned.into_inner(),
            Err(TryLockError::WouldBlock) => return,
        };
        if let Some(work) = work.as_mut() {
            work.heavy = None;
            self.held.store(false, Ordering::SeqCst);
        }
    }

    /// Notes that a tab looks at this stump; the revision, and how many others do.
    pub(crate) fn watch(&self, tab: &str) -> (u64, usize) {
        const MOST_TABS: usize = 64;
        let mut tabs = self.tabs.lock().unwrap_or_else(PoisonError::into_inner);
        let now = Instant::now();
        tabs.retain(|_, seen| now.duration_since(*seen) < TAB_GONE);
        if tabs.len() < MOST_TABS || tabs.contains_key(tab) {
            tabs.insert(tab.to_owned(), now);
        }
        let others = tabs.len().saturating_sub(1);
        (self.revision.load(Ordering::SeqCst), others)
    }

    /// A tab looks at this stump no longer.
    pub(crate) fn leave(&self, tab: &str) {
        let mut tabs = self.tabs.lock().unwrap_or_else(PoisonError::into_inner);
        tabs.remove(tab);
    }

    /// The stump as JSON.
    pub(crate) fn view(&self, folder: &Folder) -> Result<Vec<u8>, Fault> {
        let mut guard = self.lock();
        let work = self.opened(folder, &mut guard)?;
        self.take_over(folder, work)?;
        self.told(work, None)
    }

    /// Does what is asked, saves it, and gives the stump as JSON.
    pub(crate) fn change(
        &self,
        folder: &Folder,
        revision: u64,
        ask: &Ask<'_>,
    ) -> Result<Vec<u8>, Fault> {
        let mut guard = self.lock();
        let work = self.opened(folder, &mut guard)?;
        if self.take_over(folder, work)? || revision != self.revision.load(Ordering::SeqCst) {
            return Err(Fault::new(
                StatusCode::CONFLICT,
                "this stump was changed elsewhere a moment ago, so the last step was not taken",
                "look at what changed, then mark again",
            ));
        }
        let before = work.said();
        let (said, done) = match ask {
            Ask::Edit(edit) => {
                let (said, what) = self.edited(work, edit, &before)?;
                if said == before {
                    return self.told(work, Some(what));
                }
                self.put(work, said)?;
                work.history.note(before, &what);
                let after = work.said();
                let kept = work.history.keep_noted(&work.entry, &after);
                return self.changed(work, what, kept);
            }
            Ask::Undo => (work.history.undo(before.clone()), "undone"),
            Ask::Redo => (work.history.redo(before.clone()), "done again"),
        };
        let Some((said, what)) = said else {
            return Err(Fault::wrong(
                format!("nothing can be {done}"),
                "mark something first",
            ));
        };
        if let Err(fault) = self.put(work, said) {
            // The step goes back to where it was.
            let _ = match ask {
                Ask::Undo => work.history.redo(before),
                Ask::Edit(_) | Ask::Redo => work.history.undo(before),
            };
            return Err(fault);
        }
        let kept = match ask {
            Ask::Undo => work.history.keep_undone(&work.entry),
            Ask::Redo | Ask::Edit(_) => work.history.keep_redone(&work.entry),
        };
        self.changed(work, format!("{done}: {what}"), kept)
    }

    /// The upright photo as a JPEG.
    pub(crate) fn photo(&self, folder: &Folder) -> Result<Bytes, Fault> {
        let mut guard = self.lock();
        let work = self.opened(folder, &mut guard)?;
        let heavy = self.heavy_mut(work)?;
        if heavy.photo.is_none() {
            heavy.photo = Some(straight::photo(&heavy.face).map_err(|error| cannot_draw(&error))?);
        }
        Ok(heavy.photo.clone().unwrap_or_default())
    }

    /// The unrolled picture and its numbers.
    pub(crate) fn laid(&self, folder: &Folder) -> Result<(Bytes, Bytes), Fault> {
        let mut guard = self.lock();
        let work = self.opened(folder, &mut guard)?;
        let heavy = self.heavy_mut(work)?;
        if let Some((picture, field)) = &heavy.now.laid {
            return Ok((picture.clone(), field.clone()));
        }
        let followed = heavy.now.kept.followed().ok_or_else(|| {
            Fault::wrong(
                "no rings were read on this face, so there is nothing to unroll",
                "drag the pith to where it is, or take the photo again",
            )
        })?;
        let top = straight::straight(followed, heavy.now.number).top_course;
        let picture =
            straight::picture(&heavy.face, followed, top).map_err(|error| cannot_draw(&error))?;
        let field = straight::field(followed, top);
        heavy.now.laid = Some((picture.clone(), field.clone()));
        Ok((picture, field))
    }

    fn lock(&self) -> MutexGuard<'_, Option<Work>> {
        // Work is only ever put whole, so a poisoned lock holds a whole one.
        self.work.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The work on this stump, begun if it is not yet.
    fn opened<'w>(
        &self,
        folder: &Folder,
        guard: &'w mut MutexGuard<'_, Option<Work>>,
    ) -> Result<&'w mut Work, Fault> {
        if guard.is_none() {
            **guard = Some(self.begin(folder)?);
        }
        guard
            .as_mut()
            .ok_or_else(|| Fault::broken("opening the stump"))
    }

    /// Opens the photo, reads it, and keeps what `count` would keep.
    fn begin(&self, folder: &Folder) -> Result<Work, Fault> {
        let place = folder.entry(&self.photo)?;
        let known = place.kept.is_some();
        let (facts, marks) = place
            .kept
            .map(|kept| (kept.facts, kept.marks))
            .unwrap_or_default();
        let face = self.face()?;
        let start = Instant::now();
        let said = Said { facts, marks };
        let history = History::load(&place.entry, &said)?;
        let mut now = Level::new(1, &face, &said, &self.far)?;
        let Said { facts, marks } = said;
        let reading = now.kept.read(&self.name, &face, &facts, &marks);
        let reading_ms = milliseconds(start);
        let mut work = Work {
            stamp: stamp(&place.entry),
            entry: place.entry,
            stump: Stump {
                format: STUMP_FORMAT,
                facts,
                marks,
                reading,
            },
            size_px: face.rgb.dimensions(),
            taken: face.taken.map(|day| day.to_string()),
            reading_ms,
            history,
            levels: 1,
            heavy: Some(Heavy {
                face,
                now,
                before: None,
                photo: None,
            }),
        };
        if let Some(heavy) = &work.heavy {
            self.hold(heavy);
        }
        // A photo that is no stump gets no file, unless a person told something of it.
        if work.stump.reading.readable || known {
            // Nothing new was told yet, so a folder that cannot be written to
            // (another's, a disk that is full) can still be looked through; a
            // mark there is refused with the reason.
            let _ = work.save();
        }
        Ok(work)
    }

    fn face(&self) -> Result<Face, Fault> {
        let bytes = fs::read(&self.photo).map_err(|error| {
            Fault::wrong(
                format!("cannot read {}: {error}", self.name),
                "check that the photo is still in the folder",
            )
        })?;
        photo::open(&bytes, &Limits::default()).map_err(|error| Fault::photo(&self.name, &error))
    }

    /// The pixels and the straightened rings, made again if they were let go.
    fn heavy_mut<'w>(&self, work: &'w mut Work) -> Result<&'w mut Heavy, Fault> {
        if work.heavy.is_none() {
            let face = self.face()?;
            let said = work.said();
            let mut now = Level::new(work.levels, &face, &said, &self.far)?;
            now.kept.read(&self.name, &face, &said.facts, &said.marks);
            let heavy = Heavy {
                face,
                now,
                before: None,
                photo: None,
            };
            self.hold(&heavy);
            work.heavy = Some(heavy);
        }
        work.heavy
            .as_mut()
            .ok_or_else(|| Fault::broken("opening the photo"))
    }

    /// Takes over what another program wrote into the entry; whether it did.
    fn take_over(&self, folder: &Folder, work: &mut Work) -> Result<bool, Fault> {
        if stamp(&work.entry) == work.stamp {
            return Ok(false);
        }
        let place = folder.entry(&self.photo)?;
        let before = work.said();
        let said = place
            .kept
            .map(|kept| Said {
                facts: kept.facts,
                marks: kept.marks,
            })
            .unwrap_or_default();
        work.entry = place.entry;
        work.stamp = stamp(&work.entry);
        if said == before {
            return Ok(false);
        }
        self.read(work, said)?;
        work.history.note_elsewhere(before);
        // What cannot be kept can still be undone for as long as the desk runs.
        let after = work.said();
        let _ = work.history.keep_noted(&work.entry, &after);
        self.revision.fetch_add(1, Ordering::SeqCst);
        Ok(true)
    }

    /// What is said after an edit, and what was done.
    fn edited(&self, work: &mut Work, edit: &Edit, before: &Said) -> Result<(Said, String), Fault> {
        self.heavy_mut(work)?;
        let reading = &work.stump.reading;
        let kept = work.heavy.as_ref().map(|heavy| &heavy.now.kept);
        let ground = Ground {
            rings: &reading.rings,
            followed: kept.and_then(Kept::followed).filter(|_| reading.readable),
            size: work.size_px,
        };
        edit::apply(edit, ground, before)
    }

    /// Puts what is said, reads again and saves; on trouble all is as before.
    fn put(&self, work: &mut Work, said: Said) -> Result<(), Fault> {
        let before = work.said();
        let quick = self.heavy_mut(work)?.turn_to(&said);
        let done = (|| {
            if !quick {
                // A long reading must not be what a mark waits for to be safe.
                work.stump.facts.clone_from(&said.facts);
                work.stump.marks.clone_from(&said.marks);
                work.save()?;
            }
            self.read(work, said)?;
            work.save()
        })();
        if done.is_err() {
            self.read(work, before)?;
            if !quick {
                // The mark was saved before its reading, which did not end.
                work.save()?;
            }
        }
        done
    }

    fn read(&self, work: &mut Work, said: Said) -> Result<(), Fault> {
        let start = Instant::now();
        let mut levels = work.levels;
        let heavy = self.heavy_mut(work)?;
        if !heavy.turn_to(&said) {
            levels += 1;
            let now = Level::new(levels, &heavy.face, &said, &self.far)?;
            heavy.before = Some(std::mem::replace(&mut heavy.now, now));
            self.hold(heavy);
        }
        let now = &mut heavy.now;
        let reading = now
            .kept
            .read(&self.name, &heavy.face, &said.facts, &said.marks);
        let top = now.kept.followed().map_or(0.0, straight::top_course);
        // A bark edge further out needs a taller picture, under a new number.
        if (top - now.top_course).abs() > 0.5 {
            if now.laid.take().is_some() {
                levels += 1;
                now.number = levels;
            }
            now.top_course = top;
        }
        work.levels = levels;
        work.stump = Stump {
            format: STUMP_FORMAT,
            facts: said.facts,
            marks: said.marks,
            reading,
        };
        work.reading_ms = milliseconds(start);
        Ok(())
    }

    /// Tells what was done; `kept` is whether undoing it outlasts the desk.
    fn changed(
        &self,
        work: &mut Work,
        what: String,
        kept: Result<(), EntryError>,
    ) -> Result<Vec<u8>, Fault> {
        self.revision.fetch_add(1, Ordering::SeqCst);
        let done = match kept {
            Ok(()) => what,
            Err(error) => format!("{what}; saved, but undo ends with this program: {error}"),
        };
        self.told(work, Some(done))
    }

    fn told(&self, work: &mut Work, done: Option<String>) -> Result<Vec<u8>, Fault> {
        let straight = {
            let readable = work.stump.reading.readable;
            let now = &self.heavy_mut(work)?.now;
            now.kept
                .followed()
                .filter(|_| readable)
                .map(|followed| straight::straight(followed, now.number))
        };
        let view = View {
            file: &self.name,
            revision: self.revision.load(Ordering::SeqCst),
            done,
            undo: work.history.last(),
            redo: work.history.next(),
            size_px: work.size_px,
            taken: work.taken.clone(),
            reading_ms: work.reading_ms,
            doubts: doubts(&work.stump),
            heart_unread: growth::unread_heart(&work.stump.reading.rings).is_some(),
            straight,
            stump: &work.stump,
        };
        serde_json::to_vec(&view).map_err(|error| Fault::broken(&error.to_string()))
    }
}

impl Work {
    fn said(&self) -> Said {
        Said {
            facts: self.stump.facts.clone(),
            marks: self.stump.marks.clone(),
        }
    }

    fn save(&mut self) -> Result<(), Fault> {
        entry::save(&self.entry, &self.stump)?;
        self.stamp = stamp(&self.entry);
        Ok(())
    }
}

/// When and how large a file is now; `None` where there is none.
pub(crate) fn stamp(path: &Path) -> Stamp {
    let what = fs::metadata(path).ok()?;
    Some((what.modified().ok()?, what.len()))
}

fn milliseconds(since: Instant) -> f64 {
    (since.elapsed().as_secs_f64() * 10_000.0).round() / 10.0
}

fn cannot_draw(error: &image::ImageError) -> Fault {
    Fault::wrong(
        format!("the picture cannot be drawn: {error}"),
        "load the page again",
    )
}
