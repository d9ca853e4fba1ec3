//! No room, no right to write, little memory.

use super::Ended;
use super::ground::{Ground, Place, check_advice, parts};
use crate::desk::Desk;
use anyhow::{Context as _, bail};
use serde_json::json;
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

/// The shell's limit on the size of a file stands in for a disk that fills up
/// while a file is written.
pub(super) fn no_room(ground: &Ground) -> anyhow::Result<Ended> {
    let place = ground.stump()?;
    let before = fs::read(place.entry())?;
    let photo = place.photo.display().to_string();
    check_advice(
        &ground
            .limited("-f 1", &["count", "--felled", "2025", &photo])
            .output()?,
    )?;
    unchanged(&place, &before)?;
    // A chart, a sheet, a table.
    let entry = place.entry().display().to_string();
    let to = |name: &str| place.folder().join(name).display().to_string();
    check_advice(
        &ground
            .limited("-f 1", &["sheet", &entry, "--out", &to("sheet")])
            .output()?,
    )?;
    check_advice(
        &ground
            .limited("-f 0", &["export", &entry, "--to", &to("rings.csv")])
            .output()?,
    )?;
    check_advice(
        &ground
            .limited("-f 4", &["woodlot", "new", &to("hollow.book")])
            .output()?,
    )?;
    unchanged(&place, &before)?;
    let left = parts(place.folder())?;
    if left > 0 {
        bail!("{left} unfinished files are left");
    }
    Ok(Ended::Held(
        "count, sheet, export and a new book: reported, the entry as it was, nothing half-written"
            .into(),
    ))
}

fn unchanged(place: &Place, before: &[u8]) -> anyhow::Result<()> {
    if fs::read(place.entry())? == before {
        Ok(())
    } else {
        bail!("{} changed", place.entry().display())
    }
}

/// A file system of 512 KB that is full but for a little.
pub(super) fn full_disk(ground: &Ground) -> anyhow::Result<Ended> {
    let place = ground.stump()?;
    let disk = place.folder().join("disk");
    fs::create_dir(&disk)?;
    let mounted = shell(&["mount", "-t", "tmpfs", "-o", "size=512k", "none"], &disk);
    if !mounted {
        return Ok(Ended::NotRun(
            "mounting a small disk is not allowed here".into(),
        ));
    }
    let result = on_full_disk(ground, &place, &disk);
    shell(&["umount", "-l"], &disk);
    result
}

fn on_full_disk(ground: &Ground, place: &Place, disk: &Path) -> anyhow::Result<Ended> {
    let (photo, entry) = (disk.join("oak.jpg"), disk.join("oak.stump.json"));
    fs::copy(&place.photo, &photo)?;
    fs::copy(place.entry(), &entry)?;
    let book = disk.join("hollow.book");
    let book_text = book.display().to_string();
    ground.command(&["woodlot", "new", &book_text]).output()?;
    fill(&disk.join("filler"))?;
    let (before, book_before) = (fs::read(&entry)?, fs::read(&book)?);
    check_advice(
        &ground
            .command(&["count", "--felled", "2025"])
            .arg(&photo)
            .output()?,
    )?;
    let from = ground.woodlot.display().to_string();
    check_advice(
        &ground
            .command(&["woodlot", "add", &book_text, &from])
            .output()?,
    )?;
    // The desk: a mark that cannot be saved is answered so.
    let desk = Desk::start(&ground.program, disk)?;
    let asking = desk.asking();
    let (_, view) = asking.ask("GET", "/api/stumps/oak.jpg", None)?;
    let edit = json!({"do": "fact", "name": "felled", "text": "2021"});
    let body = json!({"revision": view["revision"], "edit": edit});
    let (status, answer) = asking.ask("POST", "/api/stumps/oak.jpg/edit", Some(&body))?;
    if status == 200 {
        bail!("the desk says that it saved: {answer}");
    }
    drop(desk);
    if fs::read(&entry)? != before || fs::read(&book)? != book_before {
        bail!("a file changed on a full disk");
    }
    if parts(disk)? > 0 {
        bail!("unfinished files are left");
    }
    fs::remove_file(disk.join("filler"))?;
    let after = ground.command(&["woodlot", "list", &book_text]).output()?;
    if !after.status.success() {
        bail!("the book cannot be opened any more");
    }
    Ok(Ended::Held(format!(
        "count, book and desk (answer {status}): reported, entry and book as they were"
    )))
}

/// Takes all the room that is left.
fn fill(path: &Path) -> anyhow::Result<()> {
    use std::io::Write as _;
    let mut file = fs::File::create(path)?;
    while file.write(&[0; 4096]).is_ok_and(|written| written > 0) {}
    Ok(())
}

fn shell(words: &[&str], last: &Path) -> bool {
    Command::new(words[0])
        .args(&words[1..])
        .arg(last)
        .stderr(Stdio::null())
        .status()
        .is_ok_and(|status| status.success())
}

/// As another user than the one who owns the folder, where we may become one.
pub(super) fn read_only(ground: &Ground) -> anyhow::Result<Ended> {
    let place = ground.stump()?;
    let before = fs::read(place.entry())?;
    if !shell(&["chmod", "755"], place.folder()) {
        return Ok(Ended::NotRun("there is no chmod".into()));
    }
    let other = |program: &Path| {
        let mut command = Command::new("setpriv");
        command.args(["--reuid=65534", "--regid=65534", "--clear-groups"]);
        command.arg(program).stdin(Stdio::null());
        command
    };
    if !shell(
        &["setpriv", "--reuid=65534", "--clear-groups"],
        Path::new("true"),
    ) {
        return Ok(Ended::NotRun(
            "becoming another user is not allowed here".into(),
        ));
    }
    // The program must be where that user can reach it.
    let reachable = tempfile::tempdir()?;
    shell(&["chmod", "755"], reachable.path());
    let program = reachable.path().join("stumpbook");
    fs::copy(&ground.program, &program)?;
    let output = other(&program)
        .args(["count", "--felled", "2025"])
        .arg(&place.photo)
        .output()?;
    check_advice(&output)?;
    unchanged(&place, &before)?;
    let desk = Desk::from(
        other(&program)
            .args(["desk", "--no-open"])
            .arg(place.folder()),
    )?;
    let asking = desk.asking();
    let (status, _) = asking.ask("GET", "/api/stumps/oak.jpg", None)?;
    let edit = json!({"revision": 1, "edit": {"do": "fact", "name": "note", "text": "x"}});
    let (marked, _) = asking.ask("POST", "/api/stumps/oak.jpg/edit", Some(&edit))?;
    if marked == 200 {
        bail!("the desk says that it saved");
    }
    unchanged(&place, &before)?;
    Ok(Ended::Held(format!(
        "count: reported; the desk shows the stump ({status}) and refuses marks ({marked})"
    )))
}

/// Address space of 512 MB, which is stricter than as much memory.
pub(super) fn memory(ground: &Ground) -> anyhow::Result<Ended> {
    let folder = tempfile::tempdir()?;
    let mut how = Vec::new();
    for (megapixels, camera) in [
        (2, "upright"),
        (12, "upright"),
        (48, "upright"),
        (48, "turned"),
    ] {
        let photo = folder.path().join(format!("{megapixels}-{camera}.jpg"));
        let drawn = fs::read(crate::speed::drawn_photo(megapixels)?)?;
        let bytes = match camera {
            "turned" => by_a_quarter(&drawn),
            _ => drawn,
        };
        fs::write(&photo, bytes).context("cannot write the photo")?;
        let output = ground
            .limited("-v 524288", &["count", "--json"])
            .arg(&photo)
            .output()?;
        let said = String::from_utf8_lossy(&output.stderr);
        if said.contains("panicked") {
            bail!("{megapixels} megapixels: {said}");
        }
        match output.status.code() {
            Some(0) => how.push(format!("{megapixels} megapixels {camera} read")),
            Some(1) => how.push(format!("{megapixels} megapixels {camera} refused")),
            _ if megapixels <= 12 => bail!("{megapixels} megapixels ended with {}", output.status),
            _ => how.push(format!(
                "{megapixels} megapixels {camera} stopped by the system ({})",
                output.status
            )),
        }
        if photo.with_extension("stump.json").exists() != output.status.success() {
            bail!("{megapixels} megapixels left an entry that it should not");
        }
    }
    Ok(Ended::Held(how.join(", ")))
}

/// The same JPEG from a camera held upright, which says so in its EXIF block.
fn by_a_quarter(jpeg: &[u8]) -> Vec<u8> {
    // APP1 of 34 bytes; one field: orientation (274), a short, 6.
    const BLOCK: &[u8] = b"\xff\xe1\0\x22Exif\0\0II\x2a\0\x08\0\0\0\x01\0\
\x12\x01\x03\0\x01\0\0\0\x06\0\0\0\0\0\0\0";
    let (start, rest) = jpeg.split_at(2);
    [start, BLOCK, rest].concat()
}
