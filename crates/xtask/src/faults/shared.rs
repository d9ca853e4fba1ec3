//! Files that others change, and programs side by side.

use super::Ended;
use super::ground::Ground;
use anyhow::{Context as _, bail};
use std::fs::{self, File};
use std::process::{Child, Stdio};
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, SystemTime};

/// A photo that is written again, cut off and whole, while it is counted.
pub(super) fn changing(ground: &Ground) -> anyhow::Result<Ended> {
    const TIMES: usize = 30;
    let place = ground.stump()?;
    let stop = AtomicBool::new(false);
    let codes = std::thread::scope(|scope| -> anyhow::Result<[usize; 4]> {
        let writer = scope.spawn(|| {
            let mut length = ground.photo.len();
            while !stop.load(Ordering::Relaxed) {
                length = (length + 7919) % ground.photo.len();
                // A failed write is as good a disturbance as any.
                let _ = fs::write(&place.photo, &ground.photo[..length]);
                let _ = fs::write(&place.photo, &ground.photo);
                std::thread::sleep(Duration::from_millis(length as u64 % 40));
            }
        });
        let mut codes = [0; 4];
        for year in 0..TIMES {
            let output = ground
                .command(&["count", "--felled", &(1990 + year).to_string()])
                .arg(&place.photo)
                .output();
            match output.map(|output| output.status.code()) {
                Ok(Some(code @ 0..=3)) => codes[code as usize] += 1,
                other => {
                    stop.store(true, Ordering::Relaxed);
                    bail!("ended with {other:?}");
                }
            }
            if let Err(error) = place.whole() {
                stop.store(true, Ordering::Relaxed);
                return Err(error);
            }
        }
        stop.store(true, Ordering::Relaxed);
        writer
            .join()
            .map_err(|_| anyhow::anyhow!("the writer fell"))?;
        Ok(codes)
    })?;
    Ok(Ended::Held(format!(
        "{TIMES} counts: {} read, {} refused the file, {} the face; the entry was whole each time",
        codes[0], codes[1], codes[3]
    )))
}

/// The clock itself cannot be set here; what it leaves behind can.
pub(super) fn clock(ground: &Ground) -> anyhow::Result<Ended> {
    let place = ground.stump()?;
    let count = |year: &str| -> anyhow::Result<()> {
        let output = ground
            .command(&["count", "--felled", year])
            .arg(&place.photo)
            .output()?;
        if !output.status.success() {
            bail!("{}", String::from_utf8_lossy(&output.stderr));
        }
        let felled = place
            .whole()?
            .facts
            .felled
            .context("felled is lost")?
            .to_string();
        if felled != year {
            bail!("given {year}, saved {felled}");
        }
        Ok(())
    };
    let early = SystemTime::UNIX_EPOCH + Duration::from_secs(1);
    let late = SystemTime::UNIX_EPOCH + Duration::from_secs(130 * 365 * 24 * 3600);
    for (nth, (photo, entry)) in [(early, late), (late, early), (early, early), (late, late)]
        .into_iter()
        .enumerate()
    {
        File::options()
            .append(true)
            .open(&place.photo)?
            .set_modified(photo)?;
        File::options()
            .append(true)
            .open(place.entry())?
            .set_modified(entry)?;
        count(&(2001 + nth).to_string())?;
    }
    Ok(Ended::Held(
        "photo and entry each before and after the other: read anew each time".into(),
    ))
}

/// Two counts of one photo and a folder of photos at the same time.
pub(super) fn folder(ground: &Ground) -> anyhow::Result<Ended> {
    const TIMES: usize = 15;
    let place = ground.stump()?;
    for name in ["ash.jpg", "elm.jpg"] {
        fs::copy(&place.photo, place.folder().join(name))?;
    }
    for nth in 0..TIMES {
        let year = (1990 + nth).to_string();
        let both: Vec<Child> = [place.folder(), &place.photo]
            .into_iter()
            .map(|what| {
                ground
                    .command(&["count", "--felled", &year])
                    .arg(what)
                    .stdout(Stdio::null())
                    .stderr(Stdio::null())
                    .spawn()
            })
            .collect::<Result<_, _>>()?;
        for mut child in both {
            let status = child.wait()?;
            if !status.success() {
                bail!("one of two counts ended with {status}");
            }
        }
        let stump = place.whole()?;
        if stump
            .facts
            .felled
            .map(|felled| felled.to_string())
            .as_deref()
            != Some(&*year)
        {
            bail!("both were given {year}, saved is {:?}", stump.facts.felled);
        }
    }
    Ok(Ended::Held(format!(
        "{TIMES} times two: all entries whole, no fact was lost"
    )))
}

/// Two programs that write into one book at once: what each says it did is there.
pub(super) fn book(ground: &Ground) -> anyhow::Result<Ended> {
    const YEARS: i32 = 25;
    let folder = tempfile::tempdir()?;
    let book = folder.path().join("hollow.book").display().to_string();
    let done = |args: &[&str]| -> anyhow::Result<bool> {
        let output = ground.command(args).output()?;
        let said = String::from_utf8_lossy(&output.stderr);
        if said.contains("panicked") {
            bail!("{said}");
        }
        Ok(output.status.success())
    };
    if !done(&["woodlot", "new", &book])? {
        bail!("a new book cannot be made");
    }
    let note = |from: i32| -> anyhow::Result<Vec<i32>> {
        let mut noted = Vec::new();
        for year in from..from + YEARS {
            if done(&[
                "woodlot",
                "remember",
                &book,
                &year.to_string(),
                "a dry year",
            ])? {
                noted.push(year);
            }
        }
        Ok(noted)
    };
    let (one, two) = std::thread::scope(|scope| {
        let other = scope.spawn(|| note(1900));
        let one = note(1950);
        (one, other.join())
    });
    let two = two.map_err(|_| anyhow::anyhow!("a writer fell"))??;
    let noted: Vec<i32> = one?.into_iter().chain(two).collect();
    let from = ground.woodlot.display().to_string();
    if !done(&["woodlot", "add", &book, &from])? {
        bail!("the book takes no stumps any more");
    }
    let years = ground
        .command(&["woodlot", "years", &book, "--json"])
        .output()?;
    let text = String::from_utf8_lossy(&years.stdout);
    let kept = text.matches("a dry year").count();
    if kept < noted.len() {
        bail!("{} years were noted, {kept} are in the book", noted.len());
    }
    Ok(Ended::Held(format!(
        "{} of {} notes said done, {kept} kept",
        noted.len(),
        2 * YEARS
    )))
}
