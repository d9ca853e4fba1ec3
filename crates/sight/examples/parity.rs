//! Compares with the training code.
#![allow(
    missing_docs,
    clippy::all,
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    clippy::disallowed_types,
    reason = "temporary"
)]
use ndarray::Array3;
use std::time::Instant;
fn main() {
    let raw = std::fs::read("/tmp/an/strip.bin").unwrap();
    let courses = raw.len() / 4 / (6 * 256);
    let v: Vec<f32> = raw
        .chunks_exact(4)
        .map(|b| f32::from_le_bytes([b[0], b[1], b[2], b[3]]))
        .collect();
    let strip = Array3::from_shape_vec((6, 256, courses), v).unwrap();
    let t = Instant::now();
    let seen = sight::see_rings(&strip, 1);
    let t1 = t.elapsed();
    let t = Instant::now();
    let seen2 = sight::see_rings(&strip, 1);
    println!("{:?} {:?} {:?}", t1, t.elapsed(), seen2.kinds);
    let mut out: Vec<u8> = Vec::new();
    for x in seen
        .courses
        .iter()
        .chain(&seen.spacing)
        .chain(&seen.kinds)
        .chain(&seen.ends)
    {
        out.extend(x.to_le_bytes());
    }
    std::fs::write("/tmp/an/seen.bin", out).unwrap();
}
