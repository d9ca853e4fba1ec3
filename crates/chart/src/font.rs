//! The one font of charts, pictures and print: Gentium Book Basic (SIL Open
//! Font License 1.1, see `fonts/OFL.txt`).

use resvg::usvg::fontdb;
use std::sync::{Arc, OnceLock};

/// The family's name inside the font files, as SVG and CSS ask for it.
pub const FAMILY: &str = "Gentium Book Basic";

static REGULAR: &[u8] = include_bytes!("../fonts/GenBkBasR.ttf");
static BOLD: &[u8] = include_bytes!("../fonts/GenBkBasB.ttf");

/// The regular face, a TrueType file.
#[must_use]
pub fn regular() -> &'static [u8] {
    REGULAR
}

/// The bold face, a TrueType file.
#[must_use]
pub fn bold() -> &'static [u8] {
    BOLD
}

/// A font database that holds this font alone, whatever the machine has.
#[must_use]
pub fn database() -> Arc<fontdb::Database> {
    static DATABASE: OnceLock<Arc<fontdb::Database>> = OnceLock::new();
    Arc::clone(DATABASE.get_or_init(|| {
        let mut database = fontdb::Database::new();
        database.load_font_data(REGULAR.to_vec());
        database.load_font_data(BOLD.to_vec());
        database.set_serif_family(FAMILY);
        database.set_sans_serif_family(FAMILY);
        Arc::new(database)
    }))
}

/// Makes the font known to the drawing library, once in the life of the
/// program; `false` if it would not take it.
pub(crate) fn register() -> bool {
    use plotters::style::{FontStyle, register_font};
    static REGISTERED: OnceLock<bool> = OnceLock::new();
    *REGISTERED.get_or_init(|| {
        register_font(FAMILY, FontStyle::Normal, REGULAR).is_ok()
            && register_font(FAMILY, FontStyle::Bold, BOLD).is_ok()
    })
}
