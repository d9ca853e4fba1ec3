//! The note in a joined picture that names the pictures it was joined from.

/// Under this name a joined picture keeps the names of the pictures it was made from, in
/// the order given, one a line.
pub(super) const JOINED_FROM: &str = "Joined from";

/// The pictures that a photo was joined from; empty for any other photo.
pub(super) fn joined_from(photo: &[u8]) -> Vec<String> {
    let Ok(reader) = png::Decoder::new(std::io::Cursor::new(photo)).read_info() else {
        return Vec::new();
    };
    reader
        .info()
        .utf8_text
        .iter()
        .filter(|chunk| chunk.keyword == JOINED_FROM)
        .filter_map(|chunk| chunk.get_text().ok())
        .flat_map(|text| text.lines().map(str::to_owned).collect::<Vec<_>>())
        .collect()
}
