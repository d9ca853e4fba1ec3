//! `cargo xtask accuracy`: readings measured against faces whose rings are
//! known: rendered ones, and real photos marked by hand where they are there.

mod joins;
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
    /// How many of these (of the same seeds) with the ends of the strip marked
    #[arg(long, default_value_t = 0)]
    marked: u64,
    /// How many strips in two to four pictures that are joined (of the same seeds)
    #[arg(long, default_value_t = 0)]
    joins: u64,
    /// Leave the real photos out
    #[arg(long, conflicts_with = "page")]
    no_real: bool,
    /// The seed of the first one; the others follow
    #[arg(long, default_value_t = 1)]
    first_seed: u64,
    /// Give the reader the wood class, as a person who knows the species would
    #[arg(long)]
    known_wood: bool,
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
        |suite, count| rendered::measure(suite, options.first_seed, count, options.known_wood);
    let faces = draw(Suite::Usual, options.faces)?;
    if !faces.is_empty() {
        report("Practice faces", &faces, options.list);
    }
    let rough = draw(Suite::Rough, options.rough)?;
    if !rough.is_empty() {
        report("Faces that nobody prepared", &rough, options.list);
    }
    let strips = draw(Suite::Strip, options.strips)?;
    if !strips.is_empty() {
        report("Faces with a dressed strip", &strips, options.list);
    }
    let marked = draw(Suite::Marked, options.marked)?;
    if !marked.is_empty() {
        report(
            "Faces with a dressed strip that is marked",
            &marked,
            options.list,
        );
    }
    let all: Vec<_> = [&faces, &rough, &strips, &marked]
        .into_iter()
        .flatten()
        .cloned()
        .collect();
    if !all.is_empty() {
        say::line("Whether confidence can be believed:");
        say::line(&reliability::table(&reliability::groups(&all)));
    }
    let joins = joins::measure(options.first_seed, options.joins)?;
    if !joins.is_empty() {
        say::line(&format!("Strips in several pictures: {}", joins.len()));
        say::line(&joins::table(&joins));
        if options.list {
            say::line(&joins::not_right(&joins));
        }
    }
    let real = if options.no_real {
        None
    } else {
        Some(real::measure(&root)?)
    };
    let real_table = real.as_ref().map(|real| real.table()).unwrap_or_default();
    say::line(&real_table);
    if let Some(path) = &options.json {
        let all = serde_json::json!({ "rendered": faces, "rough": rough, "strips": strips, "marked": marked, "joins": joins, "real": real });
        let text = serde_json::to_string_pretty(&all).context("cannot write the figures")?;
        std::fs::write(path, text).with_context(|| format!("cannot write {}", path.display()))?;
        say::line(&format!("written: {}", path.display()));
    }
    if options.page {
        let figures = page::Figures {
            usual: &faces,
            rough: &rough,
            strips: &strips,
            marked: &marked,
            joins: &joins,
            real: real_table,
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

fn report(what: &str, faces: &[Measured], list: bool) {
    say::line(&format!("{what}: {}", faces.len()));
    say::line(&table::rendered(faces));
    say::line(&table::confident_wrong(faces));
    if list {
        say::line(&table::not_exact(faces));
    }
}
