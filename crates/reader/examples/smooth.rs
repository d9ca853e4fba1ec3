//! temp
#![allow(
    missing_docs,
    clippy::all,
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    clippy::disallowed_types,
    reason = "temporary"
)]
use ndarray::{Array2, Array3, Axis};
use std::path::Path;
fn put(path: &str, a: &Array2<f32>, low: f32, high: f32) {
    let (r, c) = a.dim();
    let raw: Vec<u8> = a
        .iter()
        .map(|v| ((v - low) / (high - low) * 255.0).clamp(0.0, 255.0) as u8)
        .collect();
    image::GrayImage::from_raw(c as u32, r as u32, raw)
        .unwrap()
        .save(path)
        .unwrap();
}
fn main() {
    use rayon::prelude::*;
    let seeds: Vec<u64> = std::env::args()
        .skip(1)
        .map(|v| v.parse().unwrap())
        .collect();
    let out: Vec<String> = seeds
        .into_par_iter()
        .map(|seed| {
            let recipe = practice::Recipe::random(seed);
            let drawn = practice::render(&recipe);
            let bytes = practice::jpeg(&drawn.rgb, recipe.troubles.jpeg_quality);
            let face = photo::open(&bytes, &photo::Limits::default()).unwrap();
            let scene = sight::see_scene(&face);
            let at = wood::Point::from(drawn.truth.pith);
            let d = profile::Directions::of(&face.lightness);
            let u = profile::unroll(&face, at, Some(scene.reach_from(at)), &|p| {
                !scene.is_near(p)
            });
            let st = profile::straighten(&u, &d, &profile::StraightenParams::default());
            let s: Array3<f32> = sight::strip(&face, &u, &st);
            let mut line = format!(
                "{seed} rings {} true gap {:.1} coh {:.2}",
                drawn.truth.rings_visible,
                recipe.radius_px() / drawn.truth.rings as f64,
                st.coherence
            );
            for k in [1, 2, 3, 5] {
                let seen = sight::see_rings(&s, k);
                let mut sp = seen.spacing.clone();
                sp.sort_by(f32::total_cmp);
                let mean: f32 = seen.ends.iter().sum::<f32>() / seen.ends.len() as f32;
                line += &format!(
                    " | {:.2} {:.1} {:.2}",
                    seen.agreement(),
                    sp[sp.len() / 2],
                    mean * sp[sp.len() / 2] / (2.5 * k as f32)
                );
            }
            line
        })
        .collect();
    for l in out {
        println!("{l}");
    }
    let _ = put;
    let _ = Path::new("");
}
