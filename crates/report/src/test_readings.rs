//! Readings made up at random for tests; the same on every run.

use wood::{
    Age, AgePart, AgePartKind, Caution, Count, Facts, Marks, Mm, MmPerPx, PhotoId, Pith,
    PithSource, Point, Px, Quality, Reading, Ring, RingNote, STUMP_FORMAT, Scale, ScaleSource,
    Scope, Strip, Stump, WoodClass, WoodFound, WoodSource, Year, Years,
};

/// Steps of angle in an outline.
const STEPS: usize = 36;

/// A small generator of chance (a linear congruence with its low bits dropped).
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        let mut dice = Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15).wrapping_add(12345));
        dice.share();
        dice
    }

    /// From 0 up to 1.
    pub(crate) fn share(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn below(&mut self, most: u32) -> u32 {
        (self.share() * f64::from(most)) as u32
    }

    pub(crate) fn chance(&mut self, share: f64) -> bool {
        self.share() < share
    }
}

/// A stump of any kind that a person may bring: short and long, dated or not,
/// scaled or not, even or with releases, felled in or out of season.
pub(crate) fn random_stump(dice: &mut Dice) -> Stump {
    let count = match dice.below(10) {
        0 => dice.below(12),
        1 => 8 + dice.below(14),
        9 => 200 + dice.below(200),
        _ => 20 + dice.below(130),
    };
    let noise = if dice.chance(0.15) {
        0.02
    } else {
        0.1 + 0.5 * dice.share()
    };
    let fall = if dice.chance(0.3) {
        0.0
    } else {
        dice.share() * 0.03
    };
    let mut level = 0.6 + 4.0 * dice.share();
    let widths: Vec<f64> = (0..count)
        .map(|t| {
            if noise > 0.05 && dice.chance(0.02) {
                level *= if dice.chance(0.5) { 2.4 } else { 0.42 };
                level = level.clamp(0.2, 9.0);
            }
            level * (-fall * f64::from(t)).exp() * (1.0 + noise * (dice.share() - 0.5))
        })
        .collect();
    let facts = Facts {
        species: dice.chance(0.6).then(|| "white oak".to_owned()),
        felled: match dice.below(4) {
            0 => None,
            1 => "2025-11-08".parse().ok(),
            2 => "2024-07".parse().ok(),
            _ => "2025".parse().ok(),
        },
        cut_height_mm: dice.chance(0.5).then_some(Mm(300.0)),
        ..Facts::default()
    };
    let in_view = dice.chance(0.15);
    let last = facts
        .felled
        .filter(|_| !in_view)
        .map(|f| i32::from(f.year()));
    let mut reading = reading_of(&widths, last, dice.chance(0.7));
    if in_view {
        reading.scope = Some(Scope::RingsInView);
        reading.bark_edge_px = Vec::new();
        reading.age = None;
    }
    if dice.chance(0.3)
        && let Some(ring) = reading.rings.get_mut(4)
    {
        doubt(ring);
    }
    // A face of which much is in doubt, in one stretch or all over.
    if dice.chance(0.25) {
        let share = dice.share();
        let from = dice.below(count) as usize;
        for ring in reading.rings.iter_mut().skip(from) {
            if dice.chance(share) {
                doubt(ring);
            }
        }
    }
    // A heart that was not read: its rings are one wide one.
    if !in_view && dice.chance(0.15) && count > 12 {
        hollow(&mut reading, 20.0 + 20.0 * dice.share());
        reading.decades = growth::decades(&reading.rings[1..]);
        reading.events = growth::events(&reading.rings, &growth::EventCriteria::default());
    }
    // Rings that a person counted: no range, no picture, no quality.
    if dice.chance(0.15) {
        reading = along_strip(reading);
        if let Some(counted) = &mut reading.count {
            (counted.low, counted.high) = (counted.best, counted.best);
        }
    }
    Stump {
        format: STUMP_FORMAT,
        facts,
        marks: Marks::default(),
        reading,
    }
}

fn doubt(ring: &mut Ring) {
    ring.notes.push(RingNote::Doubtful);
    ring.confidence = 0.3;
}

/// Makes the innermost ring so many times as wide, and moves the others out.
fn hollow(reading: &mut Reading, times: f64) {
    let Some(first) = reading.rings.first() else {
        return;
    };
    let (more_px, more_mm) = (
        first.width_px * (times - 1.0),
        first.width_mm.map(|width| width * (times - 1.0)),
    );
    for (index, ring) in reading.rings.iter_mut().enumerate() {
        ring.radius_px.0 += more_px.0;
        ring.radius_mm = ring
            .radius_mm
            .zip(more_mm)
            .map(|(radius, more)| radius + more);
        if index == 0 {
            ring.width_px.0 += more_px.0;
            ring.width_mm = ring.width_mm.zip(more_mm).map(|(width, more)| width + more);
        }
    }
    let Some(pith) = reading.pith.as_ref().map(wood::Pith::point) else {
        return;
    };
    let outlines = reading.rings.iter_mut().map(|ring| &mut ring.outline_px);
    for outline in outlines.chain([&mut reading.bark_edge_px]) {
        for place in outline.iter_mut().flatten() {
            let out = Px(pith.distance(*place).0 + more_px.0);
            *place = pith.toward(pith.angle_to(*place), out);
        }
    }
    reading.scope = Some(Scope::OutsideHeart);
}

/// The same rings, counted by hand along a strip to the right.
pub(crate) fn along_strip(mut reading: Reading) -> Reading {
    let pith = reading.pith.as_ref().map(wood::Pith::point);
    let end = reading.bark_edge_px.first().copied().flatten();
    reading.strip = pith.zip(end).map(|(from, to)| Strip {
        from,
        to,
        width_px: None,
        by_hand: true,
        rings: Vec::new(),
    });
    let outlines = reading.rings.iter_mut().map(|ring| &mut ring.outline_px);
    for outline in outlines.chain([&mut reading.bark_edge_px]) {
        outline.iter_mut().skip(1).for_each(|place| *place = None);
    }
    reading.quality = None;
    reading.wood = None;
    reading
}

/// A round face with rings of the given widths in millimeters, 4 pixels each.
pub(crate) fn reading_of(widths_mm: &[f64], last_year: Option<i32>, scaled: bool) -> Reading {
    const PX_PER_MM: f64 = 4.0;
    let middle = Point::new(800.0, 600.0);
    let count = widths_mm.len() as i32;
    let mut radius = 0.0;
    let circle = |radius_px: f64| -> Vec<Option<Point>> {
        (0..STEPS)
            .map(|step| {
                let angle = step as f64 / STEPS as f64 * std::f64::consts::TAU;
                Some(middle.toward(wood::Angle(angle), Px(radius_px)))
            })
            .collect()
    };
    let rings: Vec<Ring> = widths_mm
        .iter()
        .enumerate()
        .map(|(index, width)| {
            radius += width;
            Ring {
                number: index as u32 + 1,
                year: last_year.map(|last| Year(last - count + 1 + index as i32)),
                radius_px: Px(radius * PX_PER_MM),
                radius_mm: scaled.then_some(Mm(radius)),
                width_px: Px(width * PX_PER_MM),
                width_mm: scaled.then_some(Mm(*width)),
                confidence: 0.9,
                notes: Vec::new(),
                outline_px: circle(radius * PX_PER_MM),
            }
        })
        .collect();
    let best = rings.len() as u32;
    let part = |what, best: f64, low: f64, high: f64| AgePart {
        what,
        best: Years(best),
        low: Years(low),
        high: Years(high),
        how: "made up: for a test".to_owned(),
    };
    let events = growth::events(&rings, &growth::EventCriteria::default());
    let decades = growth::decades(&rings);
    Reading {
        readable: true,
        refusal: None,
        photo: PhotoId {
            file: "made-up.jpg".into(),
            sha256: "ab".repeat(32),
            width_px: 1600,
            height_px: 1200,
        },
        wood: Some(WoodFound {
            class: WoodClass::RingPorous,
            from: WoodSource::Guessed,
        }),
        pith: Some(Pith {
            x_px: Px(middle.x_px),
            y_px: Px(middle.y_px),
            from: PithSource::Seen,
            uncertainty_px: Px(2.0),
        }),
        scale: scaled.then_some(Scale {
            mm_per_px: MmPerPx(1.0 / PX_PER_MM),
            from: ScaleSource::Across,
            uncertainty: 0.02,
        }),
        scope: Some(Scope::WholeFace),
        strip: None,
        count: Some(Count {
            best,
            low: best.saturating_sub(2),
            high: best + 3,
            level: 0.9,
        }),
        bark_edge_px: circle(radius * PX_PER_MM),
        age: Some(Age {
            best: best + 4,
            low: best,
            high: best + 9,
            level: 0.9,
            parts: vec![
                part(
                    AgePartKind::Rings,
                    f64::from(best),
                    f64::from(best) - 2.0,
                    f64::from(best) + 3.0,
                ),
                part(AgePartKind::CutHeight, 4.0, 2.0, 6.0),
            ],
            as_of: last_year.map(Year),
        }),
        decades,
        events,
        figures: growth::figures(&rings),
        quality: Some(Quality {
            misfit: 0.1,
            coherence: 0.8,
            closure_rings: Some(0.1),
            circle_share: 0.9,
            median_width_px: Px(8.0),
        }),
        cautions: vec![Caution {
            about: "made-up".into(),
            text: "this reading is made up".into(),
        }],
        rings,
    }
}
