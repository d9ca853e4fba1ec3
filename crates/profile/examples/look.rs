//! Looks at the steps on one photo: `look PHOTO OUT-PREFIX`.
use image::{GrayImage, Luma};
use ndarray::Array2;
use std::time::Instant;

fn main() {
    let args: Vec<String> = std::env::args().collect();
    let rgb = image::open(&args[1]).unwrap().to_rgb8();
    let (w, h) = rgb.dimensions();
    let lin: Vec<f32> = (0..256).map(|i| { let v = i as f32 / 255.0; if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) } }).collect();
    let lightness = Array2::from_shape_fn((h as usize, w as usize), |(y, x)| {
        let p = rgb.get_pixel(x as u32, y as u32);
        let l = 0.2126 * lin[p[0] as usize] + 0.7152 * lin[p[1] as usize] + 0.0722 * lin[p[2] as usize];
        if l > 0.008856 { 116.0 * l.cbrt() - 16.0 } else { 903.3 * l }
    });
    let face = photo::Face { rgb, lightness, sha256: String::new(), taken: None, place: None };
    let t = Instant::now();
    let directions = profile::Directions::of(&face.lightness);
    println!("directions {:?}", t.elapsed());
    let pith = profile::find_pith(&directions, w as f64, h as f64, &Default::default());
    println!("pith {:?} misfit {:.3} {:?}", pith.at, pith.misfit, t.elapsed());
    let un = profile::unroll(&face, pith.at, None, &|_| false);
    println!("unrolled {:?} {:?}", un.lightness.dim(), t.elapsed());
    let st = profile::straighten(&un, &directions, &Default::default());
    println!("straightened coherence {:.3} closure {:.2} {:?}", st.coherence, st.closure_courses, t.elapsed());
    let pr = profile::radial_profile(&st);
    let edge = profile::find_bark_edge(&face, &un, &st);
    println!("edge {:?} seen {:.2} {:?}", edge.median_course(), edge.seen_share(), t.elapsed());
    let stations: Vec<usize> = (0..pr.mean.len()).step_by(16).collect();
    let sp = profile::local_spacing(&pr.mean, &pr.seen, &stations, &Default::default());
    println!("spacing {:?} {:?}", sp.iter().step_by(4).map(|v| (*v * 10.0).round() / 10.0).collect::<Vec<_>>(), t.elapsed());
    let show = |f: &Array2<f32>, lo: f32, hi: f32, name: &str| {
        let (a, r) = f.dim();
        let img = GrayImage::from_fn(a as u32, r as u32, |x, y| {
            let v = f[[x as usize, r - 1 - y as usize]];
            Luma([((v - lo) / (hi - lo) * 255.0).clamp(0.0, 255.0) as u8])
        });
        img.save(format!("{}-{name}.png", args[2])).unwrap();
    };
    show(&un.lightness, 0.0, 100.0, "unrolled");
    let mut marked = st.courses.clone();
    for a in 0..marked.nrows() { let c = edge.course_at(a) as usize; for k in 0..3 { if c + k < marked.ncols() { marked[[a, c + k]] = if edge.seen[a / 8] { 9.0 } else { -9.0 }; } } }
    show(&marked, -2.5, 2.5, "straight");
}
