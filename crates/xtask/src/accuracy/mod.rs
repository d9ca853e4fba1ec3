//! `cargo xtask accuracy`: readings measured against faces whose rings are
//! known: rendered ones, and real photos marked by hand where they are there.

mod matching;
mod page;
pub(crate) mod real;
mod reliability;
mod rendered;
mod table;

use crate::{metadata, say};
use anyhow::{Context as _, bail};
use clap::Args;
use rendered::{Measured, Suite};
use std::path::PathBuf;

/// Options of `accuracy`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    /// How many rendered faces
    #[arg(long, default_value_t = 100)]
    faces: u64,
    /// How many faces that nobody prepared (of the same seeds)
    #[arg(long, default_value_t = 0)]
    rough: u64,
    /// How many faces rough from the saw with a dressed strip (of the same seeds)
    #[arg(long, default_value_t = 0)]
    strips: u64,
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
    /// Write docs/accuracy.md from what came out
    #[arg(long)]
    page: bool,
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
    let draw =
        |suite, count| rendered::measure(suite, options.first_seed, count, options.told_wood);
    let faces = draw(Suite::Usual, options.faces)?;
    tell("Practice faces", &faces, options.list);
    let rough = draw(Suite::Rough, options.rough)?;
    if !rough.is_empty() {
        tell("Faces that nobody prepared", &rough, options.list);
    }
    let strips = draw(Suite::Strip, options.strips)?;
    if !strips.is_empty() {
        tell("Faces with a dressed strip", &strips, options.list);
    }
    let all: Vec<_> = [&faces, &rough, &strips]
        .into_iter()
        .flatten()
        .cloned()
        .collect();
    say::line("Whether confidence can be believed:");
    say::line(&reliability::table(&reliability::groups(&all)));
    let real = real::measure(&root)?;
    say::line(&real.table());
    if let Some(path) = &options.json {
        let all = serde_json::json!({ "rendered": faces, "rough": rough, "strips": strips, "real": real });
        let text = serde_json::to_string_pretty(&all).context("cannot write the figures")?;
        std::fs::write(path, text).with_context(|| format!("cannot write {}", path.display()))?;
        say::line(&format!("written: {}", path.display()));
    }
    if options.page {
        let figures = page::Figures {
            usual: &faces,
            rough: &rough,
            strips: &strips,
            real: real.table(),
        };
        page::write(&figures, options, &root.join("docs"))?;
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

fn tell(what: &str, faces: &[Measured], list: bool) {
    say::line(&format!("{what}: {}", faces.len()));
    say::line(&table::rendered(faces));
    say::line(&table::confident_wrong(faces));
    if list {
        say::line(&table::not_exact(faces));
    }
}
