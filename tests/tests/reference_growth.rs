//! Published formulas and worked values of growth and age, each beside its
//! source. "calc": computed from the formula when the value was noted;
//! "printed": stands in the source. Unless a row says otherwise the tolerance
//! is one part in a million, because rows are given to seven digits or more.

use acceptance::check_value as check;
use growth::missing_pith::{
    circle_through, radius_from_arc, rings_at_constant_area, rings_at_constant_width,
};
use growth::series::{
    absolute_increase, autocorrelation, basal_area_increments, compound_percent,
    constant_area_width, dbh_from_profile, dbh_from_stump, diameter_growth_per_decade, gini,
    growth_changes, inside_over_outside_bark, mean_absolute_increase, mean_sensitivity,
    mean_sensitivity_2, mm_to_rings_per_inch, pearson_lag1, percent_growth_change,
    periodic_area_growth_percent, pressler_percent, rings_per_inch_to_mm, schneider_percent,
    standard_deviation, years_to_diameter,
};
use growth::{AgeInput, age, years_at_rate, years_from_heights};
use wood::{AgePart, AgePartKind, Count, Mm, Point, Years};

#[track_caller]
fn check_all(id: &str, found: &[f64], expected: &[f64]) {
    assert_eq!(found.len(), expected.len(), "{id}");
    for (found, expected) in found.iter().zip(expected) {
        check(id, *found, *expected);
    }
}

/// Duncan 1989, New Zealand Natural Sciences 16: 31–37 (form from
/// memory, calc), in mm.
#[test]
fn the_pith_from_an_arc() {
    for (id, chord, height, radius, from_chord) in [
        ("the pith from an arc", 30.0, 5.0, 25.0, 20.0),
        ("the pith from an arc", 20.0, 2.0, 26.0, 24.0),
        ("the pith from an arc", 24.0, 6.0, 15.0, 9.0),
        ("the pith from an arc", 16.0, 4.0, 10.0, 6.0),
        ("low", 30.0, 4.5, 27.25, 22.75),
        ("high", 30.0, 5.5, 23.204_545_5, 17.704_545_5),
    ] {
        let arc = radius_from_arc(Mm(chord), Mm(height)).unwrap();
        check(id, arc.radius.0, radius);
        check(id, arc.from_chord.0, from_chord);
    }
    let arc = radius_from_arc(Mm(30.0), Mm(5.0)).unwrap();
    check("per chord", arc.per_chord, 1.5);
    check("per height", arc.per_height, -4.0);
    check(
        "the pith from an arc",
        arc.uncertainty(Mm(0.25), Mm(0.25)).0,
        1.068_000_5,
    );
    for (chord, height) in [(0.0, 5.0), (30.0, 0.0), (f64::NAN, 1.0), (-3.0, 1.0)] {
        assert!(radius_from_arc(Mm(chord), Mm(height)).is_err());
    }
}

/// The sheet of circles, Applequist 1958, Journal of Forestry 56: 141
/// (calc).
#[test]
fn the_pith_from_a_circle_through_places() {
    let places = [(0.0, 0.0), (15.0, 5.0), (30.0, 0.0)].map(|(x, y)| Point::new(x, y));
    let circle = circle_through(&places).unwrap();
    check("x", circle.centre.x_px, 15.0);
    check("y", circle.centre.y_px, -20.0);
    check(
        "the pith from a circle through places",
        circle.radius.0,
        25.0,
    );
}

/// Baker et al. 2005, Ecological Monographs 75: 317–343, appendix B (rule
/// read, calc). The equality of both methods is derived. Biondi and Qeadan 2008, Tree-Ring Research
/// 64(2): 81–96 (form from memory, calc).
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
    let widths: Vec<f64> = (1..=4).map(|age| constant_area_width(age, 10.0)).collect();
    check_all(
        "rings of a missing heart",
        &widths,
        &[10.0, 4.142_135_6, 3.178_372_5, 2.679_491_9],
    );
}

/// Ponderosa pine on dry ground, 5 years per 10 cm (Ecology 93, appendix
/// E093-093). Eastern white pine (USDA Silvics figures, second-hand).
/// Oak shoots, 19 in a year (Heggenstaller et al. 2012, Northern Journal of
/// Applied Forestry). Planted loblolly pine (open data). All calc.
#[test]
fn years_to_a_height() {
    let years = |years: Option<Years>| years.map(|y| y.0);
    check(
        "years to a height",
        years(years_at_rate(Mm(300.0), 100.0 / 5.0)),
        15.0,
    );
    let pine = [(Mm(130.0), Years(3.0)), (Mm(300.0), Years(5.0))];
    check(
        "years to a height",
        years(years_from_heights(&pine, Mm(200.0))),
        3.823_529_4,
    );
    assert_eq!(years_from_heights(&pine, Mm(100.0)), None);
    let shoot = years_at_rate(Mm::from_inches(12.0), Mm::from_inches(19.0).0);
    check("years to a height", years(shoot), 0.631_578_9);
    let planted = [
        (Mm(0.0), Years(0.0)),
        (Mm::from_inches(12.0 * 4.237_857_1), Years(3.0)),
    ];
    let one_foot = years_from_heights(&planted, Mm::from_inches(12.0));
    check("years to a height", years(one_foot), 0.707_904_9);
}

/// The R data set `Loblolly`, 14 seed lots, heights in feet at 3 and 5
/// years (open data; calc).
#[test]
fn years_to_breast_height_of_fourteen_seed_lots() {
    let lots = [
        (4.51, 10.89),
        (4.55, 10.92),
        (4.79, 11.37),
        (3.91, 9.48),
        (4.81, 11.20),
        (3.88, 9.40),
        (4.32, 10.43),
        (4.57, 10.57),
        (3.77, 9.03),
        (4.33, 10.79),
        (4.38, 10.48),
        (4.12, 9.92),
        (3.93, 9.34),
        (3.46, 9.05),
    ];
    let feet = |feet: f64| Mm::from_inches(12.0 * feet);
    let years = lots.map(|(at_3, at_5)| {
        let points = [
            (feet(0.0), Years(0.0)),
            (feet(at_3), Years(3.0)),
            (feet(at_5), Years(5.0)),
        ];
        years_from_heights(&points, feet(4.5)).unwrap().0
    });
    check("mean", years.iter().sum::<f64>() / 14.0, 3.079_875_1);
    check(
        "least",
        years.iter().copied().fold(f64::MAX, f64::min),
        2.806_652_8,
    );
    check(
        "most",
        years.iter().copied().fold(0.0, f64::max),
        3.372_093_0,
    );
}

/// 87 rings, 25 mm missing at 2.5 mm a ring, 4 years to the cut (calc).
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
    let told = age(&AgeInput {
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
    assert_eq!(told.best, 101, "rings heart and cut make the age");
    // Three independent ranges of ±1: ±√3, not ±3.
    assert_eq!(
        (told.low, told.high),
        (99, 103),
        "rings heart and cut make the age"
    );
}

/// π(R² − r²), mm² (standard; calc).
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

/// Douglass 1936, Fritts 1976; Biondi and Qeadan 2008, Ecology 89:
/// 1056–1067; the rest standard. Forms from memory, calc.
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
        mean_sensitivity_2(&odd),
        0.476_190_5,
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
    check("figures of a short series", pearson_lag1(&odd), -0.5);
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

/// Statistics of the open series, whole and 1880–1979 (calc, dimensionless).
#[test]
fn figures_of_the_open_series() {
    let (years, whole) = open_series();
    assert_eq!((years[0], years[7979], whole.len()), (-6000, 1979, 7980));
    let century = last_century();
    assert_eq!(century.len(), 100);
    // Series, sum, standard deviation, r₁, Pearson, MS, MS₂, Gini.
    for (id, series, expected) in [
        (
            "whole",
            &whole,
            [
                7954.753,
                0.300_357_5,
                0.223_187_9,
                0.223_210_8,
                0.331_838_1,
                0.284_287_4,
                0.166_568_0,
            ],
        ),
        (
            "1880-1979",
            &century,
            [
                100.213,
                0.263_759_4,
                0.175_269_3,
                0.175_680_5,
                0.298_313_9,
                0.256_151_4,
                0.141_744_4,
            ],
        ),
    ] {
        let [sum, deviation, r1, pearson, ms, ms2, g] = expected;
        check(id, series.iter().sum::<f64>(), sum);
        check(id, standard_deviation(series), deviation);
        check(id, autocorrelation(series), r1);
        check(id, pearson_lag1(series), pearson);
        check(id, mean_sensitivity(series), ms);
        check(id, mean_sensitivity_2(series), ms2);
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
/// Monographs 67: 225–249; absolute increase, Fraver and White 2005, Canadian
/// Journal of Forest Research 35: 1648–1656 (from memory). Calc.
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
    check(
        "growth change between tens of years",
        absolute_increase(0.8, 1.7),
        0.9,
    );
}

/// The same on the open series (calc, two methods).
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
    let increase = mean_absolute_increase(&index, 10)
        .into_iter()
        .find(|(at, _)| years[*at] == 1899)
        .map(|(_, increase)| increase);
    check("AI", increase, 0.2282);

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

/// Schneider, The Tree Book, 1912 (read). The exact share, derived.
#[test]
fn growth_percent_from_the_outer_inch() {
    check(
        "growth percent from the outer inch",
        schneider_percent(10.0, 8.0),
        5.0,
    );
    check(
        "growth percent from the outer inch",
        schneider_percent(16.0, 10.0),
        2.5,
    );
    check(
        "growth percent from the outer inch",
        schneider_percent(20.0, 5.0),
        4.0,
    );
    // One ring of an eighth of an inch on 10 in: 9.75 in last year.
    let of_today = periodic_area_growth_percent(&[(10.0, 9.75)]).unwrap();
    check("today", of_today, 4.9375);
    let of_last_year = 100.0 * of_today / (100.0 - of_today);
    check("last year", of_last_year, 5.193_951_3);
}

/// Pressler (form from memory, calc), percent a year.
#[test]
fn growth_percent_between_two_sizes() {
    check(
        "growth percent between two sizes",
        pressler_percent(100.0, 150.0, 10.0),
        4.0,
    );
    check(
        "compound",
        compound_percent(100.0, 150.0, 10.0),
        4.137_974_4,
    );
    check(
        "growth percent between two sizes",
        pressler_percent(100.0, 144.0, 10.0),
        3.606_557_4,
    );
    check(
        "compound",
        compound_percent(100.0, 144.0, 10.0),
        3.713_728_9,
    );
}

/// 25.4 mm in an inch; twenty ring widths of diameter in ten years.
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
        check(
            "rings per inch",
            rings_per_inch_to_mm(rings).map(|w| w.0),
            mm,
        );
        check("rings per inch", mm_to_rings_per_inch(Mm(mm)), rings);
    }
    check("rings per inch", diameter_growth_per_decade(2.0), 40.0);
    check(
        "rings per inch",
        diameter_growth_per_decade(1.0 / 10.0),
        2.0,
    );
    check("rings per inch", diameter_growth_per_decade(1.0 / 4.0), 5.0);
    let tenth_of_an_inch = Mm::from_inches(0.1);
    let years = years_to_diameter(
        Mm::from_inches(12.0),
        Mm::from_inches(16.0),
        tenth_of_an_inch,
    );
    check("rings per inch", years, 20.0);
}

/// Southern regional forester's handbook, five trees, inches inside bark
/// (read; printed 37.9 and 7.58 from rounded ratios).
#[test]
fn growth_percent_of_a_stand() {
    let trees = [(7.6, 5.8), (6.0, 4.0), (9.3, 7.8), (11.0, 9.6), (8.7, 6.8)];
    let growth = periodic_area_growth_percent(&trees).unwrap();
    // Expected values are given to six digits.
    assert!(
        (growth - 37.9429).abs() < 5e-5,
        "growth percent of a stand: {growth}"
    );
    assert!((growth / 5.0 - 7.5886).abs() < 5e-5, "a year");
    assert!((growth - 37.9).abs() < 0.05, "as printed");
}

/// Raile 1982, USDA Forest Service NC-224 (form from memory; b = 0.10 is
/// an illustration), inches. Beck et al. 1966 (read). Southern
/// handbook, inside over outside bark (read, calc).
#[test]
fn breast_height_from_the_stump() {
    let dbh = |height_ft| dbh_from_profile(Mm::from_inches(20.0), height_ft, 0.10).map(Mm::inches);
    check("breast height from the stump", dbh(1.0), 17.021_276_6);
    check("breast height from the stump", dbh(0.5), 15.789_473_7);
    check(
        "breast height from the stump",
        dbh_from_stump(Mm::from_inches(18.0)).inches(),
        18.0,
    );
    // Diameter outside bark and inside bark, inches.
    let trees = [
        (8.4, 7.6),
        (6.7, 6.0),
        (10.2, 9.3),
        (12.0, 11.0),
        (9.6, 8.7),
    ];
    let ratios: Vec<f64> = trees
        .iter()
        .map(|(outside, inside)| {
            let bark = Mm::from_inches((outside - inside) / 2.0);
            inside_over_outside_bark(Mm::from_inches(*outside), bark).unwrap()
        })
        .collect();
    check_all(
        "breast height from the stump",
        &ratios,
        &[0.904_761_9, 0.895_522_4, 0.911_764_7, 0.916_666_7, 0.906_25],
    );
    check("mean", ratios.iter().sum::<f64>() / 5.0, 0.906_993_1);
}
