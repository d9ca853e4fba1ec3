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
use joins::Joined;
use rendered::{Measured, Suite};
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};

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
    /// Read nothing: show the figures of such a file, and measure only the real photos
    #[arg(long, value_name = "FILE", conflicts_with_all = ["json", "known_wood"])]
    figures: Option<PathBuf>,
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

/// What was measured of drawn faces and strips.
#[derive(Debug, Serialize, Deserialize)]
pub(crate) struct Drawn {
    /// Whether the reader was given the wood class.
    pub(crate) known_wood: bool,
    pub(crate) rendered: Vec<Measured>,
    pub(crate) rough: Vec<Measured>,
    pub(crate) strips: Vec<Measured>,
    pub(crate) marked: Vec<Measured>,
    pub(crate) joins: Vec<Joined>,
}

impl Drawn {
    fn measured(options: &Options) -> anyhow::Result<Self> {
        let draw =
            |suite, count| rendered::measure(suite, options.first_seed, count, options.known_wood);
        Ok(Self {
            known_wood: options.known_wood,
            rendered: draw(Suite::Usual, options.faces)?,
            rough: draw(Suite::Rough, options.rough)?,
            strips: draw(Suite::Strip, options.strips)?,
            marked: draw(Suite::Marked, options.marked)?,
            joins: joins::measure(options.first_seed, options.joins)?,
        })
    }

    /// As an earlier run kept it.
    fn kept(path: &Path) -> anyhow::Result<Self> {
        let text = std::fs::read_to_string(path)
            .with_context(|| format!("cannot read {}", path.display()))?;
        serde_json::from_str(&text)
            .with_context(|| format!("{} holds no figures of `accuracy --json`", path.display()))
    }

    /// The faces of all kinds.
    pub(crate) fn faces(&self) -> Vec<Measured> {
        let kinds = [&self.rendered, &self.rough, &self.strips, &self.marked];
        kinds.into_iter().flatten().cloned().collect()
    }

    /// The first and the last seed.
    pub(crate) fn seeds(&self) -> (u64, u64) {
        let faces = self.faces();
        let all = faces.iter().map(|face| face.seed);
        let all = all.chain(self.joins.iter().map(|joined| joined.seed));
        all.fold((u64::MAX, 0), |(low, high), seed| {
            (low.min(seed), high.max(seed))
        })
    }
}

/// Measures and prints.
///
/// # Errors
/// When a face cannot be opened, the file cannot be written, or a floor is not held.
pub(crate) fn run(options: &Options) -> anyhow::Result<()> {
    let root = metadata::load()?.workspace_root;
    let drawn = match &options.figures {
        Some(path) => Drawn::kept(path)?,
        None => Drawn::measured(options)?,
    };
    for (what, faces) in [
        ("Practice faces", &drawn.rendered),
        ("Faces that nobody prepared", &drawn.rough),
        ("Faces with a dressed strip", &drawn.strips),
        ("Faces with a dressed strip that is marked", &drawn.marked),
    ] {
        if !faces.is_empty() {
            report(what, faces, options.list);
        }
    }
    let all = drawn.faces();
    if !all.is_empty() {
        say::line("Whether confidence can be believed:");
        say::line(&reliability::table(&reliability::groups(&all)));
    }
    if !drawn.joins.is_empty() {
        say::line(&format!(
            "Strips in several pictures: {}",
            drawn.joins.len()
        ));
        say::line(&joins::table(&drawn.joins));
        if options.list {
            say::line(&joins::not_right(&drawn.joins));
        }
    }
    if let Some(path) = &options.json {
        let text = serde_json::to_string_pretty(&drawn).context("cannot write the figures")?;
        std::fs::write(path, text).with_context(|| format!("cannot write {}", path.display()))?;
        say::line(&format!("written: {}", path.display()));
    }
    let real = if options.no_real {
        None
    } else {
        Some(real::measure(&root)?)
    };
    let real_table = real.as_ref().map(|real| real.table()).unwrap_or_default();
    say::line(&real_table);
    if options.page {
        page::write(&drawn, &real_table, &root.join("docs"))?;
    }
    let total = table::Totals::of(drawn.rendered.iter());
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
