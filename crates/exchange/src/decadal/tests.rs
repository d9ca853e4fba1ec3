use super::*;
use crate::{ExchangeError, Place, Series, Widths};
use wood::{Facts, Mm, Year};

fn series(name: &str, first: i32, widths: &[Option<f64>]) -> Series {
    Series {
        name: name.to_owned(),
        facts: Facts::default(),
        scope: None,
        first_year: Some(Year(first)),
        widths: Widths::Mm(widths.iter().map(|w| w.map(Mm)).collect()),
        confidence: Vec::new(),
        from_photo: false,
    }
}

fn known(widths: &[f64]) -> Vec<Option<f64>> {
    widths.iter().copied().map(Some).collect()
}

/// X1 of the worked values: columns read in the NOAA text, stop code from
/// memory, lines written out by hand.
#[test]
fn a_worked_example_is_written_to_the_letter() {
    let oak = series(
        "OAKST1",
        1987,
        &known(&[1.23, 2.05, 0.98, 1.10, 0.87, 0.64]),
    );
    let (text, count) = write(&[oak], Resolution::Hundredth, &mut Vec::new());
    assert_eq!(count, 1);
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(
        lines,
        [
            "OAKST1  1987   123   205    98",
            "OAKST1  1990   110    87    64   999"
        ]
    );
    assert_eq!((lines[0].len(), lines[1].len()), (30, 36));
    let back = read(text.as_bytes(), &mut Vec::new()).unwrap();
    let widths: Vec<f64> = back[0].widths.numbers().into_iter().flatten().collect();
    assert!((widths.iter().sum::<f64>() - 6.87).abs() < 1e-9);
    let sensitivity = growth::series::mean_sensitivity(&widths).unwrap();
    assert!((sensitivity - 0.371_958_7).abs() < 1e-6, "{sensitivity}");
}

#[test]
fn a_full_line_is_72_columns_and_the_stop_may_stand_alone() {
    let ten = series("A", 1990, &known(&[1.0; 10]));
    let (text, _) = write(&[ten], Resolution::Thousandth, &mut Vec::new());
    let lines: Vec<&str> = text.lines().collect();
    assert_eq!(lines[0].len(), 72);
    assert_eq!(lines[1], "A       2000 -9999");
}

#[test]
fn missing_rings_unknown_widths_and_old_years_come_back() {
    for first in [-1003, -999, -12, -1, 0, 7, 995, 1999] {
        for resolution in [Resolution::Hundredth, Resolution::Thousandth] {
            let mut widths = known(&[0.5, 0.0, 12.34, 1.0, 0.01]);
            widths[3] = None;
            widths.extend([None; 12]);
            widths.extend(known(&[1.5; 9]));
            let made = series("AB12345", first, &widths);
            let (text, _) = write(std::slice::from_ref(&made), resolution, &mut Vec::new());
            let back = read(text.as_bytes(), &mut Vec::new()).unwrap();
            assert_eq!(back, [made], "{first} {resolution:?}\n{text}");
        }
    }
}

#[test]
fn a_width_that_looks_like_the_stop_code_is_nudged_and_reported() {
    let mut notices = Vec::new();
    let made = series("A", 2001, &known(&[9.988, 9.992, 1.0]));
    let (text, _) = write(
        std::slice::from_ref(&made),
        Resolution::Hundredth,
        &mut notices,
    );
    assert_eq!(text, "A       2001   998  1000   100   999\n");
    assert!(notices[0].text.contains("9.99"));
    // At 0.001 mm there is nothing to nudge, and a line may end in 999.
    let made = series(
        "A",
        2001,
        &known(&[1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 0.999, 1.0]),
    );
    let (text, _) = write(
        std::slice::from_ref(&made),
        Resolution::Thousandth,
        &mut Vec::new(),
    );
    assert_eq!(read(text.as_bytes(), &mut Vec::new()).unwrap(), [made]);
}

#[test]
fn what_is_wrong_is_reported_with_its_line_and_column() {
    for (text, line, column, word) in [
        ("OAKST1  1987   123   2O5    98\n", 1, 22, "2O5"),
        (
            "OAKST1  1987   123   205    98\nOAKST1  1991   110   999\n",
            2,
            9,
            "1990",
        ),
        (
            "OAKST1  1987   123   205    98\nOAKST1  1990   110    87\n",
            2,
            19,
            "stop code",
        ),
        (
            "OAKST1  1987   123   205    98    98   999\n",
            1,
            31,
            "at most 3",
        ),
        ("OAKST1  1987   123   -20   999\n", 1, 19, "-20"),
        ("OAKST1  1987   999\n", 1, 13, "no ring"),
        ("OAKST1\t1987\t123\n", 1, 7, "tab"),
    ] {
        // A good series first, so that nothing is taken for a heading.
        let text = format!("GOOD    1990   100   999\n{text}");
        match read(text.as_bytes(), &mut Vec::new()) {
            Err(ExchangeError::Malformed { place, problem, .. }) => {
                let expected = Place {
                    line: line + 1,
                    column,
                };
                assert_eq!(place, expected, "{text}");
                assert!(problem.contains(word), "{problem}");
            }
            other => panic!("{text}: {other:?}"),
        }
    }
}

#[test]
fn headings_are_reported_and_names_are_shortened() {
    let mut notices = Vec::new();
    let text = "COLD01 1 Cold Hollow, invented\nCOLD01 2 Nowhere\n# a remark\nOAK     1990   100   999\r\n";
    let back = read(text.as_bytes(), &mut notices).unwrap();
    assert_eq!(back[0].name, "OAK");
    assert!(notices[0].text.contains("line 1"));
    let names = ["old oak by the spring", "old oak by the wall", "дуб", "🌳"];
    let all: Vec<Series> = names
        .iter()
        .map(|name| series(name, 1990, &known(&[1.0])))
        .collect();
    let mut notices = Vec::new();
    let (text, count) = write(&all, Resolution::Hundredth, &mut notices);
    assert_eq!(count, 4);
    let starts: Vec<&str> = text.lines().map(|line| line[..8].trim_end()).collect();
    assert_eq!(starts, ["oldoakby", "oldoakb1", "STUMP", "STUMP1"]);
    assert!(notices.iter().any(|t| t.text.contains("oldoakb1")));
}

#[test]
fn no_scale_is_left_out_and_no_years_are_numbered() {
    let mut notices = Vec::new();
    let mut unscaled = series("A", 1990, &[]);
    unscaled.widths = Widths::Px(vec![Some(wood::Px(3.0))]);
    let mut undated = series("B", 1990, &known(&[1.0, 2.0]));
    undated.first_year = None;
    let (text, count) = write(&[unscaled, undated], Resolution::Hundredth, &mut notices);
    assert_eq!(
        (text.as_str(), count),
        ("B          1   100   200   999\n", 1)
    );
    assert!(notices[0].text.contains("no scale"));
    assert!(notices[1].text.contains("numbered"));
}
