//! `cargo xtask accuracy`: readings measured against faces whose rings are
//! known: rendered ones, and real photos marked by hand where they are there.

mod matching;
mod real;
mod rendered;
mod table;

use crate::{metadata, say};
use anyhow::{Context as _, bail};
use clap::Args;
use std::path::PathBuf;

/// Options of `accuracy`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    /// How many rendered faces
    #[arg(long, default_value_t = 100)]
    faces: u64,
    /// The seed of the first one; the others follow
    #[arg(long, default_value_t = 1)]
    first_seed: u64,
    /// Tell the reader the wood class, as a person who knows the species would
    #[arg(long)]
    told_wood: bool,
    /// Also list every face that was not counted exactly
    #[arg(long)]
    list: bool,
    /// Write what came out, face by face, to this file
    #[arg(long, value_name = "FILE")]
    json: Option<PathBuf>,
    /// Fail when fewer faces than this, in percent, are counted exactly
    #[arg(long, value_name = "PERCENT", default_value_t = 0.0)]
    floor_exact: f64,
    /// Fail when fewer faces than this, in percent, are counted within one
    #[arg(long, value_name = "PERCENT", default_value_t = 0.0)]
    floor_within_one: f64,
}

/// Measures and prints.
///
/// # Errors
/// When a face cannot be opened, the file cannot be written, or a floor is not held.
pub(crate) fn run(options: &Options) -> anyhow::Result<()> {
    let root = metadata::load()?.workspace_root;
    let faces = rendered::measure(options.first_seed, options.faces, options.told_wood)?;
    say::line(&table::rendered(&faces));
    if options.list {
        say::line(&table::not_exact(&faces));
    }
    let real = real::measure(&root.join("../shared/photos"))?;
    say::line(&real.table());
    if let Some(path) = &options.json {
        let all = serde_json::json!({ "rendered": faces, "real": real });
        let text = serde_json::to_string_pretty(&all).context("cannot write the figures")?;
        std::fs::write(path, text).with_context(|| format!("cannot write {}", path.display()))?;
        say::line(&format!("written: {}", path.display()));
    }
    let total = table::Totals::of(faces.iter());
    for (what, got, floor) in [
        ("exact", total.exact, options.floor_exact),
        ("within one", total.within_one, options.floor_within_one),
    ] {
        if got < floor {
            bail!("{what}: {got:.1} % of faces, but the floor is {floor:.1} %");
        }
    }
    Ok(())
}
