//! Plain tables for a terminal.

use unicode_width::UnicodeWidthStr as _;

/// Where the text of a column stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Side {
    /// Words.
    Left,
    /// Numbers, so that they line up.
    Right,
}

/// Rows as lines, columns two spaces apart; the first row is the heading.
pub(crate) fn table(sides: &[Side], rows: &[Vec<String>]) -> String {
    let width = |column: usize| {
        rows.iter()
            .filter_map(|row| row.get(column))
            .map(|text| text.width())
            .max()
            .unwrap_or(0)
    };
    let widths: Vec<usize> = (0..sides.len()).map(width).collect();
    let lines: Vec<String> = rows
        .iter()
        .map(|row| {
            let fields: Vec<String> = row
                .iter()
                .zip(sides.iter().zip(&widths))
                .map(|(text, (side, width))| {
                    let gap = " ".repeat(width.saturating_sub(text.width()));
                    match side {
                        Side::Left => format!("{text}{gap}"),
                        Side::Right => format!("{gap}{text}"),
                    }
                })
                .collect();
            fields.join("  ").trim_end().to_owned()
        })
        .collect();
    lines.join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_stand_left_and_numbers_right() {
        let row = |a: &str, b: &str| vec![a.to_owned(), b.to_owned()];
        let text = table(
            &[Side::Left, Side::Right],
            &[row("stump", "t"), row("дуб", "12.5")],
        );
        assert_eq!(text, "stump     t\nдуб    12.5");
        // A picture letter takes the room of two; an accent of its own, none.
        let text = table(
            &[Side::Left, Side::Right],
            &[row("stump", "t"), row("o\u{301}ak\u{1f333}", "1")],
        );
        assert_eq!(text, "stump  t\no\u{301}ak\u{1f333}  1");
    }
}
