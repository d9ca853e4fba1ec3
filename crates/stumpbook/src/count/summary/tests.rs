use super::*;
use std::path::PathBuf;
use wood::{
    Age, AgePart, AgePartKind, Count, Decade, Facts, Mm, PhotoId, Pith, PithSource, Px, Ring,
    Scale, ScaleSource, WoodClass, WoodFound, Year, Years,
};

/// A made-up reading of 20 rings, each 10 px wide, the last ten half as wide.
fn reading() -> Reading {
    let mut radius = 0.0;
    let rings = (1..=20)
        .map(|number: u32| {
            let width = if number <= 10 { 20.0 } else { 10.0 };
            radius += width;
            Ring {
                number,
                year: Some(Year(2005 + i32::try_from(number).unwrap())),
                radius_px: Px(radius),
                radius_mm: Some(Mm(radius * 0.2)),
                width_px: Px(width),
                width_mm: Some(Mm(width * 0.2)),
                confidence: 0.9,
                notes: if number == 7 {
                    vec![RingNote::Doubtful]
                } else {
                    vec![]
                },
                outline_px: vec![Some(Point::new(500.0, 500.0 + radius)), None],
            }
        })
        .collect();
    let decade = |from, first_ring, mean| Decade {
        from_year: Some(Year(from)),
        first_ring,
        rings: 10,
        mean_width_mm: Some(Mm(mean)),
        rings_per_inch: Some(25.4 / mean),
        against_trend: None,
    };
    Reading {
        readable: true,
        refusal: None,
        photo: PhotoId {
            file: "oak.jpg".into(),
            sha256: "0".repeat(64),
            width_px: 1000,
            height_px: 1000,
        },
        wood: Some(WoodFound {
            class: WoodClass::RingPorous,
            from: WoodSource::Guessed,
        }),
        pith: Some(Pith {
            x_px: Px(500.0),
            y_px: Px(500.0),
            from: PithSource::Seen,
            uncertainty_px: Px(1.0),
        }),
        scale: Some(Scale {
            mm_per_px: wood::MmPerPx(0.2),
            from: ScaleSource::Across,
            uncertainty: 0.02,
        }),
        scope: Some(Scope::WholeFace),
        strip: None,
        count: Some(Count {
            best: 20,
            low: 19,
            high: 22,
            level: 0.9,
        }),
        bark_edge_px: vec![],
        rings,
        age: Some(Age {
            best: 24,
            low: 22,
            high: 27,
            level: 0.9,
            parts: vec![
                AgePart {
                    what: AgePartKind::Rings,
                    best: Years(20.0),
                    low: Years(19.0),
                    high: Years(22.0),
                    how: String::new(),
                },
                AgePart {
                    what: AgePartKind::CutHeight,
                    best: Years(4.2),
                    low: Years(2.6),
                    high: Years(6.0),
                    how: "oak from seed or sprout, to the height given: our own judgment".into(),
                },
            ],
            as_of: Some(Year(2025)),
        }),
        decades: vec![decade(2006, 1, 4.0), decade(2016, 11, 2.0)],
        events: vec![],
        figures: None,
        quality: None,
        cautions: vec![wood::Caution {
            about: "outer-ring-half-made".into(),
            text: "The last ring is half made.".into(),
        }],
    }
}

fn done(reading: Reading) -> Done {
    Done {
        joined_from: Vec::new(),
        photo: PathBuf::from("photos/oak.jpg"),
        facts: Facts {
            felled: Some("2025-11".parse().unwrap()),
            cut_height_mm: Some(Mm(203.2)),
            ..Facts::default()
        },
        reading,
        written: vec![PathBuf::from("photos/oak.stump.json")],
        not_written: None,
        made_from: String::new(),
        unchanged: false,
    }
}

#[test]
fn a_summary_says_count_age_and_growth_in_plain_words() {
    let text = of(&done(reading()), Units::Inch);
    let expected = "\
photos/oak.jpg
  Rings       20 (likely between 19 and 22)
  Age         about 24 years (22 to 27) when felled in November 2025
                20 (19 to 22) rings counted
                + 4 (3 to 6) to grow to the height of the cut, 8 in: oak from
                seed or sprout
  Growth      fastest 2006 to 2015: 6.3 rings to the inch
              slowest 2016 to 2025: 12.7 rings to the inch
              last ten years (2016 to 2025): 12.7 rings to the inch
  Wood        ring-porous: a guess from the picture
  Check       ring 7 (2012): not sure. Rings are numbered from the pith; they
              are clearest going straight down from it in the photo
  Notes       The last ring is half made.
  To improve  name the species: --species \"white oak\"
  Written     photos/oak.stump.json";
    assert_eq!(text, expected);
}

#[test]
fn the_units_are_those_asked_for() {
    let text = of(&done(reading()), Units::Metric);
    assert!(text.contains("4.0 mm a year"), "{text}");
    assert!(text.contains("the cut, 20.3 cm"), "{text}");
    assert!(!text.contains("inch") && !text.contains(" in:"), "{text}");
    let text = of(&done(reading()), Units::Inch);
    assert!(!text.contains(" cm") && !text.contains(" mm"), "{text}");
}

#[test]
fn a_refused_photo_never_shows_a_number_of_rings() {
    let mut refused = reading();
    refused.readable = false;
    refused.count = None;
    refused.rings.clear();
    refused.age = None;
    refused.refusal = Some(wood::Refusal {
        reason: wood::RefusalReason::NoRings,
        detail: "nothing here runs around a middle".into(),
        advice: "photograph the sawn face from straight above".into(),
    });
    let text = of(&done(refused), Units::Inch);
    assert!(text.contains("Not read"), "{text}");
    assert!(text.contains("straight above"), "{text}");
    assert!(text.contains("count it by hand"), "{text}");
    assert!(!text.contains("Rings") && !text.contains("Age"), "{text}");
}

/// A heart that was not read once made the mean so large that every decade was
/// below it, and the fastest "94 % as wide as the mean".
#[test]
fn the_fastest_decade_is_never_below_the_mean() {
    let mut hollow = reading();
    hollow.scale = None;
    hollow
        .decades
        .iter_mut()
        .for_each(|decade| decade.mean_width_mm = None);
    for ring in &mut hollow.rings {
        ring.width_mm = None;
        ring.radius_mm = None;
    }
    hollow.rings[0].width_px = Px(400.0);
    let text = of(&done(hollow), Units::Inch);
    assert!(text.contains("% wider than its average"), "{text}");
    assert!(text.contains("% narrower than its average"), "{text}");
    assert!(!text.contains("as wide as this tree"), "{text}");
}

#[test]
fn a_half_made_ring_is_not_among_the_last_ten() {
    let mut summer = done(reading());
    summer.facts.felled = Some("2025-07-10".parse().unwrap());
    let text = of(&summer, Units::Inch);
    assert!(text.contains("last ten years (2015 to 2024)"), "{text}");
}

#[test]
fn rings_cut_off_by_the_photo_are_not_called_the_whole_tree() {
    let mut part = reading();
    part.scope = Some(Scope::RingsInView);
    let text = of(&done(part), Units::Inch);
    assert!(text.contains("only the rings in view"), "{text}");
    assert!(
        !text.contains("last ten"),
        "no bark, so not its last: {text}"
    );
}

#[test]
fn directions_go_round_with_the_clock() {
    for (right, down, name) in [
        (1.0, 0.0, "to the right"),
        (0.0, 1.0, "straight down"),
        (-1.0, -0.01, "to the left"),
        (0.0, -1.0, "straight up"),
    ] {
        assert_eq!(direction(right, down), name);
    }
}
