//! Reads practice faces and prints how far each is off: `tune FIRST COUNT`.
use rayon::prelude::*;
use wood::{Facts, Marks};
fn main() {
    let a: Vec<u64> = std::env::args().skip(1).map(|v| v.parse().unwrap()).collect();
    let rows: Vec<(u64, String, i64)> = (a[0]..a[0] + a[1]).into_par_iter().map(|seed| {
        let recipe = practice::Recipe::random(seed);
        let made = practice::render(&recipe);
        let jpeg = practice::jpeg(&made.rgb, 90);
        let face = photo::open(&jpeg, &photo::Limits::default()).unwrap();
        let t = std::time::Instant::now();
        let r = reader::read("x", &face, &Facts::default(), &Marks::default());
        let ms = t.elapsed().as_millis();
        let truth = &made.truth;
        let f = reader::follow(&face, &Facts { wood: Some(truth.wood), ..Default::default() }, &Marks::default());
        let known = f.boundaries.list.len() as i64;
        let p = wood::Point::new(truth.pith[0], truth.pith[1]);
        let c = r.count.clone();
        let err = c.as_ref().map_or(999, |c| c.best as i64 - truth.rings_visible as i64);
        let g = boundary::guess_class(&f.profile, 4.0, f.to);
        (seed, format!("{seed:4} {:16} true {:3} vis {:3} found {:?} err {err:4} | known {:4} | edge {:.2} scope {:?} class {:?} specks {:.2} contrast {:.2} pith off {:.1} misfit {:.2} coh {:.2} clos {:.2} {}ms {:?}", truth.wood.name(), truth.rings, truth.rings_visible, c.map(|c| (c.best, c.low, c.high)), known - truth.rings_visible as i64, f.edge.seen_share(), r.scope, r.wood.map(|w| w.class), g.specks, g.contrast, f.pith.point().distance(p).0, f.misfit, f.straightened.coherence, f.quality().closure_rings, ms, r.refusal.map(|r| r.detail)), known - truth.rings_visible as i64)
    }).collect();
    for r in &rows { println!("{}", r.1); }
    let n = rows.len() as f64;
    println!("known class: exact {:.2} within1 {:.2}", rows.iter().filter(|r| r.2 == 0).count() as f64 / n, rows.iter().filter(|r| r.2.abs() <= 1).count() as f64 / n);
}
