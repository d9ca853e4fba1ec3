//! Killed at a random moment, without a chance to tidy up.

use super::Ended;
use super::ground::{Ground, parts, whole_entry};
use crate::desk::{Asking, Desk};
use anyhow::{Context as _, bail};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::mpsc::Sender;
use std::time::{Duration, Instant};

/// Even chances from a seed (splitmix64; Steele, Lea and Flood 2014, from memory).
struct Chance(u64);

impl Chance {
    /// Up to `most`.
    fn wait(&mut self, most: Duration) -> Duration {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        mixed ^= mixed >> 31;
        most.mul_f64((mixed >> 11) as f64 / (1_u64 << 53) as f64)
    }
}

/// Starts a program, kills it after a random part of the time it needs; whether
/// it had ended by itself.
fn killed(command: &mut Command, wait: Duration) -> anyhow::Result<bool> {
    let mut child = command
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()?;
    std::thread::sleep(wait);
    let ended = child.try_wait()?.is_some();
    child
        .kill()
        .or_else(|error| if ended { Ok(()) } else { Err(error) })?;
    child.wait()?;
    Ok(ended)
}

/// Counting a stump, each time with another fact so that it is read again.
fn count_once(ground: &Ground, photo: &Path, nth: usize) -> Command {
    let mut command = ground.command(&["count", "--felled", &(1900 + nth % 120).to_string()]);
    command.arg(photo);
    command
}

/// Counting a stump again.
pub(super) fn counting(ground: &Ground, times: usize, seed: u64) -> anyhow::Result<Ended> {
    let place = ground.stump()?;
    let mut chance = Chance(seed);
    let count = |nth: usize| count_once(ground, &place.photo, nth);
    let start = Instant::now();
    count(0).output()?;
    let usual = start.elapsed();
    let mut ended = 0;
    for nth in 1..=times {
        ended += usize::from(killed(&mut count(nth), chance.wait(usual.mul_f64(1.1)))?);
        place.whole().with_context(|| format!("after kill {nth}"))?;
    }
    let left = parts(place.folder())?;
    count(0).output()?;
    place.whole()?;
    Ok(Ended::Held(format!(
        "{times} runs, {} killed at work; the entry was whole each time; {left} unfinished files were left, {} after one more count",
        times - ended,
        parts(place.folder())?
    )))
}

/// The same, killed as soon as the new entry is seen being written: a moment
/// that chance alone hits too seldom.
pub(super) fn writing(ground: &Ground, times: usize, seed: u64) -> anyhow::Result<Ended> {
    let place = ground.stump()?;
    let mut chance = Chance(seed ^ 0x3717);
    let (mut at_work, mut unfinished) = (0, 0);
    for nth in 1..=times {
        let mut child = count_once(ground, &place.photo, nth)
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()?;
        while parts(place.folder())? == unfinished && child.try_wait()?.is_none() {
            std::thread::sleep(Duration::from_micros(50));
        }
        std::thread::sleep(chance.wait(Duration::from_millis(3)));
        at_work += usize::from(child.try_wait()?.is_none());
        // One that has ended needs no killing.
        let _ = child.kill();
        child.wait()?;
        unfinished = parts(place.folder())?;
        place.whole().with_context(|| format!("after kill {nth}"))?;
    }
    Ok(Ended::Held(format!(
        "{times} runs, {at_work} killed at work; the entry was whole each time; {unfinished} unfinished files were left"
    )))
}

/// Marking on the page: every mark that was answered must be on the disk.
pub(super) fn marking(ground: &Ground, times: usize, seed: u64) -> anyhow::Result<Ended> {
    let place = ground.stump()?;
    let mut chance = Chance(seed ^ 0xD35C);
    let mut answered = 0;
    let entry = place.entry();
    for nth in 0..times {
        let desk = Desk::start(&ground.program, place.folder())?;
        let wait = chance.wait(Duration::from_millis(300));
        let asking = desk.asking();
        let (began, beginning) = std::sync::mpsc::channel();
        let marker = std::thread::spawn(move || marks(&asking, &began));
        // A desk that answers no mark at all within this time ends the test below.
        let _ = beginning.recv_timeout(Duration::from_secs(60));
        std::thread::sleep(wait);
        drop(desk);
        let answers = marker
            .join()
            .map_err(|_| anyhow::anyhow!("the marking thread fell"))?;
        let stump = place.whole().with_context(|| format!("after kill {nth}"))?;
        answered += answers.len();
        if answers.is_empty() {
            bail!("no mark was answered");
        }
        if let Some(last) = answers.last() {
            let on_disk = stump.facts.note.as_deref().unwrap_or_default();
            // The mark after the last answer may have been saved too.
            let numbers = (number(on_disk), number(last));
            if numbers.0 < numbers.1 {
                bail!(
                    "{last:?} was answered, and {} holds {on_disk:?}",
                    entry.display()
                );
            }
        }
    }
    Ok(Ended::Held(format!(
        "{times} desks killed, {answered} marks answered; each was on the disk"
    )))
}

fn number(text: &str) -> u64 {
    text.rsplit(' ')
        .next()
        .and_then(|last| last.parse().ok())
        .unwrap_or(0)
}

/// Sends facts one after the other until nobody answers, and says when it
/// begins; those that were answered.
fn marks(asking: &Asking, began: &Sender<()>) -> Vec<String> {
    let mut answered = Vec::new();
    let Ok((200, view)) = asking.ask("GET", "/api/stumps/oak.jpg", None) else {
        return answered;
    };
    let now = |view: &Value| view["stump"]["facts"]["note"].as_str().map_or(0, number);
    let (mut revision, mut next) = (view["revision"].clone(), now(&view) + 1);
    loop {
        let text = format!("note {next}");
        let edit = json!({"do": "fact", "name": "note", "text": text});
        let body = json!({"revision": revision, "edit": edit});
        match asking.ask("POST", "/api/stumps/oak.jpg/edit", Some(&body)) {
            Ok((200, view)) => {
                revision = view["revision"].clone();
                answered.push(text);
                next += 1;
                // Nobody waits for it after the first.
                let _ = began.send(());
            }
            _ => return answered,
        }
    }
}

/// Adding stumps to a book and noting years: what a run that ended well did
/// must be there, and every stump in the book must be whole.
pub(super) fn keeping(ground: &Ground, times: usize, seed: u64) -> anyhow::Result<Ended> {
    let folder = tempfile::tempdir()?;
    let book = folder.path().join("hollow.book");
    let run = |args: &[&str]| -> anyhow::Result<String> {
        let output = ground.command(args).output()?;
        if !output.status.success() {
            bail!(
                "{args:?} failed: {}",
                String::from_utf8_lossy(&output.stderr)
            );
        }
        Ok(String::from_utf8_lossy(&output.stdout).into_owned())
    };
    let (book_text, from) = (
        book.display().to_string(),
        ground.woodlot.display().to_string(),
    );
    run(&["woodlot", "new", &book_text])?;
    let start = Instant::now();
    run(&["woodlot", "add", &book_text, &from])?;
    let usual = start.elapsed();
    let truth = entries(&ground.woodlot)?;
    let mut chance = Chance(seed ^ 0xB00C);
    let (mut ended, mut names) = (0, truth.keys().cycle());
    // Stumps that were taken out, or may have been, since an adding ended well.
    let mut out = 0;
    for nth in 0..times {
        let name = names.next().context("the woodlot has stumps")?;
        let wait = chance.wait(usual.mul_f64(1.1));
        let removes = nth % 3 == 2;
        let mut command = if removes {
            ground.command(&["woodlot", "remove", &book_text, name])
        } else {
            ground.command(&["woodlot", "add", &book_text, &from])
        };
        let by_itself = killed(&mut command, wait)?;
        ended += usize::from(by_itself);
        if removes {
            out += 1;
        } else if by_itself {
            out = 0;
        }
        let listed = run(&["woodlot", "list", &book_text, "--json"])
            .with_context(|| format!("after kill {nth}"))?;
        if listed.lines().count() + out < truth.len() {
            bail!(
                "after kill {nth} the book holds {} stumps",
                listed.lines().count()
            );
        }
    }
    run(&["woodlot", "add", &book_text, &from])?;
    for (name, entry) in &truth {
        let shown = run(&["woodlot", "show", &book_text, name, "--json"])?;
        if serde_json::from_str::<Value>(&shown)? != *entry {
            bail!("{name} in the book is not the stump that was added");
        }
    }
    Ok(Ended::Held(format!(
        "{times} runs, {} killed at work; the book opened each time, no stump was lost or changed",
        times - ended
    )))
}

/// The entries of a folder, by stump.
fn entries(folder: &std::path::Path) -> anyhow::Result<BTreeMap<String, Value>> {
    let mut all = BTreeMap::new();
    for file in fs::read_dir(folder)? {
        let path = file?.path();
        let name = path
            .file_name()
            .unwrap_or_default()
            .to_string_lossy()
            .into_owned();
        if let Some(stem) = name.strip_suffix(".stump.json") {
            all.insert(stem.to_owned(), serde_json::to_value(whole_entry(&path)?)?);
        }
    }
    Ok(all)
}
