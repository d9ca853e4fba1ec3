//! Letters that the font of print lacks, by the text they stand in.

/// The letters of each named text that our font cannot set. Texts without one are left
/// out; texts of one name are taken together.
pub(crate) fn not_in_font<'a>(
    texts: impl IntoIterator<Item = (&'static str, &'a str)>,
) -> Vec<(&'static str, Vec<char>)> {
    let mut all: Vec<(&'static str, Vec<char>)> = Vec::new();
    for (name, text) in texts {
        for letter in chart::letters::missing([text]) {
            match all.iter_mut().find(|(other, _)| *other == name) {
                Some((_, letters)) if letters.contains(&letter) => {}
                Some((_, letters)) => letters.push(letter),
                None => all.push((name, vec![letter])),
            }
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_are_given_with_the_text_they_are_in() {
        let texts = [
            ("Title", "Oak by the wall"),
            ("Owner", "\u{738b}"),
            ("Remembered", "1991: \u{9593}\u{4f10}"),
            ("Remembered", "1995: \u{9593}"),
        ];
        let found = not_in_font(texts);
        assert_eq!(
            found,
            [
                ("Owner", vec!['\u{738b}']),
                ("Remembered", vec!['\u{9593}', '\u{4f10}']),
            ]
        );
    }
}
