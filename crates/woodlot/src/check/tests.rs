use super::*;
use crate::Tree;
use wood::Year;

/// A small generator, so that drawn woodlots are the same everywhere
/// (Steele, Lea and Flood 2014, "splitmix").
struct Dice(u64);

impl Dice {
    fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.unit()).sum::<f64>() - 6.0
    }
}

/// Trees that share good and bad years (spread `shared`) and have luck of
/// their own (spread `own`); the last ring of all is of 2025.
fn woodlot(seed: u64, rings: &[usize], shared: f64, own: f64) -> Vec<Tree> {
    let mut dice = Dice(seed);
    let years: Vec<f64> = (0..300).map(|_| shared * dice.normal()).collect();
    rings
        .iter()
        .enumerate()
        .map(|(index, &rings)| {
            let mut luck = 0.0;
            let widths = (0..rings)
                .map(|ring| {
                    luck = 0.5 * luck + 0.866 * dice.normal();
                    let age = ring as f64 / rings as f64;
                    let trend = 1.5 + 2.0 * (-3.0 * age).exp();
                    trend * (years[300 - rings + ring] + own * luck).exp()
                })
                .collect();
            Tree {
                name: format!("stump {index}"),
                species: None,
                first_year: Some(Year(2026 - rings as i32)),
                widths,
                first_ring: 1,
                scope: None,
            }
        })
        .collect()
}

const RINGS: [usize; 8] = [62, 75, 88, 54, 70, 97, 66, 81];

/// The tree with the ring at `index` run together with the next, and all rings
/// inside it dated a year later, as a reading from the bark inward dates them.
fn read_short(tree: &mut Tree, index: usize) {
    let lost = tree.widths.remove(index);
    tree.widths[index] += lost;
    tree.first_year = tree.first_year.map(|year| Year(year.0 + 1));
}

/// The tree with one ring read as two.
fn read_long(tree: &mut Tree, index: usize) {
    let whole = tree.widths[index];
    tree.widths[index] = 0.55 * whole;
    tree.widths.insert(index, 0.45 * whole);
    tree.first_year = tree.first_year.map(|year| Year(year.0 - 1));
}

#[test]
fn a_short_and_a_long_reading_are_named_with_the_place() {
    let (mut found, mut placed, mut width) = (0, 0, 0);
    let runs = 60;
    for seed in 0..runs {
        for short in [true, false] {
            let mut trees = woodlot(seed, &RINGS, 0.22, 0.12);
            // Slips from 25 rings off the pith to 15 off the bark.
            let index = 25 + (seed as usize * 7) % 30;
            if short {
                read_short(&mut trees[5], index);
            } else {
                read_long(&mut trees[5], index);
            }
            let year = trees[5].first_year.unwrap().0 + index as i32;
            let (checked, _) = check(&trees, &CheckCriteria::default());
            if let Some(shift) = &checked[5].shift
                && shift.rings_short() == if short { 1 } else { -1 }
            {
                found += 1;
                placed += i32::from((shift.from_year..=shift.to_year).contains(&year));
                width += shift.to_year - shift.from_year;
            }
        }
    }
    let all = 2 * runs as i32;
    // Measured: 119 of 120 found, 116 of them in the reported range, one year wide.
    assert!(found >= all * 95 / 100, "{found} of {all} found");
    assert!(placed >= found * 90 / 100, "{placed} of {found} placed");
    assert!(width / found <= 3, "{} years wide", width / found);
}

#[test]
fn stumps_that_were_read_right_are_left_alone() {
    let (mut named, mut apart) = (0, 0);
    let mut checked_all = 0;
    for seed in 100..160 {
        // From trees that share much to trees that share next to nothing.
        for shared in [0.25, 0.12, 0.02] {
            let trees = woodlot(seed, &RINGS, shared, 0.15);
            let (checked, _) = check(&trees, &CheckCriteria::default());
            named += checked.iter().filter(|c| c.shift.is_some()).count();
            apart += checked
                .iter()
                .filter(|c| matches!(c.verdict(&CheckCriteria::default()), Verdict::Departs(_)))
                .count();
            checked_all += checked.len();
        }
    }
    assert!(
        named * 200 <= checked_all,
        "{named} of {checked_all} named wrongly"
    );
    // Measured: 4 of 1440.
    assert!(
        apart * 200 <= checked_all,
        "{apart} of {checked_all} named wrongly"
    );
}

#[test]
fn two_mistakes_that_cancel_out_are_reported_by_the_years_between() {
    let (mut found, mut near) = (0, 0);
    for seed in 300..360 {
        let mut trees = woodlot(seed, &RINGS, 0.22, 0.12);
        // Ring 43 of 97 is lost, ring 68 is read as two.
        let first_year = trees[5].first_year;
        read_short(&mut trees[5], 42);
        read_long(&mut trees[5], 67);
        assert_eq!(trees[5].first_year, first_year);
        let (checked, _) = check(&trees, &CheckCriteria::default());
        if let Verdict::Departs(apart) = checked[5].verdict(&CheckCriteria::default()) {
            found += 1;
            // The years that are out: 1971 to 1996. Windows are ten years apart.
            let shared = apart.to_year.min(1996) - apart.from_year.max(1971) + 1;
            near += i32::from(shared >= 13 && apart.to_year - apart.from_year < 50);
        }
    }
    // Measured: 46 of 60 found, each over more than half of the true years.
    assert!(found >= 42, "{found} of 60 found");
    assert!(near >= found * 90 / 100, "{near} of {found} near");
}

#[test]
fn one_slipped_stump_does_not_make_the_others_doubtful() {
    for seed in 200..230 {
        let mut trees = woodlot(seed, &RINGS[..4], 0.25, 0.1);
        read_short(&mut trees[1], 40);
        let (checked, pairs) = check(&trees, &CheckCriteria::default());
        let named: Vec<usize> = (0..4).filter(|i| checked[*i].shift.is_some()).collect();
        assert_eq!(named, [1], "seed {seed}");
        assert_eq!(pairs.len(), 6);
        let sound = checked[0].t.unwrap();
        assert!(sound > checked[1].t.unwrap(), "seed {seed}");
    }
}

#[test]
fn a_series_that_is_shifted_whole_points_at_the_bark() {
    let mut trees = woodlot(7, &RINGS, 0.25, 0.1);
    trees[2].first_year = trees[2].first_year.map(|year| Year(year.0 - 1));
    let (checked, _) = check(&trees, &CheckCriteria::default());
    let shift = checked[2].shift.as_ref().unwrap();
    assert_eq!(shift.years, 1);
    assert!(shift.may_be_whole);
}

#[test]
fn too_few_or_too_short_series_are_not_judged() {
    let trees = woodlot(3, &[60, 60], 0.3, 0.1);
    let (checked, pairs) = check(&trees, &CheckCriteria::default());
    assert_eq!((checked.len(), pairs.len()), (2, 1));
    assert!(checked.iter().all(|c| c.shift.is_none() && c.t.is_none()));
    let mut undated = woodlot(3, &[60, 60, 60, 12], 0.3, 0.1);
    undated[0].first_year = None;
    let (checked, _) = check(&undated, &CheckCriteria::default());
    assert_eq!(checked.len(), 2);
    assert!(check(&[], &CheckCriteria::default()).0.is_empty());
}

#[test]
fn windows_cover_the_years_from_the_bark_inward() {
    let trees = woodlot(11, &[64, 64, 64], 0.25, 0.1);
    let (checked, _) = check(&trees, &CheckCriteria::default());
    let windows = &checked[0].windows;
    // 64 rings make 60 values: 1964 to 2023.
    let years: Vec<_> = windows.iter().map(|w| (w.from_year, w.to_year)).collect();
    assert_eq!(
        years,
        [
            (1964, 1983),
            (1974, 1993),
            (1984, 2003),
            (1994, 2013),
            (2004, 2023)
        ]
    );
    assert!(windows.iter().all(|w| !w.weak));
}
