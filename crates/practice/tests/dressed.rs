//! A face rough from the saw with a dressed strip: rings are clear in the strip alone, and
//! the truth says which ones it shows.

use image::RgbImage;
use practice::{DressedStrip, Dressing, Recipe, StripTruth, Troubles, Truth, render};
use wood::WoodClass;

const SOUND: DressedStrip = DressedStrip {
    direction_deg: 20.0,
    from: -0.1,
    to: 1.05,
    width: 0.2,
    beside: 0.1,
    bow: 0.2,
    wet: 0.0,
};

fn dressed(strips: &[DressedStrip]) -> Recipe {
    Recipe {
        seed: 4,
        wood: WoodClass::Conifer,
        rings: 20,
        width_px: 640,
        height_px: 600,
        troubles: Troubles {
            checks: 0,
            dust: 0.0,
            shade: 0.0,
            grain: 0.0,
            ..Troubles::default()
        },
        dressing: Some(Dressing {
            strips: strips.to_vec(),
            rough: 1.0,
            gray: 0.0,
        }),
        ..Recipe::default()
    }
}

/// Numbers of the rings that a strip shows.
fn shown(strip: &StripTruth) -> Vec<u32> {
    strip.rings.iter().map(|on| on.ring).collect()
}

/// Share of places on ring boundaries where dark latewood meets light earlywood, among
/// those that `keep` picks.
fn clear(picture: &RgbImage, truth: &Truth, keep: impl Fn([f64; 2]) -> bool) -> f64 {
    let light = |place: [f64; 2], out: f64| {
        let (dx, dy) = (place[0] - truth.pith[0], place[1] - truth.pith[1]);
        let r = dx.hypot(dy);
        let at = |d: f64| {
            let [x, y] = [place[0] + (out + d) * dx / r, place[1] + (out + d) * dy / r];
            f64::from(picture.get_pixel(x as u32, y as u32)[1])
        };
        at(-0.5) + at(0.5)
    };
    let (mut right, mut all) = (0.0, 0.0_f64);
    // The last boundary is the bark edge.
    for place in truth.outlines[..truth.outlines.len() - 1]
        .iter()
        .flatten()
        .flatten()
        .filter(|place| keep(**place))
    {
        all += 1.0;
        right += f64::from(u8::from(light(*place, 1.8) > light(*place, -1.8) + 24.0));
    }
    assert!(all > 30.0, "{all} places");
    right / all
}

#[test]
fn rings_are_clear_in_the_strip_and_hidden_beside_it() {
    let face = render(&dressed(&[SOUND]));
    let strip = &face.truth.strips[0];
    let narrow = StripTruth {
        width_px: 0.6 * strip.width_px,
        ..strip.clone()
    };
    let wide = StripTruth {
        width_px: 1.8 * strip.width_px,
        ..strip.clone()
    };
    let inside = clear(&face.rgb, &face.truth, |place| narrow.holds(place));
    let beside = clear(&face.rgb, &face.truth, |place| !wide.holds(place));
    assert!(inside > 0.9, "{inside:.2} in the strip");
    assert!(beside < 0.5, "{beside:.2} beside it");
}

#[test]
fn a_whole_strip_shows_every_ring_where_its_outline_runs() {
    let truth = render(&dressed(&[SOUND])).truth;
    let strip = &truth.strips[0];
    assert_eq!(shown(strip), (1..=20).collect::<Vec<_>>());
    assert_eq!(truth.rings_visible, 20);
    // A fifth of a face of 516 pixels across, seen square on.
    assert!(
        (strip.width_px - 0.2 * 516.0).abs() < 2.0,
        "{}",
        strip.width_px
    );
    for on in &strip.rings {
        let nearest = truth.outlines[on.ring as usize - 1]
            .iter()
            .flatten()
            .map(|at| (at[0] - on.at[0]).hypot(at[1] - on.at[1]))
            .fold(f64::INFINITY, f64::min);
        // Outlines have a place every three degrees: 13 pixels at the bark.
        assert!(nearest < 8.0, "ring {} is {nearest:.1} px off", on.ring);
        assert!(strip.holds(on.at), "ring {} lies outside", on.ring);
    }
}

#[test]
fn a_strip_that_stops_short_shows_fewer_rings_and_a_second_one_the_rest() {
    let inner = DressedStrip { to: 0.6, ..SOUND };
    let outer = DressedStrip {
        direction_deg: 200.0,
        from: 0.5,
        ..SOUND
    };
    let one = render(&dressed(&[inner])).truth;
    let rings = shown(&one.strips[0]);
    assert_eq!(rings[0], 1);
    assert!((8..17).contains(&rings.len()), "{rings:?}");
    assert_eq!(one.rings_visible as usize, rings.len());
    let both = render(&dressed(&[inner, outer])).truth;
    assert!(shown(&both.strips[1])[0] > 5);
    assert_eq!(both.rings_visible, 20);
}

#[test]
fn drawn_faces_stay_within_their_limits_and_vary() {
    let (mut two, mut short_of_pith, mut short_of_bark, mut wet) = (0, 0, 0, 0);
    for seed in 0..400 {
        let recipe = Recipe::dressed(seed);
        assert_eq!(recipe, recipe.in_range(), "seed {seed} leaves its range");
        assert_eq!(recipe.wood, WoodClass::ALL[(seed % 4) as usize]);
        assert!(recipe.radius_share <= 0.9 && recipe.tape.is_none());
        let strips = recipe.dressing.unwrap().strips;
        for strip in &strips {
            assert!((0.04..=0.25).contains(&strip.width));
        }
        two += u32::from(strips.len() == 2);
        short_of_pith += u32::from(strips.iter().all(|s| s.from > 0.0));
        short_of_bark += u32::from(strips.iter().all(|s| s.to < 1.0));
        wet += u32::from(strips.iter().any(|s| s.wet > 0.0));
    }
    for (what, count) in [
        ("two", two),
        ("short of the pith", short_of_pith),
        ("short of the bark", short_of_bark),
        ("wet", wet),
    ] {
        assert!((40..240).contains(&count), "{what}: {count} of 400");
    }
}

#[test]
fn a_dressed_face_has_a_truth_that_comes_back_from_json() {
    let truth = render(&dressed(&[SOUND])).truth;
    let text = serde_json::to_string(&truth).unwrap();
    assert_eq!(serde_json::from_str::<Truth>(&text).unwrap(), truth);
}
