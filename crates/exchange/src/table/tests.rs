use super::*;
use crate::{ExchangeError, Place, Series, Widths};
use wood::{Facts, Mm, Year};

fn series(name: &str) -> Series {
    Series {
        name: name.to_owned(),
        facts: Facts::default(),
        scope: None,
        first_year: Some(Year(999)),
        widths: Widths::Mm(vec![Some(Mm(1.25)), Some(Mm(0.0)), None, Some(Mm(2.0))]),
        confidence: vec![0.9, 0.5, 0.5, 1.0],
        from_photo: false,
    }
}

#[test]
fn a_table_has_units_in_its_header_and_lines_that_end_as_the_rfc_says() {
    let mut notices = Vec::new();
    let (text, count) = write(&[series("oak")], &mut notices);
    assert_eq!(count, 1);
    assert!(notices.is_empty());
    let lines: Vec<&str> = text.split("\r\n").collect();
    assert!(lines[0].contains("width_mm,radius_mm,width_px"));
    assert_eq!(lines[1], "oak,,,,,,1,999,1.25,1.25,,0.9");
    assert_eq!(lines[2], "oak,,,,,,2,1000,0,1.25,,0.5");
    assert_eq!(lines[3], "oak,,,,,,3,1001,,,,0.5");
    assert_eq!(lines[5], "");
}

#[test]
fn radii_are_the_sums_of_the_widths_that_are_written() {
    let fine = Series {
        widths: Widths::Mm(vec![Some(Mm(0.622_29)), Some(Mm(2.263_66))]),
        confidence: Vec::new(),
        ..series("oak")
    };
    let (text, _) = write(&[fine], &mut Vec::new());
    assert!(text.contains("0.6223,0.6223,"), "{text}");
    assert!(text.contains("2.2637,2.886,"), "{text}");
    let back = read(text.as_bytes(), &mut Vec::new()).unwrap();
    assert_eq!(write(&back, &mut Vec::new()).0, text);
}

#[test]
fn hard_names_come_back_as_they_were() {
    for name in [
        "oak, by the \"spring\"",
        "дуб 🌳",
        "אלון ישן",
        "two\nlines",
        " led by a space",
        "=1+1",
    ] {
        let mut notices = Vec::new();
        let (text, _) = write(&[series(name)], &mut notices);
        assert_eq!(text.starts_with('\u{feff}'), !name.is_ascii(), "{name}");
        let back = read(text.as_bytes(), &mut Vec::new()).unwrap();
        assert_eq!(back, [series(name)], "{name}");
        assert_eq!(notices.is_empty(), name != "=1+1", "{name}");
    }
}

#[test]
fn what_is_wrong_is_reported_with_its_line_and_column() {
    for (text, line, column, word) in [
        ("stump,year\noak,1990\n", 1, 1, "width_mm"),
        ("stump,year,width_mm\noak,1990,wide\n", 2, 3, "wide"),
        (
            "stump,year,width_mm\noak,1990,1\noak,1992,1\n",
            3,
            2,
            "1991",
        ),
        ("stump,year,width_mm\noak,199O,1\n", 2, 2, "199O"),
        ("stump,ring,width_mm\noak,1,1\noak,3,1\n", 3, 2, "ring 3"),
        (
            "stump,year,width_mm\n\"two\nlines\",1990,1\noak,1990,-1\n",
            4,
            3,
            "-1",
        ),
        ("width_mm,width_mm\n1,1\n", 1, 2, "second"),
        ("stump,felled,width_mm\noak,spring,1\n", 2, 2, "spring"),
        ("stump,width_mm,confidence\noak,1,7\n", 2, 3, "0 to 1"),
        ("stump,width_mm,scope\noak,1,all\n", 2, 3, "whole-face"),
    ] {
        match read(text.as_bytes(), &mut Vec::new()) {
            Err(ExchangeError::Malformed { place, problem, .. }) => {
                assert_eq!(place, Place { line, column }, "{text}");
                assert!(problem.contains(word), "{problem}");
            }
            other => panic!("{text}: {other:?}"),
        }
    }
}

#[test]
fn units_are_taken_from_the_header_and_other_columns_reported() {
    let mut notices = Vec::new();
    let text = "Series, Year ,width_in,color\noak,1990,0.5,red\noak,1991,0.25,red\n";
    let back = read(text.as_bytes(), &mut notices).unwrap();
    assert_eq!(
        back[0].widths,
        Widths::Mm(vec![Some(Mm(12.7)), Some(Mm(6.35))])
    );
    assert!(notices[0].text.contains("color"));
}

#[test]
fn widths_in_pixels_stay_pixels() {
    let mut made = series("oak");
    made.first_year = None;
    made.widths = Widths::Px([3.25, 0.5, 7.0, 1.0].map(|w| Some(wood::Px(w))).to_vec());
    let (text, _) = write(std::slice::from_ref(&made), &mut Vec::new());
    assert!(text.contains("oak,,,,,,1,,,,3.25,0.9"), "{text}");
    assert_eq!(read(text.as_bytes(), &mut Vec::new()).unwrap(), [made]);
}
