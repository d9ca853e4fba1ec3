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
use ndarray::{Array2, Axis};
use profile::{Edge, blur_axis};
fn report(name: &str, face: &photo::Face) {
    let f = reader::follow(face, &wood::Facts::default(), &wood::Marks::default());
    let s = &f.seen;
    let b = |a: &Array2<f32>| {
        blur_axis(
            &blur_axis(a, Axis(0), 5.0, Edge::Wrap),
            Axis(1),
            10.0 * s.blur,
            Edge::Repeat,
        )
    };
    let v = &s.visible;
    let e = b(&(&s.ends * v));
    let e2 = b(&(&(&s.ends * &s.ends) * v));
    let w = b(v);
    let mut all: Vec<f32> = Vec::new();
    for ((r, c), &x) in e.indexed_iter() {
        if v[[r, c]] > 0.9 && (c as f64) < f.to && w[[r, c]] > 0.6 {
            all.push(e2[[r, c]] / x.max(0.01));
        }
    }
    all.sort_by(f32::total_cmp);
    let q = |p: f64| all[((all.len() - 1) as f64 * p) as usize];
    println!(
        "{name} crisp p5 {:.2} p25 {:.2} p50 {:.2} p75 {:.2} p95 {:.2} agree {:.2} count {}",
        q(0.05),
        q(0.25),
        q(0.5),
        q(0.75),
        q(0.95),
        s.agreement(),
        f.boundaries.list.len()
    );
}
fn main() {
    for a in std::env::args().skip(1) {
        if let Ok(seed) = a.parse::<u64>() {
            let recipe = practice::Recipe::random(seed);
            let drawn = practice::render(&recipe);
            let face = photo::open(
                &practice::jpeg(&drawn.rgb, recipe.troubles.jpeg_quality),
                &photo::Limits::default(),
            )
            .unwrap();
            report(
                &format!("{a} {} {}", drawn.truth.wood, drawn.truth.rings_visible),
                &face,
            );
        } else {
            let face = photo::open(&std::fs::read(&a).unwrap(), &photo::Limits::default()).unwrap();
            report(&a, &face);
        }
    }
}
