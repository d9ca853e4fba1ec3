//! When and how large a file was, to notice that it changed.

use std::fs;
use std::path::Path;
use std::time::SystemTime;

/// When and how large a file was, to notice that it changed.
pub(crate) type Stamp = Option<(SystemTime, u64)>;

/// When and how large a file is now; `None` where there is none.
pub(crate) fn stamp(path: &Path) -> Stamp {
    let about = fs::metadata(path).ok()?;
    Some((about.modified().ok()?, about.len()))
}
