//! Training examples for the networks of `sight`: drawn faces, and real photos
//! marked by hand where they are there, as the networks are shown them, with
//! the truth in the same coordinates. `crates/sight/training` learns from them.

mod drawn;
mod file;
mod photos;
mod scenes;
mod variant;

use anyhow::Context as _;
use clap::Args;
use drawn::Prepared;
use photo::Face;
use profile::{Fineness, Span, Unrolled, unroll};
use rayon::prelude::*;
use std::fs;
use std::path::PathBuf;
use wood::{Point, Px, Strip};

/// Options of `cargo xtask training-set`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    /// Folder to write to
    #[arg(long)]
    out: PathBuf,
    /// First seed; seeds under a million are kept for measuring
    #[arg(long, default_value_t = 1_000_000)]
    first_seed: u64,
    /// How many drawn faces
    #[arg(long, default_value_t = 100)]
    faces: u64,
    /// Of ten drawn faces, how many are prepared as those of the accuracy suite
    #[arg(long, default_value_t = 4)]
    suite_of_ten: u64,
    /// Of ten drawn faces, how many have dressed strips; the rest are rough
    #[arg(long, default_value_t = 3)]
    strips_of_ten: u64,
    /// Folder of photos marked by hand
    #[arg(long)]
    photos: Option<PathBuf>,
    /// How many changed copies of each photo
    #[arg(long, default_value_t = 24)]
    copies: u64,
    /// Straighten with the weights of this fold, and write only its photos
    #[arg(long, requires = "weights")]
    fold: Option<u64>,
    /// Folder of weights by fold
    #[arg(long)]
    weights: Option<PathBuf>,
}

/// Writes one file for each face and for each copy of a photo.
///
/// # Errors
/// When a photo cannot be opened or a file cannot be written.
pub(crate) fn run(options: &Options) -> anyhow::Result<()> {
    fs::create_dir_all(&options.out)
        .with_context(|| format!("cannot make {}", options.out.display()))?;
    if let (Some(fold), Some(weights)) = (options.fold, &options.weights) {
        crate::marked::install_weights(weights, fold)?;
    }
    if let Some(folder) = &options.photos {
        photos::write(folder, options.fold, options.copies, &options.out)?;
    }
    (0..options.faces).into_par_iter().try_for_each(|nth| {
        let seed = options.first_seed + nth;
        let of_ten = (nth * 7 + nth / 10) % 10;
        let prepared = if of_ten < options.suite_of_ten {
            Prepared::All
        } else if of_ten < options.suite_of_ten + options.strips_of_ten {
            Prepared::Strips
        } else {
            Prepared::Nothing
        };
        drawn::write(seed, prepared, &options.out)
    })
}

/// A face unrolled around a center as far as `reach`; or a strip of it as a person marks
/// it, beside which nothing is looked at.
fn unrolled(
    face: &Face,
    center: Point,
    reach: Px,
    marked: Option<&Strip>,
    fineness: Fineness,
) -> Unrolled {
    let (reach, span) = marked.map_or((reach, Span::CIRCLE), |strip| {
        (strip.reach_from(center), Span::along(strip, center))
    });
    let unreadable = |place| marked.is_some_and(|strip| !strip.holds(place));
    unroll(face, center, Some(reach), span, fineness, &unreadable)
}
