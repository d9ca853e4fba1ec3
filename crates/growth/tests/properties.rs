//! What must hold for any series of widths, however odd.

use growth::{
    AgeInput, EventCriteria, age, age_trend, date_rings, decades, events, figures, missing_pith,
    series, years_to_cut,
};
use proptest::prelude::*;
use wood::{AgePart, AgePartKind, Count, Felled, Hemisphere, Mm, Px, Ring, Year, Years};

/// Widths as they come, and as they should never come.
fn any_width() -> impl Strategy<Value = f64> {
    prop_oneof![
        6 => 0.05..12.0_f64,
        1 => Just(0.0),
        1 => Just(1.0),
        1 => prop_oneof![Just(f64::NAN), Just(f64::INFINITY), Just(-2.0), Just(1e300), Just(1e-300)],
    ]
}

fn rings(widths: &[f64], scaled: bool, last: Option<i32>) -> Vec<Ring> {
    let mut radius = 0.0;
    let count = widths.len() as i32;
    let ring = |(index, &width): (usize, &f64)| {
        radius += width;
        Ring {
            number: index as u32 + 1,
            year: last.map(|last| Year(last - count + 1 + index as i32)),
            radius_px: Px(radius),
            radius_mm: scaled.then_some(Mm(radius)),
            width_px: Px(width),
            width_mm: scaled.then_some(Mm(width)),
            confidence: 0.9,
            notes: Vec::new(),
            outline_px: Vec::new(),
        }
    };
    widths.iter().enumerate().map(ring).collect()
}

proptest! {
    #[test]
    fn no_series_makes_anything_panic(
        widths in prop::collection::vec(any_width(), 0..120),
        scaled: bool,
        dated: bool,
    ) {
        let rings = rings(&widths, scaled, dated.then_some(2024));
        let decades = decades(&rings);
        prop_assert_eq!(decades.iter().map(|d| d.rings as usize).sum::<usize>(), rings.len());
        prop_assert!(decades.iter().all(|d| (1..=10).contains(&d.rings)));
        for event in events(&rings, &EventCriteria::default()) {
            prop_assert!(event.ring >= 10 && event.ring as usize <= rings.len() - 10);
        }
        let _ = figures(&rings);
        let _ = series::autocorrelation(&widths);
        prop_assert_eq!(age_trend(&widths).expected.len(), widths.len());
    }

    #[test]
    fn the_trend_can_be_divided_by(widths in prop::collection::vec(0.05..12.0_f64, 1..200)) {
        prop_assert!(age_trend(&widths).expected.iter().all(|e| e.is_finite() && *e > 0.0));
    }

    #[test]
    fn figures_do_not_depend_on_the_unit(
        widths in prop::collection::vec(0.05..12.0_f64, 2..80),
        factor in 0.01..100.0_f64,
    ) {
        let scaled: Vec<f64> = widths.iter().map(|w| w * factor).collect();
        let (a, b) = (figures(&rings(&widths, true, None)), figures(&rings(&scaled, true, None)));
        let (a, b) = (a.expect("has widths"), b.expect("has widths"));
        prop_assert!((a.gini - b.gini).abs() < 1e-9);
        prop_assert!((a.mean_sensitivity - b.mean_sensitivity).abs() < 1e-9);
        prop_assert!((a.variation - b.variation).abs() < 1e-9);
    }

    #[test]
    fn an_age_lies_within_its_range_and_within_the_added_extremes(
        best in 0_u32..600, below in 0_u32..40, above in 0_u32..40,
        cut in (0.0..20.0_f64, 0.0..10.0_f64, 0.0..30.0_f64),
        pith in prop::option::of((0.0..100.0_f64, 0.0..50.0_f64, 0.0..100.0_f64)),
    ) {
        let part = |what, (best, below, above): (f64, f64, f64)| AgePart {
            what,
            best: Years(best),
            low: Years((best - below).max(0.0)),
            high: Years(best + above),
            how: String::new(),
        };
        let count = Count { best, low: best.saturating_sub(below), high: best + above, level: 0.9 };
        let total = age(&AgeInput {
            count: &count,
            count_distribution: None,
            missing_pith: pith.map(|p| part(AgePartKind::MissingPith, p)),
            cut: part(AgePartKind::CutHeight, cut),
            as_of: None,
        });
        prop_assert!(total.low <= total.best && total.best <= total.high);
        let least: f64 = total.parts.iter().map(|p| p.low.0).sum();
        let most: f64 = total.parts.iter().map(|p| p.high.0).sum();
        prop_assert!(f64::from(total.low) >= least - 2.0, "{total:?}");
        prop_assert!(f64::from(total.high) <= most + 2.0, "{total:?}");
    }

    #[test]
    fn every_estimate_has_its_parts_in_order(
        radius in 0.0..300.0_f64,
        radius_sd in 0.0..50.0_f64,
        inner_widths in prop::collection::vec(any_width(), 0..30),
        inner_rings in 0_usize..40,
        height in prop::option::of(-100.0..20_000.0_f64),
    ) {
        let heart = missing_pith::MissingHeart {
            radius, radius_sd, inner_widths: &inner_widths, inner_rings, face_radius: Some(300.0),
        };
        let mut parts = vec![years_to_cut(height.map(Mm), None).part];
        parts.extend(missing_pith::rings_missing(&heart).ok().map(|estimate| estimate.part));
        for part in parts {
            prop_assert!(part.low <= part.best && part.best <= part.high, "{part:?}");
            prop_assert!(part.low.0 >= 0.0 && part.high.0.is_finite(), "{part:?}");
        }
    }

    #[test]
    fn years_run_without_a_gap(
        count in 0_u32..400, year in -2000_i16..3000, month in 1_i8..=12, southern: bool,
    ) {
        let hemisphere = if southern { Hemisphere::Southern } else { Hemisphere::Northern };
        let dated = date_rings(count, Some(Felled::Month { year, month }), hemisphere, true);
        prop_assert_eq!(dated.years.len(), count as usize);
        for pair in dated.years.windows(2) {
            prop_assert_eq!(pair[0].map(|y| y.0 + 1), pair[1].map(|y| y.0));
        }
        if let Some(last) = dated.years.last() {
            prop_assert_eq!(*last, dated.as_of);
        }
    }
}
