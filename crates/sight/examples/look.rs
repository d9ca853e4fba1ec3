//! d
#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    clippy::disallowed_types,
    clippy::print_stdout
)]
use profile::*;
use std::time::Instant;
fn t<T>(name: &str, f: impl Fn() -> T) -> T {
    let mut all = Vec::new();
    let mut out = None;
    for _ in 0..5 {
        let s = Instant::now();
        out = Some(f());
        all.push(s.elapsed().as_secs_f64() * 1e3);
    }
    all.sort_by(f64::total_cmp);
    println!("{name:20} min {:8.1} med {:8.1} ms", all[0], all[2]);
    out.unwrap()
}
fn main() {
    let bytes = std::fs::read(std::env::args().nth(1).unwrap()).unwrap();
    let params = StraightenParams::default();
    let face = t("open", || {
        photo::open(&bytes, &photo::Limits::default()).unwrap()
    });
    t("card", || photo::find_card(&face));
    let d = t("directions", || Directions::of(&face.lightness));
    let scene = t("scene", || sight::see_scene(&face));
    let pith = scene.pith.0;
    println!("pith chance {}", scene.pith.1);
    let outside = |p| !scene.is_near(p);
    let u = t("unroll", || {
        unroll(&face, pith, Some(scene.reach_from(pith)), &outside)
    });
    println!("radii {}", u.radii());
    let s = t("straighten", || straighten(&u, &d, &params));
    let st = t("strip", || sight::strip(&face, &u, &s));
    let seen = t("see_rings 1", || sight::see_rings(&st, 1));
    println!("spacing {}", seen.usual_spacing());
    t("see_rings 2", || sight::see_rings(&st, 2));
    let spacing = seen.usual_spacing();
    let l = t("along", || {
        straighten_along(&u, &s, &seen.ends, spacing, &params)
    });
    t("edge", || find_bark_edge(&seen.wood, &seen.ends, &l));
    t("radial", || radial_profile(&l));
    t("misfit", || misfit_at(&d, pith, &|p| scene.is_near(p)));
    println!(
        "sum {} {} {}",
        l.courses.iter().map(|v| f64::from(v.abs())).sum::<f64>(),
        l.coherence,
        l.closure_courses
    );
}
