//! JSON: everything that is known of each stump.

use crate::{Entry, ExchangeError, Format, NoSeries, Notice, Place, Series, bytes};
use serde::de::IgnoredAny;
use serde::{Deserialize, Serialize};
use wood::{STUMP_FORMAT, Stump};

/// The number of the format of files with several stumps.
const STUMPS_FORMAT: u32 = 1;

#[derive(Serialize)]
struct Stumps<'a> {
    format: u32,
    stumps: Vec<Named<'a>>,
}

#[derive(Serialize)]
struct Named<'a> {
    name: &'a str,
    stump: &'a Stump,
}

#[derive(Deserialize)]
struct StumpsRead {
    stumps: Vec<NamedRead>,
}

#[derive(Deserialize)]
struct NamedRead {
    name: String,
    stump: Stump,
}

/// What the file is, before it is read whole.
#[derive(Deserialize)]
struct Kind {
    format: u32,
    stumps: Option<IgnoredAny>,
}

pub(crate) fn write(entries: &[Entry]) -> String {
    let stumps = Stumps {
        format: STUMPS_FORMAT,
        stumps: entries
            .iter()
            .map(|entry| Named {
                name: &entry.name,
                stump: &entry.stump,
            })
            .collect(),
    };
    // Maps have text keys and numbers are finite or null: this cannot fail.
    let mut text = serde_json::to_string_pretty(&stumps).unwrap_or_default();
    text.push('\n');
    text
}

/// Several stumps, or one `.stump.json`.
pub(crate) fn read(
    file: &str,
    raw: &[u8],
    notices: &mut Vec<Notice>,
) -> Result<Vec<Entry>, ExchangeError> {
    let text = bytes::text(raw, Format::Json)?;
    let kind: Kind = serde_json::from_str(text).map_err(malformed)?;
    let known = if kind.stumps.is_some() {
        STUMPS_FORMAT
    } else {
        STUMP_FORMAT
    };
    if kind.format > known {
        return Err(ExchangeError::Newer {
            found: kind.format,
            known,
        });
    }
    let all: Vec<Entry> = if kind.stumps.is_some() {
        let stumps: StumpsRead = serde_json::from_str(text).map_err(malformed)?;
        stumps
            .stumps
            .into_iter()
            .map(|one| Entry {
                name: one.name,
                stump: one.stump,
            })
            .collect()
    } else {
        let stump: Stump = serde_json::from_str(text).map_err(malformed)?;
        let name = file.strip_suffix(".stump.json").unwrap_or(file);
        let name = name.strip_suffix(".json").unwrap_or(name).to_owned();
        vec![Entry { name, stump }]
    };
    let mut entries = Vec::new();
    let mut unsound = None;
    for entry in all {
        match Series::of(&entry.name, &entry.stump) {
            Err(why @ NoSeries::Unsound { .. }) => {
                notices.push(Notice::of(&entry.name, format!("left out: {why}")));
                unsound.get_or_insert(ExchangeError::Unsound {
                    stump: entry.name,
                    why,
                });
            }
            // A face that could not be read is still an entry.
            Ok(_) | Err(NoSeries::NoRings) => entries.push(entry),
        }
    }
    if entries.is_empty() {
        return Err(unsound.unwrap_or(ExchangeError::Nothing {
            format: Format::Json,
        }));
    }
    Ok(entries)
}

fn malformed(error: serde_json::Error) -> ExchangeError {
    let said = error.to_string();
    // The place is given separately.
    let problem = said
        .rsplit_once(" at line ")
        .map_or(said.clone(), |(what, _)| what.to_owned());
    ExchangeError::Malformed {
        format: Format::Json,
        place: Place {
            line: error.line(),
            column: error.column(),
        },
        problem,
    }
}
