//! What the truth says of a face must be what the picture shows.

use image::RgbImage;
use practice::{
    Ground, OUTLINE_STEPS, Outline, Recipe, Troubles, Truth, Widths, jpeg, render, samples,
};
use wood::WoodClass;

/// A small face without troubles, 16 pixels a ring.
fn clean(wood: WoodClass, seed: u64) -> Recipe {
    Recipe {
        seed,
        wood,
        rings: 16,
        width_px: 640,
        height_px: 600,
        radius_share: 0.86,
        troubles: Troubles {
            checks: 0,
            saw_marks: 0.0,
            dust: 0.0,
            shade: 0.0,
            blur_px: 0.4,
            grain: 0.0,
            ..Troubles::default()
        },
        ..Recipe::default()
    }
}

fn lightness(picture: &RgbImage, x: f64, y: f64) -> f64 {
    let (x, y) = (x - 0.5, y - 0.5);
    let (x0, y0) = (x.floor().max(0.0), y.floor().max(0.0));
    let (u, v) = (x - x0, y - y0);
    let at = |i: f64, j: f64| {
        let px = picture.get_pixel(
            (i as u32).min(picture.width() - 1),
            (j as u32).min(picture.height() - 1),
        );
        0.3 * f64::from(px[0]) + 0.59 * f64::from(px[1]) + 0.11 * f64::from(px[2])
    };
    (at(x0, y0) * (1.0 - u) + at(x0 + 1.0, y0) * u) * (1.0 - v)
        + (at(x0, y0 + 1.0) * (1.0 - u) + at(x0 + 1.0, y0 + 1.0) * u) * v
}

/// Distance from the pith along each step of an outline.
fn distances(truth: &Truth, outline: &Outline) -> Vec<Option<f64>> {
    outline
        .iter()
        .map(|p| p.map(|p| (p[0] - truth.pith[0]).hypot(p[1] - truth.pith[1])))
        .collect()
}

/// Lightness `from` to `to` pixels outward of a boundary, averaged over steps along one direction.
fn along(picture: &RgbImage, truth: &Truth, step: usize, from: f64, to: f64) -> f64 {
    let angle = step as f64 / OUTLINE_STEPS as f64 * std::f64::consts::TAU;
    let n = 5;
    (0..n)
        .map(|i| {
            let r = from + (to - from) * f64::from(i) / f64::from(n - 1);
            lightness(
                picture,
                truth.pith[0] + r * angle.cos(),
                truth.pith[1] + r * angle.sin(),
            )
        })
        .sum::<f64>()
        / f64::from(n)
}

#[test]
fn the_same_recipe_gives_the_same_bytes_on_any_number_of_threads() {
    let mut recipe = Recipe::random(5);
    (recipe.width_px, recipe.height_px) = (420, 360);
    let with = |threads: usize| {
        rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap()
            .install(|| render(&recipe))
    };
    let (one, three) = (with(1), with(3));
    assert_eq!(one.rgb.as_raw(), three.rgb.as_raw());
    assert_eq!(one.truth, three.truth);
    recipe.seed += 4;
    assert_ne!(one.rgb.as_raw(), render(&recipe).rgb.as_raw());
}

#[test]
fn each_ring_lies_outside_the_one_before_in_steps_of_three_degrees() {
    for (seed, tilt) in [(1, 0.0), (2, 18.0), (3, 50.0)] {
        let recipe = Recipe {
            tilt_deg: tilt,
            pith_offset: 0.2,
            waviness: 0.2,
            lobes: 0.06,
            rings: 40,
            troubles: Troubles {
                knots: 3,
                wedging_rings: 3,
                ..Troubles::default()
            },
            ..clean(WoodClass::ALL[seed as usize % 4], seed)
        };
        let truth = render(&recipe).truth;
        assert_eq!(truth.outlines.len(), 40);
        let mut last = vec![0.0; OUTLINE_STEPS];
        for (k, outline) in truth.outlines.iter().enumerate() {
            assert_eq!(outline.len(), OUTLINE_STEPS);
            for (step, place) in outline.iter().enumerate() {
                let Some([x, y]) = place else { continue };
                let (dx, dy) = (x - truth.pith[0], y - truth.pith[1]);
                let r = dx.hypot(dy);
                assert!(
                    r > last[step],
                    "ring {} at step {step}: {r} within {}",
                    k + 1,
                    last[step]
                );
                last[step] = r;
                // Places are stored to a hundredth of a pixel.
                let off = (dy.atan2(dx).to_degrees() - 3.0 * step as f64).rem_euclid(360.0);
                assert!(
                    off.min(360.0 - off) < 0.01 + 1.2 / r,
                    "ring {} step {step} off by {off}",
                    k + 1
                );
            }
        }
    }
}

#[test]
fn in_conifers_dark_meets_light_where_the_truth_says() {
    for (seed, tilt) in [(7, 0.0), (8, 12.0)] {
        let face = render(&Recipe {
            tilt_deg: tilt,
            ..clean(WoodClass::Conifer, seed)
        });
        let (mut right, mut all) = (0, 0);
        for outline in &face.truth.outlines[..15] {
            for (step, r) in distances(&face.truth, outline).into_iter().enumerate() {
                let Some(r) = r else { continue };
                let inside = along(&face.rgb, &face.truth, step, r - 2.5, r - 1.0);
                let outside = along(&face.rgb, &face.truth, step, r + 1.0, r + 2.5);
                all += 1;
                right += i32::from(outside > inside + 12.0);
            }
        }
        assert!(all > 1000 && right * 100 > all * 93, "{right} of {all}");
    }
}

#[test]
fn vessels_crowd_just_outside_the_boundary_in_ring_porous_wood() {
    let face = render(&clean(WoodClass::RingPorous, 9));
    let (mut right, mut all) = (0, 0);
    for outline in &face.truth.outlines[2..15] {
        // Averaged over five directions: between two vessels there is none.
        let r = distances(&face.truth, outline);
        for group in (0..OUTLINE_STEPS).collect::<Vec<_>>().chunks(5) {
            let mean = |from: f64, to: f64| -> f64 {
                group
                    .iter()
                    .filter_map(|s| {
                        r[*s].map(|r| along(&face.rgb, &face.truth, *s, r + from, r + to))
                    })
                    .sum::<f64>()
            };
            all += 1;
            right += i32::from(mean(0.8, 3.2) + 5.0 * 5.0 < mean(-4.0, -1.0));
        }
    }
    assert!(right * 100 > all * 85, "{right} of {all}");
}

#[test]
fn diffuse_porous_wood_ends_its_year_with_a_thin_dark_line() {
    let face = render(&clean(WoodClass::DiffusePorous, 10));
    let mean = |from: f64, to: f64| {
        let mut values = Vec::new();
        for outline in &face.truth.outlines[1..15] {
            for (step, r) in distances(&face.truth, outline).into_iter().enumerate() {
                let r = r.unwrap();
                values.push(along(&face.rgb, &face.truth, step, r + from, r + to));
            }
        }
        values.iter().sum::<f64>() / values.len() as f64
    };
    let (line, before, after) = (mean(-1.4, -0.2), mean(-7.0, -5.0), mean(2.0, 4.0));
    for beside in [before, after] {
        let contrast = (beside - line) / beside;
        assert!((0.02..0.16).contains(&contrast), "{contrast}");
    }
}

#[test]
fn a_truth_comes_back_from_json_as_it_was() {
    let truth = render(&Recipe {
        troubles: Troubles {
            false_rings: 2,
            wedging_rings: 2,
            hollow: 0.2,
            ..Troubles::default()
        },
        ..clean(WoodClass::Conifer, 12)
    })
    .truth;
    let text = serde_json::to_string(&truth).unwrap();
    assert_eq!(serde_json::from_str::<Truth>(&text).unwrap(), truth);
    // Part of a recipe is enough.
    let recipe: Recipe = serde_json::from_str(r#"{"rings":33,"wood":"diffuse-porous"}"#).unwrap();
    assert_eq!((recipe.rings, recipe.wood), (33, WoodClass::DiffusePorous));
}

#[test]
fn hollow_and_cut_off_rings_are_not_in_the_truth() {
    let hollow = Recipe {
        troubles: Troubles {
            hollow: 0.4,
            ..Troubles::default()
        },
        ..clean(WoodClass::RingPorous, 13)
    };
    let truth = render(&hollow).truth;
    assert_eq!(truth.rings, 16);
    assert!(
        (7..=12).contains(&truth.rings_visible),
        "{}",
        truth.rings_visible
    );
    assert!(truth.outlines[0].iter().all(Option::is_none));
    assert!(truth.outlines[15].iter().all(Option::is_some));
    let close = Recipe {
        radius_share: 1.3,
        ground: Ground::CloseUp,
        ..clean(WoodClass::Conifer, 14)
    };
    let truth = render(&close).truth;
    for p in truth.outlines.iter().flatten().flatten() {
        assert!((0.0..640.0).contains(&p[0]) && (0.0..600.0).contains(&p[1]));
    }
    assert!(truth.outlines[15].iter().any(Option::is_none));
}

#[test]
fn a_wedging_ring_is_missing_from_part_of_the_circle_and_named() {
    let recipe = Recipe {
        rings: 30,
        troubles: Troubles {
            wedging_rings: 3,
            ..Troubles::default()
        },
        ..clean(WoodClass::Conifer, 15)
    };
    let truth = render(&recipe).truth;
    assert!(!truth.wedging.is_empty());
    for wedge in &truth.wedging {
        let outline = &truth.outlines[wedge.ring as usize - 1];
        let seen = outline.iter().flatten().count();
        assert!(
            (40..118).contains(&seen),
            "ring {} is seen on {seen}",
            wedge.ring
        );
    }
}

#[test]
fn widths_given_in_millimeters_set_rings_and_scale() {
    let list: Vec<f64> = (0..20).map(|i| 3.0 - 0.05 * f64::from(i)).collect();
    let recipe = Recipe {
        widths: Widths {
            explicit_mm: Some(list.clone()),
            ..Widths::default()
        },
        ..clean(WoodClass::Conifer, 16)
    };
    let truth = render(&recipe).truth;
    assert_eq!(truth.rings, 20);
    let sum: f64 = list.iter().sum();
    assert!((truth.across_inside_bark_mm - 2.0 * sum).abs() < 0.01 * sum);
    for (given, found) in list.iter().zip(&truth.widths_mm) {
        assert!((given - found).abs() < 0.15 * given, "{given} {found}");
    }
}

#[test]
fn the_tape_measures_what_it_says() {
    let recipe = samples()
        .into_iter()
        .find(|s| s.stem == "ash-landing")
        .unwrap()
        .recipe;
    let truth = render(&Recipe {
        width_px: 480,
        height_px: 360,
        ..recipe
    })
    .truth;
    let tape = truth.tape.unwrap();
    let px = (tape.to[0] - tape.from[0]).hypot(tape.to[1] - tape.from[1]);
    assert!((tape.length_mm / px - truth.mm_per_px).abs() < 1e-6 * truth.mm_per_px);
}

#[test]
fn random_faces_stay_within_their_limits_and_cover_all_classes() {
    let mut classes = [0; 4];
    let (mut fewest, mut most) = (u32::MAX, 0);
    for seed in 0..400 {
        let recipe = Recipe::random(seed);
        assert_eq!(recipe, recipe.in_range(), "seed {seed} leaves its range");
        assert!((12..=250).contains(&recipe.rings));
        assert!(
            recipe.radius_px() / f64::from(recipe.rings) >= 3.5,
            "seed {seed} is too fine"
        );
        assert!(
            recipe.width_px.max(recipe.height_px) <= 4032,
            "seed {seed} is larger than a 12 megapixel phone photo"
        );
        classes[WoodClass::ALL
            .iter()
            .position(|c| *c == recipe.wood)
            .unwrap()] += 1;
        fewest = fewest.min(recipe.rings);
        most = most.max(recipe.rings);
    }
    assert_eq!(classes, [100; 4]);
    assert!(fewest < 16 && most > 200, "{fewest} to {most}");
}

#[test]
fn the_woodlot_has_what_it_must_show() {
    let all = samples();
    assert!(all.len() >= 8);
    assert!(all.windows(2).all(|pair| pair[0].stem < pair[1].stem));
    let with = |test: fn(&Recipe) -> bool| all.iter().filter(|s| test(&s.recipe)).count();
    for class in WoodClass::ALL {
        assert!(all.iter().any(|s| s.recipe.wood == class), "no {class}");
    }
    assert!(with(|r| r.tape.is_some()) >= 2);
    assert_eq!(with(|r| r.troubles.hollow > 0.0), 1);
    assert!(with(|r| r.tilt_deg > 20.0) >= 1);
    assert_eq!(with(|r| r.troubles.blur_px > 10.0), 1);
}

#[test]
fn nonsense_in_a_recipe_is_brought_into_range_and_rendered() {
    let recipe = Recipe {
        rings: 0,
        width_px: 0,
        height_px: 1,
        radius_share: f64::NAN,
        pith_offset: 9.0,
        tilt_deg: 500.0,
        mm_per_px: -1.0,
        widths: Widths {
            explicit_mm: Some(vec![f64::NAN, -3.0]),
            ..Widths::default()
        },
        troubles: Troubles {
            hollow: 7.0,
            checks: u32::MAX,
            knots: 900,
            ..Troubles::default()
        },
        ..Recipe::default()
    };
    let face = render(&recipe);
    assert_eq!(face.rgb.dimensions(), (32, 32));
    let file = jpeg(&face.rgb, 0);
    assert_eq!(&file[..2], &[0xFF, 0xD8]);
}

#[test]
fn the_photos_in_the_repository_are_those_of_the_recipes() {
    let page = include_str!("../../../samples/README.md");
    for sample in samples() {
        assert!(
            page.contains(sample.stem),
            "{} is not on the page",
            sample.stem
        );
    }
    let stored: Truth =
        serde_json::from_str(include_str!("../../../samples/pine-gate.truth.json")).unwrap();
    let mut recipe = samples()
        .into_iter()
        .find(|s| s.stem == "pine-gate")
        .unwrap()
        .recipe
        .in_range();
    // Rendering works the scale out from the widths.
    recipe.mm_per_px = stored.recipe.mm_per_px;
    assert_eq!(stored.recipe, recipe, "make the samples again");
    assert!(stored.readable && stored.tape.is_some() && stored.rings == 54);
}
