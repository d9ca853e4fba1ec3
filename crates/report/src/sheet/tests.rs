//! Sheets of made-up stumps of every kind.

use super::*;
use crate::count_sheet::CountSheet;
use crate::test_readings::{Dice, random_stump, reading_of};
use image::RgbImage;
use wood::{Facts, Mm, Refusal, RefusalReason, Scope, Stump, Units};

fn sheet_of<'a>(
    stump: &'a Stump,
    photo: Option<&'a RgbImage>,
    title: Option<&'a str>,
) -> Sheet<'a> {
    Sheet::new(SheetInput {
        stump,
        photo,
        title,
        units: Units::Inch,
    })
    .unwrap()
}

fn holds(bytes: &[u8], text: &str) -> bool {
    bytes
        .windows(text.len())
        .any(|part| part == text.as_bytes())
}

fn count(bytes: &[u8], text: &str) -> usize {
    bytes
        .windows(text.len())
        .filter(|part| *part == text.as_bytes())
        .count()
}

#[test]
fn every_kind_of_stump_makes_a_sound_pdf() {
    let photo = RgbImage::from_pixel(1600, 1200, image::Rgb([170, 140, 100]));
    for seed in 0..10 {
        let stump = random_stump(&mut Dice::new(seed));
        let shown = (seed % 3 != 0).then_some(&photo);
        let sheet = sheet_of(&stump, shown, None);
        for paper in [Paper::Letter, Paper::A4] {
            let pdf = sheet.pdf(paper, PaperColor::White).unwrap();
            assert!(pdf.starts_with(b"%PDF-1."), "{seed}");
            assert!(holds(&pdf, "/Lang"), "{seed}: no language is set");
            let pages = 4 + stump
                .reading
                .rings
                .len()
                .div_ceil(if paper == Paper::Letter { 236 } else { 252 });
            assert!(
                holds(&pdf, &format!("/Count {pages}")),
                "{seed}: not {pages} pages"
            );
            // Fonts are embedded as TrueType files, and pages are linked.
            assert!(holds(&pdf, "/FontFile2"), "{seed}: no font is embedded");
            assert!(holds(&pdf, "/Annots"), "{seed}: no links");
            assert!(!holds(&pdf, "/URI"), "{seed}: it points outside");
            // Who hears the sheet hears headings, tables and what pictures show.
            for part in [
                "/MarkInfo",
                "/StructTreeRoot",
                "/H1",
                "/H2",
                "/Table",
                "/Link",
            ] {
                assert!(holds(&pdf, part), "{seed}: no {part}");
            }
            let figures = count(&pdf, "/S/Figure") + count(&pdf, "/S /Figure");
            let described = count(&pdf, "/Alt");
            assert!(
                figures > 0 && described >= figures,
                "{seed}: {described} of {figures} described"
            );
        }
    }
}

#[test]
fn odd_titles_and_an_unread_face_make_a_page_too() {
    let long = "The very old oak ".repeat(40);
    for title in [
        "",
        "<b>&\"quoted\"",
        "\u{6a39}\u{9f62}",
        long.as_str(),
        "a\nb\u{7}",
    ] {
        let stump = random_stump(&mut Dice::new(5));
        let sheet = sheet_of(&stump, None, Some(title));
        assert!(
            sheet
                .pdf(Paper::A4, PaperColor::Cream)
                .unwrap()
                .starts_with(b"%PDF")
        );
        sound_html(&sheet.html().unwrap());
    }
    let mut stump = random_stump(&mut Dice::new(5));
    stump.reading = reading_of(&[], None, false);
    stump.reading.readable = false;
    stump.reading.refusal = Some(Refusal {
        reason: RefusalReason::Blurred,
        detail: "edges are 14 pixels wide".into(),
        advice: "hold still".into(),
    });
    let sheet = sheet_of(&stump, None, None);
    assert!(holds(
        &sheet.pdf(Paper::Letter, PaperColor::White).unwrap(),
        "/Count 1"
    ));
    let html = sheet.html().unwrap();
    sound_html(&html);
    assert!(html.contains("Edges are 14 pixels wide") && html.contains("Hold still"));
    assert!(!html.contains("between"), "no age is claimed");
}

/// A page that is well formed and asks nothing of any other place.
#[track_caller]
fn sound_html(html: &str) {
    let mut open: Vec<&str> = Vec::new();
    let void = ["meta", "img", "br", "!DOCTYPE"];
    let mut rest = html;
    while let Some(at) = rest.find('<') {
        rest = &rest[at + 1..];
        let end = rest.find('>').expect("a tag ends");
        let tag = &rest[..end];
        rest = &rest[end + 1..];
        let name = tag.split([' ', '\n', '/']).next().unwrap_or_default();
        if let Some(closed) = tag.strip_prefix('/') {
            assert_eq!(open.pop(), Some(closed.trim()), "tags do not nest");
        } else if !tag.ends_with('/') && !void.contains(&name) {
            open.push(name);
        }
    }
    assert!(open.is_empty(), "not closed: {open:?}");
    for mark in ["src=\"", "href=\"", "url("] {
        for place in html.split(mark).skip(1) {
            assert!(
                place.starts_with("data:") || place.starts_with('#'),
                "it asks for {}",
                &place[..place.len().min(60)]
            );
        }
    }
    let outside = html.replace("http://www.w3.org/2000/svg", "");
    assert!(!outside.contains("http:") && !outside.contains("https:"));
    assert!(!html.contains("<script"));
}

#[test]
fn the_page_holds_the_figures_of_the_reading_and_asks_for_nothing() {
    let photo = RgbImage::from_pixel(800, 600, image::Rgb([170, 140, 100]));
    for seed in 0..24 {
        let stump = random_stump(&mut Dice::new(seed));
        let shown = (seed % 6 == 0).then_some(&photo);
        let html = sheet_of(&stump, shown, None).html().unwrap();
        sound_html(&html);
        assert!(html.contains("<html lang=\"en\">"));
        let reading = &stump.reading;
        match &reading.age {
            Some(age) => {
                assert!(
                    html.contains(&format!("about {} years", age.best)),
                    "{seed}"
                );
                let range = format!("between {} and {}", age.low, age.high);
                assert!(html.contains(&range), "{seed}");
            }
            None => assert!(html.contains("more than"), "{seed}"),
        }
        let count = reading.count.as_ref().unwrap();
        assert!(
            html.contains(&format!("The count is {}", count.best)),
            "{seed}"
        );
        // What is missing is said, with what it would add.
        for (missing, said) in [
            (
                stump.facts.species.is_none() && reading.age.is_some(),
                "The species was not given",
            ),
            (
                stump.facts.felled.is_none() && reading.scope != Some(Scope::RingsInView),
                "The felling date was not given",
            ),
            (
                stump.facts.cut_height_mm.is_none() && reading.age.is_some(),
                "The height of the cut was not given:",
            ),
            (reading.scale.is_none(), "There is no scale"),
            (
                reading.scope == Some(Scope::RingsInView),
                "No bark edge was found",
            ),
        ] {
            assert_eq!(html.contains(said), missing, "{seed}: {said}");
        }
    }
}

#[test]
fn no_column_mixes_units() {
    for seed in 0..40 {
        let mut stump = random_stump(&mut Dice::new(seed));
        stump.facts.hollow_radius_mm = Some(Mm(40.0));
        let words = |units| {
            let content = Content::of(&stump, None, units);
            let mut all = vec![content.subtitle];
            all.extend(content.findings);
            all.extend(content.facts.into_iter().map(|(_, value)| value));
            all.extend(content.age.parts.into_iter().map(|part| part.how));
            all.join(" | ")
        };
        let inch = words(Units::Inch);
        assert!(!inch.contains(" mm") && !inch.contains(" cm"), "{inch}");
        let metric = words(Units::Metric);
        assert!(
            !metric.contains(" inch") && !names_inches(&metric),
            "{metric}"
        );
    }
}

/// Whether a number is followed by the unit and not by the word.
fn names_inches(text: &str) -> bool {
    text.match_indices(" in").any(|(at, _)| {
        text[..at].ends_with(|c: char| c.is_ascii_digit())
            && !text[at + 3..].starts_with(|c: char| c.is_alphabetic())
    })
}

#[test]
fn the_count_sheet_names_the_place_of_each_tenth_ring() {
    // 34 rings of 2 mm each: the outer edge of ring 30 is 4 rings in.
    let reading = reading_of(&[2.0; 34], Some(2025), true);
    let sheet = CountSheet::of(&reading).unwrap();
    assert!(sheet.from_bark);
    let rows: Vec<_> = sheet
        .rows
        .iter()
        .map(|row| {
            (
                row.ring,
                row.year.unwrap().0,
                row.counted,
                row.millimeters().unwrap(),
            )
        })
        .collect();
    assert_eq!(
        rows,
        [
            (30, 2021, 4, "8".to_owned()),
            (20, 2011, 14, "28".to_owned()),
            (10, 2001, 24, "48".to_owned()),
        ]
    );
    assert_eq!(sheet.rows[1].inches().unwrap(), "1 1/8");
    assert_eq!(sheet.radius.direction, "to the right");
    // Random widths: each place is where the widths outside it add up to.
    for seed in 0..40 {
        let stump = random_stump(&mut Dice::new(seed));
        let rings = &stump.reading.rings;
        let Some(sheet) = CountSheet::of(&stump.reading) else {
            assert!(rings.is_empty());
            continue;
        };
        assert_eq!(sheet.rows.len(), rings.len() / 10);
        for row in &sheet.rows {
            let outside = &rings[row.ring as usize..];
            assert_eq!(outside.len(), row.counted as usize, "{seed}");
            assert_eq!(rings[row.ring as usize - 1].year, row.year, "{seed}");
            let share: f64 = outside.iter().map(|ring| ring.width_px.0).sum::<f64>()
                / rings.last().unwrap().radius_px.0;
            assert!(
                (row.share - share).abs() < 1e-6,
                "{seed}: {} {share}",
                row.share
            );
            if let Some(mm) = row.from_edge {
                let true_mm: f64 = outside.iter().map(|r| r.width_mm.unwrap().0).sum();
                assert!((mm.0 - true_mm).abs() < 1e-6, "{seed}");
            }
        }
    }
}

#[test]
fn without_bark_nothing_on_the_stump_page_speaks_of_bark() {
    let mut reading = reading_of(&[2.0; 34], None, true);
    reading.scope = Some(Scope::RingsInView);
    // A bark edge that was found on one side only does not count.
    for place in reading.bark_edge_px.iter_mut().flatten() {
        place.x_px += 400.0;
    }
    let sheet = CountSheet::of(&reading).unwrap();
    assert!(!sheet.from_bark);
    assert_eq!(sheet.rows[0].millimeters().unwrap(), "8");
    let mut stump = random_stump(&mut Dice::new(3));
    stump.reading = reading;
    stump.reading.age = None;
    let html = sheet_of(&stump, None, None).html().unwrap();
    let check = html.split("id=\"check\"").nth(1).unwrap();
    let check = check.split("</section>").next().unwrap();
    assert!(check.contains("the outermost ring in the photo"));
    assert!(!check.contains("bark"), "{check}");
}

#[test]
fn places_that_are_not_seen_are_estimated_and_marked() {
    let mut reading = reading_of(&[2.0; 34], None, true);
    for ring in &mut reading.rings {
        if ring.number == 30 {
            ring.outline_px.fill(None);
        }
    }
    let sheet = CountSheet::of(&reading).unwrap();
    assert!(sheet.rows[0].estimated && !sheet.rows[1].estimated);
    assert_eq!(sheet.rows[0].millimeters().unwrap(), "8");
    assert!(CountSheet::of(&reading_of(&[], None, true)).is_none());
}

#[test]
fn a_heart_that_was_not_read_is_said_to_make_the_tree_older() {
    let mut stump = random_stump(&mut Dice::new(9));
    stump.facts = Facts::default();
    stump.reading = reading_of(&[2.0; 40], Some(2025), true);
    let first = &mut stump.reading.rings[0];
    first.width_px.0 *= 30.0;
    first.width_mm = first.width_mm.map(|width| width * 30.0);
    let html = sheet_of(&stump, None, None).html().unwrap();
    assert!(html.contains("the tree is older"));
}

#[test]
fn what_is_remembered_and_who_counted_is_on_the_sheet() {
    let mut stump = random_stump(&mut Dice::new(2));
    stump.reading = reading_of(&[2.0; 60], Some(2025), true);
    stump.facts = Facts {
        tag: Some("17".into()),
        owner: Some("R. Hill".into()),
        place: Some("above the landing".into()),
        counted_by: Some("A. Reader".into()),
        remembered: vec![wood::Remembered {
            year: wood::Year(1991),
            what: "thinned above the landing".into(),
        }],
        ..Facts::default()
    };
    let html = sheet_of(&stump, None, None).html().unwrap();
    for words in [
        "1991: thinned above the landing",
        "R. Hill",
        "A. Reader",
        "Age at breast height",
    ] {
        assert!(html.contains(words), "{words}");
    }
    // The year stands on the chart of ring widths too.
    let mut charts = html.split("</svg>");
    let chart = charts.find(|svg| svg.contains("Ring width, year by year"));
    assert!(
        chart
            .unwrap()
            .rsplit("<svg")
            .next()
            .unwrap()
            .contains("1991")
    );
}

#[test]
fn white_paper_prints_no_ground_and_cream_does() {
    let stump = random_stump(&mut Dice::new(5));
    let sheet = sheet_of(&stump, None, None);
    let white = sheet.pdf(Paper::Letter, PaperColor::White).unwrap();
    let cream = sheet.pdf(Paper::Letter, PaperColor::Cream).unwrap();
    assert_ne!(white, cream);
    assert_eq!(PaperColor::default(), PaperColor::White);
}
