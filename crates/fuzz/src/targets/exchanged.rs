//! Files of ring widths from other programs.

use exchange::{Entry, ExchangeError, Format, Resolution, read, write};

pub(super) fn csv(bytes: &[u8]) -> Result<String, String> {
    of(bytes, "any.csv", Format::Csv)
}

pub(super) fn json(bytes: &[u8]) -> Result<String, String> {
    of(bytes, "any.json", Format::Json)
}

pub(super) fn decadal(bytes: &[u8]) -> Result<String, String> {
    of(bytes, "any.rwl", Format::Decadal(Resolution::Hundredth))
}

pub(super) fn tridas(bytes: &[u8]) -> Result<String, String> {
    of(bytes, "any.xml", Format::Tridas)
}

/// What was read can be written, and what was written can be read; a second
/// time round changes nothing more.
fn of(bytes: &[u8], file: &str, format: Format) -> Result<String, String> {
    let found = match read(file, bytes, format) {
        Ok(found) => found,
        Err(error) if error.advice().is_empty() => return Err(format!("no advice for: {error}")),
        // Without the stump's name: another name is no other answer.
        Err(ExchangeError::Unsound { why, .. }) => return Ok(why.to_string()),
        Err(error) => return Ok(error.to_string()),
    };
    let Ok(first) = write(&found.entries, format) else {
        return Ok("nothing to write".to_owned());
    };
    let again = read(file, first.text.as_bytes(), format)
        .map_err(|error| format!("what was written cannot be read: {error}\n{}", first.text))?;
    let second = write(&again.entries, format)
        .map_err(|error| format!("what was read again cannot be written: {error}"))?;
    if second.text != first.text {
        return Err(format!(
            "written again it differs:\n{}\n---\n{}",
            first.text, second.text
        ));
    }
    Ok(format!(
        "read, reported {}",
        reported(&found.entries, found.notices.len())
    ))
}

fn reported(entries: &[Entry], notices: usize) -> String {
    format!(
        "{}, {}",
        if notices > 0 { "something" } else { "nothing" },
        if entries.len() > 1 { "several" } else { "one" }
    )
}
