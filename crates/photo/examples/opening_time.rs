//! How long a photo takes to open, and how much memory: `opening_time FILE...`.
#![expect(
    clippy::print_stdout,
    clippy::disallowed_methods,
    clippy::disallowed_types,
    reason = "the crate does no I/O and has no clock; this program beside it measures by hand"
)]

use std::time::Instant;

fn main() {
    for path in std::env::args().skip(1) {
        let Ok(bytes) = std::fs::read(&path) else {
            println!("{path}: cannot be read");
            continue;
        };
        for _ in 0..5 {
            let start = Instant::now();
            let face = photo::open(&bytes, &photo::Limits::default());
            let opened = start.elapsed();
            match face {
                Ok(face) => {
                    let start = Instant::now();
                    let again = photo::Lightness::of(&face.rgb, 1);
                    let lightness = start.elapsed();
                    println!(
                        "{path}: {:?} px, {opened:.1?}, lightness {lightness:.1?}, mean {:.2}, taken {:?}, place {}",
                        face.rgb.dimensions(),
                        again.values.mean().unwrap_or(f32::NAN),
                        face.taken,
                        face.place.is_some(),
                    );
                }
                Err(error) => println!("{path}: {error} / try: {}", error.advice()),
            }
        }
        // Peak so far, where the system tells it.
        if let Ok(status) = std::fs::read_to_string("/proc/self/status")
            && let Some(line) = status.lines().find(|line| line.starts_with("VmHWM"))
        {
            println!("{line}");
        }
    }
}
