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
use ndarray::{Array2, Array3};
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
fn ch(s: &Array3<f32>, k: usize) -> Array2<f32> {
    s.index_axis(ndarray::Axis(0), k).to_owned()
}
fn main() {
    for p in std::env::args().skip(1) {
        let stem = Path::new(&p)
            .file_stem()
            .unwrap()
            .to_string_lossy()
            .to_string();
        let face = photo::open(&std::fs::read(&p).unwrap(), &photo::Limits::default()).unwrap();
        let scene = sight::see_scene(&face);
        println!(
            "{stem} scene pith {:?} meeting {:?} cell {}",
            scene.pith, scene.meeting, scene.cell_px
        );
        put(&format!("/tmp/an/{stem}-wood.png"), &scene.wood, 0.0, 1.0);
        let t = std::time::Instant::now();
        let f = reader::follow(&face, &wood::Facts::default(), &wood::Marks::default());
        println!(
            "{:?} pith {:?} misfit {:.3} coh {:.3} bark {:?} edge seen {:.2} to {:.0} wood {:?} count {}",
            t.elapsed(),
            f.pith,
            f.misfit,
            f.straightened.coherence,
            f.bark,
            f.edge.seen_share(),
            f.to,
            f.wood.class,
            f.boundaries.list.len()
        );
        println!(
            "conf {:.2} support {:.2}",
            f.boundaries.list.iter().map(|b| b.confidence).sum::<f64>()
                / f.boundaries.list.len() as f64,
            f.boundaries.list.iter().map(|b| b.support).sum::<f64>()
                / f.boundaries.list.len() as f64
        );
        let s = sight::strip(&face, &f.unrolled, &f.straightened);
        for k in [1, 2, 3, 5] {
            println!(
                "factor {k} agreement {:.3}",
                sight::see_rings(&s, k).agreement()
            );
        }
        let seen = f.seen.clone();
        put(&format!("/tmp/an/{stem}-strip.png"), &ch(&s, 0), -2.5, 2.5);
        let ends = seen.ends.clone();
        let mut e2 = ends.clone();
        for b in &f.boundaries.list {
            for r in 0..12 {
                e2[[r, b.course as usize]] = 1.0;
            }
        }
        put(&format!("/tmp/an/{stem}-ends.png"), &e2, 0.0, 1.0);
        put(&format!("/tmp/an/{stem}-rwood.png"), &seen.wood, 0.0, 1.0);
        let txt: String = (0..seen.courses.len())
            .map(|i| {
                format!(
                    "{} {:.3} {:.3} {:.3}\n",
                    i, seen.courses[i], seen.spacing[i], f.profile.seen[i]
                )
            })
            .collect();
        std::fs::write(format!("/tmp/an/{stem}.txt"), txt).unwrap();
    }
}
