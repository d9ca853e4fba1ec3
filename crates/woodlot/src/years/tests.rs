use super::*;
use crate::Tree;
use std::f64::consts::TAU;
use wood::Year;

fn tree(name: &str, first: Option<i32>, widths: Vec<f64>) -> Tree {
    Tree {
        name: name.to_owned(),
        species: None,
        first_year: first.map(Year),
        widths,
        first_ring: 1,
        scope: None,
    }
}

#[test]
fn half_of_a_wave_passes_as_asked() {
    for half_wave in [8.0, 20.0, 64.0] {
        let wave: Vec<f64> = (0..600)
            .map(|t| (TAU * f64::from(t) / half_wave).cos())
            .collect();
        let passed = smoothing_spline(&wave, half_wave);
        // Away from the ends, where a spline is freer.
        for at in 250..350 {
            assert!(
                (passed[at] - 0.5 * wave[at]).abs() < 1e-3,
                "{half_wave} {at}"
            );
        }
    }
}

#[test]
fn long_waves_stay_and_short_ones_go() {
    let wave = |length: f64| -> Vec<f64> {
        (0..600)
            .map(|t| (TAU * f64::from(t) / length).cos())
            .collect()
    };
    let share = |length: f64| {
        let wave = wave(length);
        smoothing_spline(&wave, 32.0)[300] / wave[300]
    };
    assert!(share(300.0) > 0.99);
    assert!(share(4.0) < 0.01);
}

#[test]
fn a_year_that_was_bad_for_all_is_found_and_one_for_a_single_stump_is_not() {
    let bad = |own: usize| -> Vec<f64> {
        (0..40)
            .map(|t| {
                let shared = if t == 25 { 0.5 } else { 1.0 };
                let alone = if t == own { 0.4 } else { 1.0 };
                2.0 * shared * alone
            })
            .collect()
    };
    let trees = [
        tree("a", Some(1960), bad(5)),
        tree("b", Some(1960), bad(9)),
        tree("c", Some(1960), bad(13)),
        tree("d", None, bad(1)),
    ];
    for detrending in [Detrending::NegativeExponential, Detrending::Spline] {
        let found = years(&trees, detrending);
        assert_eq!(found.bad, [Year(1985)], "{detrending:?}");
        assert!(found.good.is_empty());
        assert_eq!(found.used.len(), 3);
        assert_eq!(found.undated, ["d"]);
        assert_eq!(found.years.len(), 40);
        assert_eq!(found.years[0].stumps, 3);
        assert_eq!(found.decades.len(), 4);
        let around = around(&found, Year(1985));
        assert!(around.before.unwrap() > 1.5 * around.itself.unwrap());
        assert!(around.change_percent.unwrap().abs() < 10.0);
    }
}

#[test]
fn ten_years_before_and_after_are_compared() {
    let step: Vec<f64> = (0..40).map(|t| if t < 20 { 1.0 } else { 2.0 }).collect();
    let trees = [tree("a", Some(1980), step)];
    let found = years(&trees, Detrending::NegativeExponential);
    // Rising growth has the mean for its trend: 1.5.
    let thinned = around(&found, Year(2000));
    assert!((thinned.change_percent.unwrap() - 100.0).abs() < 1e-9);
    assert_eq!(around(&found, Year(2018)).after, None);
    assert_eq!(around(&found, Year(i32::MAX)).before, None);
    assert!(years(&[], Detrending::Spline).years.is_empty());
}
