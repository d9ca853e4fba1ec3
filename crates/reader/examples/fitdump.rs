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
use rayon::prelude::*;
use std::time::Instant;
fn main() {
    let a: Vec<u64> = std::env::args()
        .skip(1)
        .take(2)
        .map(|v| v.parse().unwrap())
        .collect();
    let rough = std::env::args().nth(3).is_some_and(|v| v == "rough");
    let lines: Vec<String> = (a[0]..a[1]).into_par_iter().map(|seed| {
        let recipe = if rough { practice::Recipe::rough(seed) } else { practice::Recipe::random(seed) };
        let drawn = practice::render(&recipe);
        let bytes = practice::jpeg(&drawn.rgb, recipe.troubles.jpeg_quality);
        let truth = drawn.truth; drop(drawn.rgb);
        let face = photo::open(&bytes, &photo::Limits::default()).unwrap();
        let t = Instant::now();
        let f = reader::follow(&face, &wood::Facts::default(), &wood::Marks::default());
        let secs = t.elapsed().as_secs_f64();
        let s = &f.seen;
        let mut truths = Vec::new();
        for line in &truth.outlines {
            let mut c: Vec<f64> = line.iter().flatten().map(|p| { let (row, r) = f.unrolled.locate(wood::Point::from(*p)); (row, r) }).filter(|(_, r)| *r < f.unrolled.radii() as f64 - 2.0).map(|(row, r)| f.straightened.course_at((row as usize).min(1023), r as f32)).collect();
            let shown = line.iter().flatten().count();
            if shown * 10 < 120 || c.is_empty() { continue; }
            c.sort_by(f64::total_cmp);
            truths.push(serde_json::json!([c[c.len() / 2], c[c.len() / 10], c[c.len() * 9 / 10]]));
        }
        let q = f.quality();
        let pith = f.pith.point().distance(wood::Point::from(truth.pith)).0 / recipe.in_range().radius_px() * 100.0;
        let r = |v: f32| (v * 1000.0).round() / 1000.0;
        serde_json::json!({"seed": seed, "class": truth.wood as usize, "rings": truth.rings_visible, "readable": truth.readable, "count": f.boundaries.list.len(), "trusted": s.trusted, "agreement": s.agreement(), "blur": s.blur, "coh": q.coherence, "misfit": q.misfit, "pith": pith, "bark": f.bark, "to": f.to, "edge_seen": f.edge.seen_share(), "secs": secs,
            "logs": s.courses.iter().map(|v| r(*v)).collect::<Vec<_>>(), "spacing": s.spacing.iter().map(|v| r(*v)).collect::<Vec<_>>(), "truth": truths, "found": f.boundaries.list.iter().map(|b| (b.course, r(b.confidence as f32), r(b.support as f32))).collect::<Vec<_>>(), "kinds": s.kinds, "radius": recipe.in_range().radius_px()}).to_string()
    }).collect();
    for l in lines {
        println!("{l}");
    }
}
