//! Any facts and marks at all, put on a face that can be read.

use photo::{Face, Limits};
use practice::Recipe;
use reader::ReadingSession;
use serde::Deserialize;
use std::cell::RefCell;
use std::sync::LazyLock;
use wood::{Facts, Marks};

#[derive(Deserialize)]
#[serde(default, deny_unknown_fields)]
#[derive(Default)]
struct Said {
    facts: Facts,
    marks: Marks,
}

static FACE: LazyLock<Face> = LazyLock::new(|| {
    let made = practice::render(&Recipe {
        rings: 9,
        width_px: 260,
        height_px: 240,
        ..Recipe::default()
    });
    photo::open(&practice::jpeg(&made.rgb, 90), &Limits::default())
        .expect("a drawn photo can be opened")
});

thread_local! {
    /// What marks on rings leave as it is, so that most inputs are quick.
    static KEPT: RefCell<ReadingSession> =
        RefCell::new(ReadingSession::new(&FACE, &Facts::default(), &Marks::default()));
}

/// A reading of any marks is a reading: it can be written, and what was marked
/// is neither looked at by chance nor able to break it.
pub(super) fn marks(bytes: &[u8]) -> Result<String, String> {
    let said: Said = match serde_json::from_slice(bytes) {
        Ok(said) => said,
        Err(error) => return Ok(error.to_string()),
    };
    let reading = KEPT.with(|kept| {
        kept.borrow_mut()
            .read("face.jpg", &FACE, &said.facts, &said.marks)
    });
    let text = serde_json::to_string(&reading).map_err(|error| error.to_string())?;
    // What JSON has no word for is written as null, and is then no reading.
    serde_json::from_str::<wood::Reading>(&text)
        .map_err(|error| format!("the reading cannot be read: {error}"))?;
    Ok(match &reading.refusal {
        Some(refusal) => format!("refused: {}", refusal.detail),
        None => reading
            .cautions
            .iter()
            .map(|caution| caution.about.as_str())
            .collect::<Vec<_>>()
            .join(" "),
    })
}
