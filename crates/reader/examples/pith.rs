//! Pith error over rendered faces in a folder.
use rayon::prelude::*;
fn main() {
    let dir = std::env::args().nth(1).unwrap();
    let mut files: Vec<_> = std::fs::read_dir(&dir).unwrap().map(|e| e.unwrap().path()).filter(|p| p.extension().is_some_and(|e| e == "jpg")).collect();
    files.sort();
    let rows: Vec<String> = files.par_iter().map(|p| {
        let t: practice::Truth = serde_json::from_slice(&std::fs::read(p.with_extension("json")).unwrap()).unwrap();
        let face = photo::open(&std::fs::read(p).unwrap(), &photo::Limits::default()).unwrap();
        let (w, h) = face.rgb.dimensions();
        let d = profile::Directions::of(&face.lightness);
        let f = profile::find_pith(&d, w as f64, h as f64, &Default::default());
        let truth = wood::Point::new(t.pith[0], t.pith[1]);
        let r: f64 = t.bark_edge.iter().flatten().map(|q| wood::Point::new(q[0], q[1]).distance(truth).0).sum::<f64>() / t.bark_edge.iter().flatten().count().max(1) as f64;
        let e = f.at.distance(truth).0;
        format!("{:6.2} % {:6.1}px seed {} {} misfit {:.2} unc {:.1}", 100.0 * e / r, e, t.seed, t.wood, f.misfit, f.uncertainty_px.0)
    }).collect();
    let mut rows = rows; rows.sort_by(|a, b| b.cmp(a));
    for r in rows { println!("{r}"); }
}
