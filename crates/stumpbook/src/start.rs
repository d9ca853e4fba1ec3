//! Started without a word: from the menu of a desktop, or by a double click, the
//! program opens the desk on the person's pictures. In a terminal, and from a
//! script, it is for clap to say what can be typed.

use std::ffi::OsString;
use std::io::{IsTerminal as _, stderr, stdin, stdout};
use std::path::{Path, PathBuf};

/// Minutes after which a desk that nobody uses ends: there is no terminal to
/// stop it from, and every mark is on disk.
const END_UNUSED: &str = "60";

/// The words that were typed, or those that open the desk where there are none
/// and nobody could read help.
pub(crate) fn words(typed: impl IntoIterator<Item = OsString>) -> Vec<OsString> {
    let mut words: Vec<OsString> = typed.into_iter().collect();
    if words.len() == 1 && !in_a_terminal() && on_a_desktop() {
        words.extend(["desk".into(), "--end-unused".into(), END_UNUSED.into()]);
        words.extend(pictures().map(PathBuf::into_os_string));
    }
    words
}

fn in_a_terminal() -> bool {
    stdin().is_terminal() || stdout().is_terminal() || stderr().is_terminal()
}

/// Whether a person sits before this. A script that runs by itself has no
/// screen; macOS and Windows give a double click a terminal.
fn on_a_desktop() -> bool {
    ["WAYLAND_DISPLAY", "DISPLAY"]
        .iter()
        .any(|name| std::env::var_os(name).is_some_and(|value| !value.is_empty()))
}

/// The person's folder of pictures, or their home where there is none.
fn pictures() -> Option<PathBuf> {
    let home = std::env::home_dir()?;
    let settings = std::env::var_os("XDG_CONFIG_HOME")
        .map_or_else(|| home.join(".config"), PathBuf::from)
        .join("user-dirs.dirs");
    let named = std::fs::read_to_string(settings)
        .ok()
        .and_then(|text| named_pictures(&text, &home));
    named
        .into_iter()
        .chain([home.join("Pictures")])
        .find(|folder| folder.is_dir())
        .or(Some(home))
}

/// The folder that a desktop's list of folders names for pictures: a line
/// `XDG_PICTURES_DIR="$HOME/Pictures"` or one with a whole path (xdg-user-dirs).
fn named_pictures(text: &str, home: &Path) -> Option<PathBuf> {
    let value = text
        .lines()
        .find_map(|line| line.trim().strip_prefix("XDG_PICTURES_DIR="))?
        .trim_matches('"');
    match value.strip_prefix("$HOME") {
        Some(inside) => Some(home.join(inside.trim_start_matches('/'))),
        None => value.starts_with('/').then(|| PathBuf::from(value)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_folder_of_pictures_is_the_one_that_the_desktop_names() {
        let home = Path::new("/home/ash");
        let named = |text: &str| named_pictures(text, home);
        let text = "# comment\nXDG_MUSIC_DIR=\"$HOME/Music\"\nXDG_PICTURES_DIR=\"$HOME/Bilder\"\n";
        assert_eq!(named(text), Some(home.join("Bilder")));
        assert_eq!(
            named("XDG_PICTURES_DIR=\"/data/photos\""),
            Some("/data/photos".into())
        );
        assert_eq!(named("XDG_PICTURES_DIR=\"$HOME/\""), Some(home.to_owned()));
        assert_eq!(named("XDG_PICTURES_DIR=\"photos\""), None);
        assert_eq!(named(""), None);
    }

    #[test]
    fn what_was_typed_stays_as_it_was() {
        let typed: Vec<OsString> = vec!["stumpbook".into(), "oak.jpg".into()];
        assert_eq!(words(typed.clone()), typed);
    }
}
