//! Charts of odd and ordinary series.

use super::*;
use crate::ChartError;
use crate::made;
use growth::decades;
use wood::{Ring, Units};

/// Widths that fall with age, with good and poor years; the same on every run.
fn widths(count: usize) -> Vec<f64> {
    let mut state = 17_u32;
    (0..count)
        .map(|t| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let noise = f64::from(state >> 8) / f64::from(1 << 24);
            let slow = 1.0 + 0.35 * (t as f64 / 13.0).sin();
            (3.2 * (-0.02 * t as f64).exp() + 0.9) * slow * (0.7 + 0.6 * noise)
        })
        .collect()
}

fn cases() -> Vec<(String, Vec<Ring>)> {
    let mut cases = Vec::new();
    for count in [1, 12, 80, 400] {
        let widths = widths(count);
        let mut dated = made::rings(&widths, Some(2024));
        if let Some(ring) = dated.get_mut(7) {
            ring.confidence = 0.3;
        }
        cases.push((format!("{count}-dated"), dated));
        cases.push((format!("{count}-undated"), made::unscaled(&widths, None)));
    }
    cases.push(("zeros".to_owned(), made::rings(&[0.0; 30], None)));
    cases.push((
        "odd".to_owned(),
        made::rings(&[f64::NAN, 1e9, -3.0, 1e-9], None),
    ));
    cases
}

/// Every chart of some rings, with its name and size.
fn charts(rings: &[Ring], units: Units) -> Vec<(&'static str, Size, String)> {
    let (full, half) = (Size::Full, Size::Half);
    let age = an_age(rings.len() as u32);
    vec![
        ("increments", full, increments_svg(rings, units).unwrap()),
        (
            "increments-half",
            half,
            increments_svg_with(rings, units, half, &remembered()).unwrap(),
        ),
        (
            "decades",
            full,
            decades_svg(&decades(rings), units).unwrap(),
        ),
        ("against-trend", full, against_trend_svg(rings).unwrap()),
        ("area", full, area_svg(rings, units).unwrap()),
        ("diameter", full, diameter_svg(rings, units).unwrap()),
        (
            "diameter-half",
            half,
            diameter_svg_sized(rings, units, half).unwrap(),
        ),
        ("age", full, age_svg(&age).unwrap()),
    ]
}

/// Years near each other, one twice, and one that no ring grew in.
fn remembered() -> Vec<wood::Remembered> {
    [2012, 1988, 2013, 2012, 1700]
        .map(|year| wood::Remembered {
            year: wood::Year(year),
            what: "a dry year".to_owned(),
        })
        .to_vec()
}

#[test]
fn remembered_years_are_lines_with_their_years() {
    let rings = made::rings(&widths(60), Some(2024));
    let plain = increments_svg(&rings, Units::Inch).unwrap();
    let marked = increments_svg_with(&rings, Units::Inch, Size::Full, &remembered()).unwrap();
    assert!(!plain.contains("2012") && marked.contains("2012") && marked.contains("1988"));
    assert!(!marked.contains("1700"));
    let lines = |svg: &str| svg.matches("<polyline").count();
    assert_eq!(lines(&marked), lines(&plain) + 3);
}

#[test]
fn a_chart_on_white_paper_has_no_cream() {
    let svg = decades_svg(&decades(&made::rings(&widths(60), Some(2024))), Units::Inch).unwrap();
    assert!(svg.contains("#FAF5E9"));
    let white = on_white(&svg);
    assert!(!white.contains("#FAF5E9") && white.contains("#FFFFFF"));
}

/// An age of so many rings and the years to the cut.
fn an_age(rings: u32) -> wood::Age {
    let part = |what, best: f64, below: f64, above: f64| wood::AgePart {
        what,
        best: wood::Years(best),
        low: wood::Years(best - below),
        high: wood::Years(best + above),
        how: String::new(),
    };
    let count = f64::from(rings);
    wood::Age {
        best: rings + 4,
        low: rings + 1,
        high: rings + 9,
        level: 0.9,
        parts: vec![
            part(wood::AgePartKind::Rings, count, count * 0.02, count * 0.05),
            part(wood::AgePartKind::CutHeight, 4.0, 3.0, 6.0),
        ],
        as_of: None,
    }
}

#[test]
fn every_chart_is_drawn_and_nothing_leaves_the_sheet() {
    for (name, rings) in cases() {
        for units in [Units::Inch, Units::Metric] {
            for (kind, size, svg) in charts(&rings, units) {
                assert!(
                    !svg.contains("NaN") && !svg.contains("inf"),
                    "{kind} {name}"
                );
                for (attribute, most) in [("x", 8.0 * size.width()), ("y", 8.0 * size.height())] {
                    for place in numbers(&svg, &format!(" {attribute}=\"")) {
                        assert!(
                            (0.0..=most).contains(&place),
                            "{kind} {name}: {attribute} = {place}"
                        );
                    }
                }
            }
        }
    }
}

/// The numbers that stand after each `mark`.
fn numbers(svg: &str, mark: &str) -> Vec<f64> {
    svg.split(mark)
        .skip(1)
        .filter_map(|rest| rest.split('"').next()?.parse().ok())
        .collect()
}

#[test]
fn axes_say_what_they_are_in() {
    let rings = made::rings(&widths(60), Some(2024));
    let metric = increments_svg(&rings, Units::Metric).unwrap();
    assert!(metric.contains("millimeters") && metric.contains("1980"));
    assert!(
        increments_svg(&rings, Units::Inch)
            .unwrap()
            .contains("inches")
    );
    let unscaled = made::unscaled(&widths(60), None);
    let relative = increments_svg(&unscaled, Units::Inch).unwrap();
    assert!(relative.contains("relative width (1 = mean)") && !relative.contains("inches"));
    assert!(
        decades_svg(&decades(&rings), Units::Metric)
            .unwrap()
            .contains("1980s")
    );
}

/// Where each text stands on the sheet as it is set: left, top, right, foot.
fn text_boxes(svg: &str) -> Vec<(String, [f32; 4])> {
    use resvg::usvg::{Group, Node, Options, Tree};
    fn collect(group: &Group, boxes: &mut Vec<(String, [f32; 4])>) {
        for node in group.children() {
            match node {
                Node::Group(inner) => collect(inner, boxes),
                Node::Text(text) => {
                    let place = text.abs_bounding_box();
                    let said = text.chunks().iter().map(|c| c.text()).collect();
                    let sides = [place.left(), place.top(), place.right(), place.bottom()];
                    boxes.push((said, sides));
                }
                Node::Path(_) | Node::Image(_) => {}
            }
        }
    }
    let options = Options {
        font_family: crate::font::FAMILY.to_owned(),
        fontdb: crate::font::database(),
        ..Options::default()
    };
    let mut boxes = Vec::new();
    collect(Tree::from_str(svg, &options).unwrap().root(), &mut boxes);
    boxes
}

#[test]
fn no_text_touches_another_or_leaves_the_sheet() {
    // A width of a million millimeters may push its number off the sheet.
    for (name, rings) in cases().into_iter().filter(|(name, _)| name != "odd") {
        for units in [Units::Inch, Units::Metric] {
            for (kind, size, svg) in charts(&rings, units) {
                let boxes = text_boxes(&svg);
                assert!(boxes.len() > 4, "{kind} {name}");
                let (right, foot) = (size.width() as f32 - 4.0, size.height() as f32 - 2.0);
                for (index, (said, a)) in boxes.iter().enumerate() {
                    assert!(
                        a[0] >= 8.0 && a[1] >= 4.0 && a[2] <= right && a[3] <= foot,
                        "{kind} {name}: \"{said}\" at {a:?}"
                    );
                    for (other, b) in &boxes[..index] {
                        let apart = a[2] < b[0] || b[2] < a[0] || a[3] < b[1] || b[3] < a[1];
                        assert!(
                            apart,
                            "{kind} {name}: \"{said}\" {a:?} on \"{other}\" {b:?}"
                        );
                    }
                }
            }
        }
    }
}

/// Woodlots of a year, of quiet and of wild years, and with much remembered.
fn woodlots() -> Vec<String> {
    let year = |year: i32, against_trend: f64, stumps: usize| YearBar {
        year: wood::Year(year),
        against_trend,
        stumps,
    };
    let many = |from: i32, count: i32, wild: f64| -> Vec<YearBar> {
        (0..count)
            .map(|t| {
                let swing = 1.0 + wild * (f64::from(t) * 1.7).sin();
                year(from + t, swing, 1 + (t / 12) as usize)
            })
            .collect()
    };
    let remembered: Vec<RememberedYear> = [1965, 1966, 1988, 1991, 2012]
        .map(|year| RememberedYear {
            year: wood::Year(year),
            what: "something of some length".to_owned(),
            before: Some(0.9),
            after: (year < 2000).then_some(1.2),
        })
        .to_vec();
    let mut gap = many(1900, 20, 0.3);
    gap.extend(many(1960, 20, 0.3));
    [
        (vec![year(2000, 1.2, 1)], &[][..]),
        (many(1914, 112, 0.4), &remembered),
        (many(1625, 400, 0.05), &remembered),
        (many(-30, 60, 3.0), &[]),
        (gap, &remembered),
    ]
    .iter()
    .map(|(years, remembered)| years_svg(years, remembered).unwrap())
    .collect()
}

#[test]
fn a_woodlots_years_are_drawn_on_the_sheet_and_no_text_touches_another() {
    for svg in woodlots() {
        assert!(!svg.contains("NaN") && !svg.contains("inf"));
        let boxes = text_boxes(&svg);
        for (index, (said, a)) in boxes.iter().enumerate() {
            assert!(
                a[0] >= 8.0 && a[1] >= 4.0 && a[2] <= 996.0 && a[3] <= 468.0,
                "\"{said}\" at {a:?}"
            );
            for (other, b) in &boxes[..index] {
                let apart = a[2] < b[0] || b[2] < a[0] || a[3] < b[1] || b[3] < a[1];
                assert!(apart, "\"{said}\" {a:?} on \"{other}\" {b:?}");
            }
        }
    }
    assert_eq!(years_svg(&[], &[]), Err(ChartError::NothingToDraw));
}

#[test]
fn a_picture_is_a_png_with_our_text_in_it() {
    let svg = increments_svg(&made::rings(&widths(80), Some(2024)), Units::Metric).unwrap();
    let picture = png(&svg, 1.0).unwrap();
    assert!(picture.starts_with(b"\x89PNG"));
    let without_text = svg.replace("millimeters", "");
    assert_ne!(picture, png(&without_text, 1.0).unwrap());
    for (svg, scale) in [
        ("no svg", 1.0),
        (&svg[..], 0.0),
        (&svg[..], f32::NAN),
        (&svg[..], 1e9),
    ] {
        assert!(matches!(png(svg, scale), Err(ChartError::Picture(_))));
    }
}

#[test]
fn nothing_to_draw_is_said() {
    assert_eq!(
        increments_svg(&[], Units::Inch),
        Err(ChartError::NothingToDraw)
    );
    for empty in [
        against_trend_svg(&[]),
        area_svg(&[], Units::Inch),
        diameter_svg(&[], Units::Inch),
    ] {
        assert_eq!(empty, Err(ChartError::NothingToDraw));
    }
    assert_eq!(
        decades_svg(&[], Units::Inch),
        Err(ChartError::NothingToDraw)
    );
}

proptest::proptest! {
    #[test]
    fn odd_widths_are_drawn_without_a_nan(
        widths in proptest::collection::vec(proptest::num::f64::ANY, 1..60),
        dated: bool,
    ) {
        let rings = made::rings(&widths, dated.then_some(2024));
        for units in [Units::Inch, Units::Metric] {
            let svg = increments_svg(&rings, units).unwrap();
            proptest::prop_assert!(!svg.contains("NaN"));
            let svg = decades_svg(&decades(&rings), units).unwrap();
            proptest::prop_assert!(!svg.contains("NaN"));
        }
    }
}
