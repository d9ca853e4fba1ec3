//! The rows of speed and memory, each beside what it must reach.

use crate::say;
use crate::watched::Took;

/// What was measured at one size of photo.
#[derive(Debug)]
pub(super) struct Size {
    pub(super) megapixels: u32,
    pub(super) decode: Took,
    pub(super) count: Took,
}

/// Prints the table; the sketch was run on the photo of 12 megapixels, at the
/// given longer sides (0: its own).
pub(super) fn print(sizes: &[Size], sketched: &[(u32, Result<f64, String>)]) {
    say::line(
        "\nmegapixels   decode alone    whole count   times   processor: decode    count   times      peak",
    );
    for size in sizes {
        let (decode, count) = (&size.decode, &size.count);
        say::line(&format!(
            "{:>10} {:>11.0} ms {:>11.0} ms {:>7.1} {:>14} ms {:>5} ms {:>7} {:>6} MB",
            size.megapixels,
            1e3 * decode.seconds,
            1e3 * count.seconds,
            count.seconds / decode.seconds,
            shown(decode.processor_s, 1e3),
            shown(count.processor_s, 1e3),
            count
                .processor_s
                .zip(decode.processor_s)
                .map_or("?".to_owned(), |(a, b)| format!("{:.1}", a / b.max(0.01))),
            shown(count.peak_mb, 1.0),
        ));
    }
    say::line("");
    let of = |megapixels: u32| sizes.iter().find(|size| size.megapixels == megapixels);
    if let Some(twelve) = of(12) {
        row(
            "12 megapixels, whole process, against decoding alone",
            Some(twelve.count.seconds / twelve.decode.seconds),
            "times  must 6, aim 3",
        );
        row(
            "peak memory at 12 megapixels",
            twelve.count.peak_mb,
            "MB     must 500, aim 250",
        );
        for (side, seconds) in sketched {
            let at = match side {
                0 => "at the photo's own size".to_owned(),
                side => format!("shrunk to {side} pixels"),
            };
            match seconds {
                Ok(seconds) => row(
                    &format!("faster than the sketch, same photo {at}"),
                    Some(seconds / twelve.count.seconds),
                    "times  must 15, aim 40",
                ),
                Err(why) => say::line(&format!("the sketch {at} was not run: {why}")),
            }
        }
    }
    if let (Some(twelve), Some(most)) = (of(12), of(48)) {
        row(
            "48 megapixels against 12",
            Some(most.count.seconds / twelve.count.seconds),
            "times  must 4.5, aim 2",
        );
    }
}

fn row(what: &str, value: Option<f64>, bound: &str) {
    let value = value.map_or("?".to_owned(), |value| format!("{value:.1}"));
    say::line(&format!("{what:<58} {value:>8} {bound}"));
}

fn shown(value: Option<f64>, times: f64) -> String {
    value.map_or("?".to_owned(), |value| format!("{:.0}", times * value))
}
