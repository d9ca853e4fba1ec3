//! Dumps the profile and the true courses of rendered faces: `dump DIR OUT`.
use rayon::prelude::*;
use std::io::Write;
fn main() {
    let a: Vec<String> = std::env::args().skip(1).collect();
    let mut files: Vec<_> = std::fs::read_dir(&a[0]).unwrap().map(|e| e.unwrap().path()).filter(|p| p.extension().is_some_and(|e| e == "jpg")).collect();
    files.sort();
    files.par_iter().for_each(|p| {
        let t: practice::Truth = serde_json::from_slice(&std::fs::read(p.with_extension("json")).unwrap()).unwrap();
        let face = photo::open(&std::fs::read(p).unwrap(), &photo::Limits::default()).unwrap();
        let pith = wood::Point::new(t.pith[0], t.pith[1]);
        let marks = wood::Marks { pith: std::env::var("TRUEPITH").is_ok().then_some(pith), ..Default::default() };
        let f = reader::follow(&face, &wood::Facts { wood: Some(t.wood), ..Default::default() }, &marks);
        let rows = f.unrolled.angles();
        let courses: Vec<serde_json::Value> = t.outlines.iter().map(|o| {
            let mut c: Vec<f64> = o.iter().flatten().map(|q| { let (row, r) = f.unrolled.locate(wood::Point::new(q[0], q[1])); f.straightened.course_at((row as usize).min(rows - 1), r as f32) }).collect();
            c.sort_by(f64::total_cmp);
            if c.is_empty() { serde_json::json!(null) } else { serde_json::json!([c[c.len() / 2], c[c.len() / 10], c[c.len() * 9 / 10]]) }
        }).collect();
        let none: [f64; 0] = [];
        let g = boundary::guess_class(&f.profile, 4.0, f.to);
        let cands = boundary::evidence(&boundary::Request { profile: &f.profile, class: f.wood.class, from: 4.0 / f.unrolled.step_px, bark: f.bark, to: f.to, required: &none, forbidden: &none });
        let v = serde_json::json!({"seed": t.seed, "wood": t.wood, "rings": t.rings_visible, "courses": courses, "mean": f.profile.mean, "dark": f.profile.dark_specks, "light": f.profile.light_specks, "seen": f.profile.seen, "bark": f.bark, "to": f.to,
            "cands": cands.iter().map(|c| (c.course, c.height, c.prominence, c.support)).collect::<Vec<_>>(), "guess": g.class, "found": f.boundaries.list.iter().map(|b| (b.course, b.confidence, b.support)).collect::<Vec<_>>(), "pith_off": pith.distance(f.pith.point()).0, "closure": f.straightened.closure_courses, "coherence": f.straightened.coherence});
        let mut out = std::fs::File::create(format!("{}/{}.json", a[1], t.seed)).unwrap();
        out.write_all(v.to_string().as_bytes()).unwrap();
    });
}
