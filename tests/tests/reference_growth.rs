//! Reference calculations for growth and age: each value was computed once from the
//! formula of the source named beside it, apart from this program. Forms marked "from
//! memory" could not be looked up. Unless a row says otherwise the tolerance is one
//! part in a million, because rows are given to seven digits or more.

use acceptance::check_value as check;
use growth::missing_pith::{circles_through, rings_at_constant_area, rings_at_constant_width};
use growth::series::{
    autocorrelation, basal_area_increments, gini, growth_changes, mean_sensitivity,
    mm_to_rings_per_inch, percent_growth_change, schneider_percent, standard_deviation,
    years_to_diameter,
};
use growth::{AgeInput, age};
use wood::{AgePart, AgePartKind, Count, Mm, Point, Years};

#[track_caller]
fn check_all(id: &str, found: &[f64], expected: &[f64]) {
    assert_eq!(found.len(), expected.len(), "{id}");
    for (found, expected) in found.iter().zip(expected) {
        check(id, *found, *expected);
    }
}

/// The sheet of circles, Applequist 1958, Journal of Forestry 56: 141.
#[test]
fn the_pith_from_circles_through_arcs() {
    let inner = [(0.0, 0.0), (15.0, 5.0), (30.0, 0.0)].map(|(x, y)| Point::new(x, y));
    // Around the same center, by the 3-4-5 and 5-12-13 triangles.
    let outer = [(0.0, 16.0), (15.0, 19.0), (51.0, -5.0)].map(|(x, y)| Point::new(x, y));
    for arcs in [&[&inner[..]][..], &[&inner[..], &outer[..]]] {
        let circles = circles_through(arcs).unwrap();
        check("x", circles.center.x_px, 15.0);
        check("y", circles.center.y_px, -20.0);
        check("radius", circles.radius.0, 25.0);
    }
}

/// Baker et al. 2005, Ecological Monographs 75: 317–343, appendix B (rule
/// read).
#[test]
fn rings_of_a_missing_heart() {
    check(
        "rings of a missing heart",
        rings_at_constant_width(25.0, 2.5),
        10.0,
    );
    check(
        "rings of a missing heart",
        rings_at_constant_width(26.0, 2.0),
        13.0,
    );
    check("width", rings_at_constant_width(10.0, 10.0 / 5.0), 5.0);
    check("area", rings_at_constant_area(10.0, 10.0, 5), 1.666_666_7);
}

/// 87 rings, 25 mm missing at 2.5 mm a ring, 4 years to the cut.
#[test]
fn rings_heart_and_cut_make_the_age() {
    let part = |what, years: f64| AgePart {
        what,
        best: Years(years),
        low: Years(years - 1.0),
        high: Years(years + 1.0),
        how: String::new(),
    };
    let heart = rings_at_constant_width(25.0, 2.5).unwrap();
    let found = age(&AgeInput {
        count: &Count {
            best: 87,
            low: 86,
            high: 88,
            level: 0.9,
        },
        count_distribution: None,
        missing_pith: Some(part(AgePartKind::MissingPith, heart)),
        cut: part(AgePartKind::CutHeight, 4.0),
        as_of: None,
    });
    assert_eq!(found.best, 101, "rings heart and cut make the age");
    // Three independent ranges of ±1: ±√3, not ±3.
    assert_eq!(
        (found.low, found.high),
        (99, 103),
        "rings heart and cut make the age"
    );
}

/// π(R² − r²), mm² (standard).
#[test]
fn basal_area() {
    check_all(
        "basal area",
        &basal_area_increments(&[2.0], 10.0),
        &[138.230_076_8],
    );
    let from_pith = basal_area_increments(&[2.0; 3], 0.0);
    check_all(
        "basal area",
        &from_pith,
        &[12.566_370_6, 37.699_111_8, 62.831_853_1],
    );
    check("sum", from_pith.iter().sum::<f64>(), 113.097_335_5);
    let offset = basal_area_increments(&[2.0, 1.5], 5.0);
    check_all("basal area", &offset, &[75.398_223_7, 73.042_029_2]);
}

/// Douglass 1936, Fritts 1976; the rest standard. Forms from memory.
#[test]
fn figures_of_a_short_series() {
    let odd = [2.0, 4.0, 3.0, 5.0];
    let turns = [1.0, 2.0, 1.0, 2.0];
    check(
        "figures of a short series",
        mean_sensitivity(&odd),
        0.484_127_0,
    );
    check(
        "figures of a short series",
        mean_sensitivity(&turns),
        0.666_666_7,
    );
    check(
        "figures of a short series",
        mean_sensitivity(&[1.0; 4]),
        0.0,
    );
    check("figures of a short series", gini(&odd), 0.178_571_4);
    check("figures of a short series", gini(&turns), 0.166_666_7);
    check("figures of a short series", gini(&[1.0; 4]), 0.0);
    check("figures of a short series", autocorrelation(&odd), -0.35);
    check("figures of a short series", autocorrelation(&turns), -0.75);
}

/// The R data set `treering` (see `data/README.md`): years and index.
fn open_series() -> (Vec<i32>, Vec<f64>) {
    include_str!("../data/treering.csv")
        .lines()
        .skip(1)
        .map(|line| {
            let mut fields = line.split(',').skip(1);
            let year: i32 = fields.next().and_then(|f| f.parse().ok()).expect("a year");
            let index: f64 = fields
                .next()
                .and_then(|f| f.parse().ok())
                .expect("an index");
            (year, index)
        })
        .unzip()
}

/// The years 1880 to 1979.
fn last_century() -> Vec<f64> {
    let (years, index) = open_series();
    let start = years
        .iter()
        .position(|year| *year == 1880)
        .expect("holds 1880");
    index[start..].to_vec()
}

/// Statistics of the open series, whole and 1880–1979 (dimensionless).
#[test]
fn figures_of_the_open_series() {
    let (years, whole) = open_series();
    assert_eq!((years[0], years[7979], whole.len()), (-6000, 1979, 7980));
    let century = last_century();
    assert_eq!(century.len(), 100);
    // Series, sum, standard deviation, r₁, mean sensitivity, Gini.
    for (id, series, expected) in [
        (
            "whole",
            &whole,
            [7954.753, 0.300_357_5, 0.223_187_9, 0.331_838_1, 0.166_568_0],
        ),
        (
            "1880-1979",
            &century,
            [100.213, 0.263_759_4, 0.175_269_3, 0.298_313_9, 0.141_744_4],
        ),
    ] {
        let [sum, deviation, r1, ms, g] = expected;
        check(id, series.iter().sum::<f64>(), sum);
        check(id, standard_deviation(series), deviation);
        check(id, autocorrelation(series), r1);
        check(id, mean_sensitivity(series), ms);
        check(id, gini(series), g);
    }
    let decades: Vec<f64> = century
        .chunks(10)
        .map(|ten| ten.iter().sum::<f64>() / 10.0)
        .collect();
    check_all(
        "decades",
        &decades,
        &[
            1.0226, 0.9619, 1.1901, 1.2022, 0.9603, 0.9172, 0.8995, 0.9031, 0.9106, 1.0538,
        ],
    );
}

/// Percent growth change, Nowacki and Abrams 1997, Ecological
/// Monographs 67: 225–249.
#[test]
fn growth_change_between_tens_of_years() {
    check(
        "growth change between tens of years",
        percent_growth_change(1.0, 1.6),
        60.0,
    );
    check(
        "growth change between tens of years",
        percent_growth_change(2.0, 1.5),
        -25.0,
    );
    for (id, before, after, percent) in [
        ("growth change between tens of years", 1.0, 1.3, 30.0),
        ("growth change between tens of years", 0.8, 1.7, 112.5),
    ] {
        let widths = [[before; 10], [after; 10]].concat();
        let changes = growth_changes(&widths, 10);
        assert_eq!(changes.len(), 1, "{id}");
        assert_eq!(changes[0].0, 9, "{id}: the last ring before the change");
        check(id, changes[0].1, percent);
    }
}

/// The same on the open series (two methods).
#[test]
fn growth_change_of_the_open_series() {
    let (years, index) = open_series();
    let changes: Vec<(i32, f64)> = growth_changes(&index, 10)
        .into_iter()
        .map(|(at, change)| (years[at], change))
        .collect();
    assert_eq!(changes.len(), 7961, "growth change of the open series");
    let in_year = |year: i32| changes.iter().find(|c| c.0 == year).map(|c| c.1);
    check("1899", in_year(1899), 23.723_879_8);
    check("1919", in_year(1919), -20.121_444_0);
    check("1969", in_year(1969), 15.725_895_0);

    let extremes = |from: i32| {
        let kept: Vec<_> = changes.iter().filter(|c| c.0 >= from).copied().collect();
        let most = kept.iter().copied().max_by(|a, b| a.1.total_cmp(&b.1));
        let least = kept.iter().copied().min_by(|a, b| a.1.total_cmp(&b.1));
        (most.unwrap(), least.unwrap())
    };
    for (id, from, most, least) in [
        (
            "whole",
            -6000,
            (-4408, 80.136_037_3),
            (-5211, -48.950_924_7),
        ),
        (
            "1889-1969",
            1889,
            (1904, 34.103_619_3),
            (1922, -32.435_624_9),
        ),
    ] {
        let found = extremes(from);
        assert_eq!((found.0.0, found.1.0), (most.0, least.0), "{id}");
        check(id, found.0.1, most.1);
        check(id, found.1.1, least.1);
    }
    let from = |limit: f64| changes.iter().filter(|c| c.1 >= limit).count();
    assert_eq!(
        (from(25.0), from(50.0), from(100.0)),
        (702, 48, 0),
        "growth change of the open series"
    );
    assert_eq!(
        changes.iter().filter(|c| c.1 <= -25.0).count(),
        361,
        "growth change of the open series"
    );
    let recent = changes.iter().filter(|c| c.0 >= 1889 && c.1 >= 25.0);
    assert_eq!(recent.count(), 4, "growth change of the open series");
}

/// Schneider, The Tree Book, 1912: diameter and outermost inch in inches.
#[test]
fn growth_percent_from_the_outer_inch() {
    let inch = Mm::from_inches(1.0);
    for (diameter, rings, percent) in [(10.0, 8.0, 5.0), (16.0, 10.0, 2.5), (20.0, 5.0, 4.0)] {
        let found = schneider_percent(Mm::from_inches(diameter), inch, rings);
        check("growth percent", found, percent);
    }
    // The rule is near the growth itself: one ring of an eighth of an inch on 9.75 in.
    let (now, before) = (10.0_f64.powi(2), 9.75_f64.powi(2));
    let exact = 100.0 * (now - before) / before;
    assert!((exact - 5.0).abs() < 0.2, "{exact}");
}

/// 25.4 mm in an inch; two ring widths of diameter a year.
#[test]
fn rings_per_inch() {
    for (rings, mm) in [
        (4.0, 6.35),
        (5.0, 5.08),
        (6.0, 4.233_333_3),
        (8.0, 3.175),
        (10.0, 2.54),
        (12.0, 2.116_666_7),
        (16.0, 1.5875),
        (20.0, 1.27),
        (24.0, 1.058_333_3),
        (30.0, 0.846_666_7),
    ] {
        check("rings per inch", mm_to_rings_per_inch(Mm(mm)), rings);
    }
    let tenth_of_an_inch = Mm::from_inches(0.1);
    let years = years_to_diameter(
        Mm::from_inches(12.0),
        Mm::from_inches(16.0),
        tenth_of_an_inch,
    );
    check("rings per inch", years, 20.0);
}
