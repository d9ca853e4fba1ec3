//! temp
#![allow(
    missing_docs,
    clippy::all,
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "temporary"
)]
use rayon::prelude::*;
fn main() {
    let args: Vec<String> = std::env::args().collect();
    let seeds: Vec<u64> = if args[1].contains(',') {
        args[1].split(',').map(|s| s.parse().unwrap()).collect()
    } else {
        (args[1].parse().unwrap()..args[2].parse().unwrap()).collect()
    };
    let rough = args.get(3).is_some_and(|a| a == "rough");
    seeds.into_par_iter().for_each(|seed| {
        let recipe = if rough { practice::Recipe::rough(seed) } else { practice::Recipe::random(seed) };
        let drawn = practice::render(&recipe);
        let bytes = practice::jpeg(&drawn.rgb, recipe.troubles.jpeg_quality);
        let truth = drawn.truth; drop(drawn.rgb);
        let face = photo::open(&bytes, &photo::Limits::default()).unwrap();
        let (w, h) = face.rgb.dimensions();
        let (chance, tried) = reader::probe(&face);
        let t = wood::Point::from(truth.pith);
        let r = recipe.in_range().radius_px();
        let list: Vec<_> = tried.iter().map(|(n, at, a, c, u)| serde_json::json!([n, at.distance(t).0 / r * 100.0, a, c, u, at.distance(t).0, at.x_px, at.y_px])).collect();
        println!("{}", serde_json::json!({"seed": seed, "chance": chance, "tried": list, "radius": r, "longest": w.max(h), "rings": truth.rings_visible, "tx": t.x_px, "ty": t.y_px}));
    });
}
