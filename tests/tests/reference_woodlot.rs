//! Reference calculations for comparing stumps: each value was computed once from the
//! formula of the source named beside it, apart from this program. Forms marked "from
//! memory" could not be looked up. Unless a row says otherwise the tolerance is one
//! part in a million, because rows are given to seven digits or more.

use acceptance::check_value as check;
use wood::stats::pearson;
use woodlot::{
    baillie_pilcher, expressed_population_signal, mean_correlation, parallel_variation, t_value,
};

/// Eckstein and Bauch 1969, Forstwissenschaftliches Centralblatt 88:
/// 230–250 (definition read); the halves for level intervals are ours.
#[test]
fn parallel_variation_counts_intervals_that_go_the_same_way() {
    let share = |a: &[f64], b: &[f64]| parallel_variation(a, b).map(|p| p.share);
    let a = [1.0, 2.0, 3.0, 2.0, 1.0, 2.0];
    let b = [1.0, 2.0, 1.0, 2.0, 1.0, 2.0];
    check(
        "parallel variation counts intervals that go the same way",
        share(&a, &b),
        0.6,
    );
    assert_eq!(parallel_variation(&a, &b).map(|p| p.intervals), Some(5));
    check("one level", share(&[1.0, 1.0], &[1.0, 2.0]), 0.5);
    check("both level", share(&[1.0, 1.0], &[2.0, 2.0]), 1.0);
    assert_eq!(share(&[1.0], &[1.0]), None);
}

/// Baillie and Pilcher 1973, Tree-Ring Bulletin 33: 7–14 (form from
/// memory).
#[test]
fn the_t_value_of_a_correlation() {
    for (r, n, t) in [
        (0.5, 100, 5.715_476_1),
        (0.6, 50, 5.196_152_4),
        (0.35, 100, 3.698_771_6),
        (0.5, 62, 4.472_136_0),
    ] {
        check("the t value of a correlation", t_value(r, n), t);
    }
    assert_eq!(t_value(0.5, 2), None);
}

/// The same source.
#[test]
fn widths_lose_their_trend() {
    check(
        "widths lose their trend",
        baillie_pilcher(&[1.0, 2.0, 3.0, 4.0, 5.0])[0],
        4.605_170_2,
    );
    check(
        "widths lose their trend",
        baillie_pilcher(&[2.0, 2.0, 4.0, 2.0, 2.0])[0],
        5.115_995_8,
    );
    assert!(baillie_pilcher(&[1.0; 4]).is_empty());
    // A missing ring has no logarithm, and must not spoil the rest.
    for value in baillie_pilcher(&[1.0, 1.0, 0.0, 1.0, 1.0, 0.0, 0.0, 0.0, 0.0, 0.0]) {
        assert!(value.is_finite());
    }
}

/// Wigley, Briffa and Jones 1984, Journal of Climate and Applied Meteorology 23(2):
/// 201–213 (read).
#[test]
fn what_stumps_show_together() {
    check(
        "what stumps show together",
        mean_correlation(&[0.5, 0.6, 0.7]),
        0.6,
    );
    for (stumps, r, signal) in [
        (10, 0.5, 0.909_090_9),
        (14, 0.3, 0.857_142_9),
        (13, 0.3, 0.847_826_1),
        (6, 0.5, 0.857_142_9),
        (5, 0.5, 0.833_333_3),
        (20, 0.4, 0.930_232_6),
    ] {
        check(
            "what stumps show together",
            expressed_population_signal(stumps, r),
            signal,
        );
    }
    assert_eq!(expressed_population_signal(1, 0.5), None);
}

/// The R data set `treering`, 1780 to 1879 against 1880 to 1979 position
/// by position: unrelated years, a check of the arithmetic alone.
#[test]
fn an_open_series_against_itself_a_century_later() {
    let value = |line: &str| -> Option<(i32, f64)> {
        let mut fields = line.split(',').skip(1);
        Some((fields.next()?.parse().ok()?, fields.next()?.parse().ok()?))
    };
    let series: Vec<(i32, f64)> = include_str!("../data/treering.csv")
        .lines()
        .skip(1)
        .filter_map(value)
        .collect();
    let century = |from: i32| -> Vec<f64> {
        series
            .iter()
            .filter(|(year, _)| (from..from + 100).contains(year))
            .map(|(_, index)| *index)
            .collect()
    };
    let (early, late) = (century(1780), century(1880));
    check(
        "parallel",
        parallel_variation(&early, &late).map(|p| p.share),
        44.0 / 99.0,
    );
    let (early, late) = (baillie_pilcher(&early), baillie_pilcher(&late));
    assert_eq!(early.len(), 96);
    let r = pearson(&early, &late).unwrap_or(f64::NAN);
    check("r", r, 0.059_820_8);
    check("t", t_value(r, early.len()), 0.581_025_2);
}
