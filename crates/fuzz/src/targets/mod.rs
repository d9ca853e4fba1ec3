//! What is given bytes.

mod calls;
mod exchanged;
mod kept;
mod marked;
mod opened;

/// A reader of bytes.
#[derive(Debug, Clone, Copy)]
pub struct Target {
    /// Its name, and that of its folder in the corpus.
    pub name: &'static str,
    /// Gives it bytes: what it answered in a few words, or what it did that it
    /// must not. It must not panic either.
    pub run: fn(&[u8]) -> Result<String, String>,
}

/// All of them.
pub const TARGETS: &[Target] = &[
    Target {
        name: "photo",
        run: opened::photo,
    },
    Target {
        name: "heic",
        run: opened::photo,
    },
    Target {
        name: "exif",
        run: opened::exif,
    },
    Target {
        name: "entry",
        run: kept::entry,
    },
    Target {
        name: "marks",
        run: marked::marks,
    },
    Target {
        name: "csv",
        run: exchanged::csv,
    },
    Target {
        name: "json",
        run: exchanged::json,
    },
    Target {
        name: "decadal",
        run: exchanged::decadal,
    },
    Target {
        name: "tridas",
        run: exchanged::tridas,
    },
    Target {
        name: "calls",
        run: calls::calls,
    },
];
