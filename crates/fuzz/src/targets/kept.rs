//! The `.stump.json` beside a photo: facts, marks and reading.

use wood::Stump;

/// What can be read must come back the same once written.
pub(super) fn entry(bytes: &[u8]) -> Result<String, String> {
    let stump: Stump = match serde_json::from_slice(bytes) {
        Ok(stump) => stump,
        Err(error) => return Ok(error.to_string()),
    };
    let text =
        serde_json::to_vec(&stump).map_err(|error| format!("read, but not written: {error}"))?;
    let again: Stump =
        serde_json::from_slice(&text).map_err(|error| format!("written, but not read: {error}"))?;
    if again == stump {
        Ok("kept".to_owned())
    } else {
        Err("it changed by being written and read".to_owned())
    }
}
