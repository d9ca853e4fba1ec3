//! Renders practice faces: `render_set FIRST COUNT DIR`.
use rayon::prelude::*;
fn main() {
    let a: Vec<String> = std::env::args().skip(1).collect();
    let (first, count): (u64, u64) = (a[0].parse().unwrap(), a[1].parse().unwrap());
    (first..first + count).into_par_iter().for_each(|seed| {
        let made = practice::render(&practice::Recipe::random(seed));
        std::fs::write(format!("{}/{seed}.jpg", a[2]), practice::jpeg(&made.rgb, 90)).unwrap();
        std::fs::write(format!("{}/{seed}.json", a[2]), serde_json::to_vec(&made.truth).unwrap()).unwrap();
    });
}
