//! What is inked on the card, in millimeters from its upper left corner.

use crate::ReportError;
use qrcode::{Color, EcLevel, QrCode, Version};
use wood::{
    CARD_BAR_MM, CARD_CODE_MM, CARD_CODES, CARD_DISC_RADIUS_MM, CARD_DISCS_MM, CARD_MM, Mm,
};

/// One piece of ink.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Ink {
    /// A black box: left, top, width, height.
    Box(f64, f64, f64, f64),
    /// A black disc: middle and radius.
    Disc(f64, f64, f64),
    /// A text: where its base line begins, or its middle is, and its size.
    Text {
        x: f64,
        base: f64,
        size: f64,
        bold: bool,
        centered: bool,
        text: String,
    },
}

/// Where bar and rules begin, and their rows.
const LEFT: f64 = 6.0;
const BAR_TOP: f64 = 114.0;
const MM_TOP: f64 = 124.5;
const INCH_TOP: f64 = 134.5;

/// Thickness of a rule's tick.
const TICK: f64 = 0.22;

/// Everything on the card.
pub(super) fn all() -> Result<Vec<Ink>, ReportError> {
    let mut ink = codes()?;
    ink.extend(
        CARD_DISCS_MM
            .iter()
            .map(|(x, y)| Ink::Disc(*x, *y, CARD_DISC_RADIUS_MM)),
    );
    ink.extend(words());
    ink.extend(bar());
    ink.extend(millimeters());
    ink.extend(inches());
    ink.extend(cut_lines());
    Ok(ink)
}

fn codes() -> Result<Vec<Ink>, ReportError> {
    let mut ink = Vec::new();
    for code in CARD_CODES {
        let made = QrCode::with_version(code.text, Version::Normal(1), EcLevel::H)
            .map_err(|error| ReportError::Code(error.to_string()))?;
        let modules = made.width();
        let side = CARD_CODE_MM / modules as f64;
        for (row, line) in made.to_colors().chunks(modules).enumerate() {
            // Dark modules side by side are one box: no hair lines between them.
            let mut column = 0;
            while column < modules {
                let start = column;
                while line.get(column) == Some(&Color::Dark) {
                    column += 1;
                }
                if column > start {
                    ink.push(Ink::Box(
                        code.left_mm + side * start as f64,
                        code.top_mm + side * row as f64,
                        side * (column - start) as f64,
                        side,
                    ));
                }
                column += 1;
            }
        }
    }
    Ok(ink)
}

fn words() -> Vec<Ink> {
    let line = |base, size, bold, text: &str| Ink::Text {
        x: CARD_MM.0 / 2.0,
        base,
        size,
        bold,
        centered: true,
        text: text.to_owned(),
    };
    vec![
        line(48.0, 5.6, true, "Stumpbook"),
        line(54.0, 4.4, false, "scale card"),
        line(61.5, 2.9, false, "Lay it flat on the wood,"),
        line(65.2, 2.9, false, "beside the rings to count,"),
        line(68.9, 2.9, false, "not over them."),
    ]
}

fn bar() -> Vec<Ink> {
    let inches = crate::words::fraction_of_inch(Mm(CARD_BAR_MM));
    vec![
        Ink::Box(LEFT, BAR_TOP, CARD_BAR_MM, 4.0),
        Ink::Text {
            x: LEFT,
            base: BAR_TOP + 8.0,
            size: 3.0,
            bold: false,
            centered: false,
            text: format!("The bar is 100 mm ({inches} in) long. Is it still, on your print?"),
        },
    ]
}

fn millimeters() -> Vec<Ink> {
    let mut ink = Vec::new();
    for mm in 0..=100_u32 {
        let long = match mm {
            mm if mm % 10 == 0 => 4.0,
            mm if mm % 5 == 0 => 3.0,
            _ => 2.0,
        };
        let x = LEFT + f64::from(mm);
        ink.push(Ink::Box(x - TICK / 2.0, MM_TOP, TICK, long));
        if mm % 10 == 0 {
            ink.push(number(x, MM_TOP + 7.0, mm / 10));
        }
    }
    ink.push(unit(MM_TOP + 7.0, "cm"));
    ink
}

fn inches() -> Vec<Ink> {
    const SIXTEENTHS: u32 = 64;
    let mut ink = Vec::new();
    for sixteenth in 0..=SIXTEENTHS {
        let long = match sixteenth {
            s if s % 16 == 0 => 5.0,
            s if s % 8 == 0 => 4.0,
            s if s % 4 == 0 => 3.2,
            s if s % 2 == 0 => 2.4,
            _ => 1.7,
        };
        let x = LEFT + Mm::from_inches(f64::from(sixteenth) / 16.0).0;
        ink.push(Ink::Box(x - TICK / 2.0, INCH_TOP, TICK, long));
        if sixteenth % 16 == 0 {
            ink.push(number(x, INCH_TOP + 8.2, sixteenth / 16));
        }
    }
    ink.push(unit(INCH_TOP + 8.2, "in"));
    ink
}

fn number(x: f64, base: f64, number: u32) -> Ink {
    Ink::Text {
        x,
        base,
        size: 3.0,
        bold: false,
        centered: true,
        text: number.to_string(),
    }
}

/// The unit's name, between the first two numbers.
fn unit(base: f64, name: &str) -> Ink {
    Ink::Text {
        x: LEFT + 5.0,
        base,
        size: 2.6,
        bold: false,
        centered: true,
        text: name.to_owned(),
    }
}

fn cut_lines() -> Vec<Ink> {
    const THIN: f64 = 0.2;
    let (wide, high) = CARD_MM;
    vec![
        Ink::Box(0.0, 0.0, wide, THIN),
        Ink::Box(0.0, high - THIN, wide, THIN),
        Ink::Box(0.0, 0.0, THIN, high),
        Ink::Box(wide - THIN, 0.0, THIN, high),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_modules_that_a_photo_is_held_against_are_the_librarys() {
        for code in CARD_CODES {
            let made = QrCode::with_version(code.text, Version::Normal(1), EcLevel::H).unwrap();
            let rows: Vec<u32> = made
                .to_colors()
                .chunks(made.width())
                .map(|row| {
                    row.iter().fold(0, |bits, module| {
                        bits << 1 | u32::from(*module == Color::Dark)
                    })
                })
                .collect();
            assert_eq!(rows, code.modules, "{}: {rows:#x?}", code.text);
        }
    }
}
