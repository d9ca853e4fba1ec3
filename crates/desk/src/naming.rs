//! Names of photos: safe ones for new files, and the order of a list.

use std::cmp::Ordering;
use std::iter::Peekable;
use std::str::Chars;

/// Names as a person sorts them: numbers by their value, letters whatever
/// their case; equal ones by their bytes.
pub(crate) fn natural_order(a: &str, b: &str) -> Ordering {
    let (mut left, mut right) = (a.chars().peekable(), b.chars().peekable());
    loop {
        let number = |letters: &mut Peekable<Chars<'_>>| {
            let mut digits = String::new();
            while let Some(digit) = letters.next_if(char::is_ascii_digit) {
                digits.push(digit);
            }
            // By length first: without leading zeros the longer one is larger.
            let digits = digits.trim_start_matches('0').to_owned();
            (digits.len(), digits)
        };
        let order = match (left.peek(), right.peek()) {
            (None, None) => return a.cmp(b),
            (Some(x), Some(y)) if x.is_ascii_digit() && y.is_ascii_digit() => {
                number(&mut left).cmp(&number(&mut right))
            }
            (x, y) => {
                let order = x
                    .map(|letter| letter.to_lowercase().to_string())
                    .cmp(&y.map(|letter| letter.to_lowercase().to_string()));
                left.next();
                right.next();
                order
            }
        };
        if order != Ordering::Equal {
            return order;
        }
    }
}

/// Whether Windows keeps a name for a device, so that no file can have it there.
fn is_reserved(stem: &str) -> bool {
    let stem = stem.to_ascii_uppercase();
    let numbered = |start: &str| {
        stem.strip_prefix(start)
            .is_some_and(|rest| rest.len() == 1 && rest.bytes().all(|one| one.is_ascii_digit()))
    };
    matches!(stem.as_str(), "CON" | "PRN" | "AUX" | "NUL") || numbered("COM") || numbered("LPT")
}

/// Letters, digits and a few marks of a name's stem; no dot in front, no
/// separator of any system, and not too long.
pub(crate) fn safe_stem(name: &str) -> String {
    const LONGEST: usize = 80;
    let last = name.rsplit(['/', '\\']).next().unwrap_or_default();
    let stem = last.rsplit_once('.').map_or(last, |(stem, _)| stem);
    let kept: String = stem
        .chars()
        .map(|letter| {
            if letter.is_alphanumeric() || matches!(letter, '-' | '_' | '(' | ')') {
                letter
            } else {
                '-'
            }
        })
        .take(LONGEST)
        .collect();
    let kept = kept.trim_matches('-');
    if kept.is_empty() {
        "stump".to_owned()
    } else if is_reserved(kept) {
        format!("{kept}-photo")
    } else {
        kept.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_from_outside_stays_a_plain_name() {
        for (given, kept) in [
            ("oak.jpg", "oak"),
            ("../../etc/passwd.jpg", "passwd"),
            ("C:\\trees\\oak 1.jpeg", "oak-1"),
            ("..", "stump"),
            (".hidden.png", "hidden"),
            ("", "stump"),
            ("\u{0}\n.jpg", "stump"),
            ("Eiche_ü (2).jpg", "Eiche_ü-(2)"),
            ("CON.jpg", "CON-photo"),
            ("lpt1.png", "lpt1-photo"),
            ("common.jpg", "common"),
        ] {
            assert_eq!(safe_stem(given), kept, "{given:?}");
        }
    }

    #[test]
    fn names_are_in_the_order_a_person_expects() {
        let mut names = [
            "s100.jpg", "S2.jpg", "s10.jpg", "ash.jpg", "s2b.jpg", "s01.jpg", "Elm.jpg",
        ];
        names.sort_by(|a, b| natural_order(a, b));
        let wanted = [
            "ash.jpg", "Elm.jpg", "s01.jpg", "S2.jpg", "s2b.jpg", "s10.jpg", "s100.jpg",
        ];
        assert_eq!(names, wanted);
    }
}
