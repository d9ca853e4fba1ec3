//! A folder of small practice photos for trying long runs, with broken ones
//! among them as a card that was pulled out too soon leaves them.

use crate::say;
use anyhow::Context as _;
use clap::Args;
use practice::{Ground, Recipe, Troubles};
use rayon::prelude::*;
use std::fs;
use std::path::PathBuf;
use wood::WoodClass;

/// Options of `cargo xtask many`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    /// Folder to write to
    #[arg(long)]
    out: PathBuf,
    /// How many photos, the broken ones among them
    #[arg(long, default_value_t = 2000)]
    photos: u64,
    /// How many of them are broken, in eight ways
    #[arg(long, default_value_t = 40)]
    broken: u64,
    /// Rings of a face
    #[arg(long, default_value_t = 20)]
    rings: u32,
    /// Width and height of a photo, in pixels
    #[arg(long, default_value_t = 360)]
    side: u32,
}

/// Quality of the JPEGs.
const QUALITY: u8 = 85;

/// Draws the photos.
///
/// # Errors
/// When the folder cannot be written to.
pub(crate) fn run(options: &Options) -> anyhow::Result<()> {
    let out = &options.out;
    fs::create_dir_all(out).with_context(|| format!("cannot make {}", out.display()))?;
    let every = options.photos.checked_div(options.broken);
    (0..options.photos).into_par_iter().try_for_each(|number| {
        let mut photo = drawn(number, options);
        // The last of each run of photos is broken.
        if let Some(nth) = every
            .filter(|every| number % every == every - 1)
            .map(|every| number / every)
            .filter(|nth| *nth < options.broken)
        {
            photo = broken(nth, photo);
        }
        let path = out.join(format!("stump-{number:05}.jpg"));
        fs::write(&path, photo).with_context(|| format!("cannot write {}", path.display()))
    })?;
    say::line(&format!(
        "{}: {} photos, {} of them broken",
        out.display(),
        options.photos,
        options.broken
    ));
    Ok(())
}

/// A plain face that can be read, unlike all others.
fn drawn(number: u64, options: &Options) -> Vec<u8> {
    let wood = WoodClass::ALL[(number % 4) as usize];
    let recipe = Recipe {
        seed: 5_000_000 + number,
        wood,
        coloring: (number % 3) as u32,
        rings: options.rings + (number % 5) as u32,
        width_px: options.side,
        height_px: options.side,
        radius_share: 0.88,
        mm_per_px: 1.0,
        troubles: Troubles {
            checks: (number % 3) as u32,
            ..Troubles::default()
        },
        ground: Ground::Bench,
        ..Recipe::default()
    };
    practice::jpeg(&practice::render(&recipe).rgb, QUALITY)
}

/// A photo spoilt in one of eight ways.
fn broken(nth: u64, photo: Vec<u8>) -> Vec<u8> {
    let part = |share: usize| photo[..photo.len() * share / 100].to_vec();
    match nth % 8 {
        0 => Vec::new(),
        1 => b"this is no photo\n".to_vec(),
        2 => part(50),
        3 => part(1),
        4 => vec![0; photo.len()],
        5 => [b"\x89PNG\r\n\x1a\n".as_slice(), &photo[..200]].concat(),
        6 => [b"\0\0\0\x18ftypheic\0\0\0\0".as_slice(), &photo[..200]].concat(),
        // The middle of the file lost, as by a bad block.
        _ => {
            let mut spoilt = photo;
            let (from, to) = (spoilt.len() / 50, spoilt.len() / 2);
            spoilt[from..to].fill(0xff);
            spoilt
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn photos_open_and_broken_ones_do_not() {
        let options = Options {
            out: PathBuf::new(),
            photos: 1,
            broken: 0,
            rings: 8,
            side: 160,
        };
        let opens = |bytes: &[u8]| photo::open(bytes, &photo::Limits::default()).is_ok();
        let whole = drawn(0, &options);
        assert!(opens(&whole));
        for nth in 0..8 {
            assert!(!opens(&broken(nth, whole.clone())), "{nth}");
        }
    }
}
