//! `cargo xtask load`: a desk with many people marking at once, over real sockets.

use crate::desk::{Asking, Desk};
use crate::{metadata, say};
use anyhow::{Context as _, bail};
use clap::Args;
use practice::Recipe;
use serde_json::json;
use std::fs;
use std::path::PathBuf;
use std::process::Command;
use std::time::{Duration, Instant};

/// Options of `cargo xtask load`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    /// People at once
    #[arg(long, default_value_t = 50)]
    clients: usize,
    /// For how long
    #[arg(long, default_value_t = 2)]
    minutes: u64,
    /// Stumps that they share
    #[arg(long, default_value_t = 10)]
    stumps: usize,
}

/// What one person saw.
#[derive(Default)]
struct Seen {
    /// Seconds of each mark that was taken.
    marked: Vec<f64>,
    /// Marks that came too late, for another had marked in between.
    overtaken: usize,
}

/// Marks, prints and fails where an answer is none.
///
/// # Errors
/// When the desk falls, or answers with an error of its own.
pub(crate) fn run(options: &Options) -> anyhow::Result<()> {
    let folder = tempfile::tempdir()?;
    for nth in 0..options.stumps {
        let made = practice::render(&Recipe {
            seed: nth as u64,
            rings: 20,
            width_px: 720,
            height_px: 700,
            ..Recipe::default()
        });
        fs::write(folder.path().join(file(nth)), practice::jpeg(&made.rgb, 90))?;
    }
    let desk = Desk::start(&released()?, folder.path())?;
    for nth in 0..options.stumps {
        desk.asking()
            .ask("GET", &format!("/api/stumps/{}", file(nth)), None)?;
    }
    say::line(&format!(
        "{} people, {} stumps, {} minutes, each marking again as soon as answered",
        options.clients, options.stumps, options.minutes
    ));
    let start = Instant::now();
    let end = start + Duration::from_secs(60 * options.minutes);
    let mut memory = vec![desk.memory()];
    let seen = std::thread::scope(|scope| -> anyhow::Result<Vec<Seen>> {
        let people: Vec<_> = (0..options.clients)
            .map(|nth| {
                let asking = desk.asking();
                scope.spawn(move || person(&asking, &file(nth % options.stumps), nth, end))
            })
            .collect();
        for quarter in 1..=4 {
            let at = start + (end - start) * quarter / 4;
            std::thread::sleep(at.saturating_duration_since(Instant::now()));
            memory.push(desk.memory());
        }
        people
            .into_iter()
            .map(|person| {
                person
                    .join()
                    .map_err(|_| anyhow::anyhow!("a person fell"))?
            })
            .collect()
    })?;
    let mut marked: Vec<f64> = seen
        .iter()
        .flat_map(|seen| seen.marked.iter().copied())
        .collect();
    let overtaken: usize = seen.iter().map(|seen| seen.overtaken).sum();
    marked.sort_by(f64::total_cmp);
    if marked.is_empty() {
        bail!("no mark was taken");
    }
    let at = |share: f64| 1e3 * marked[((marked.len() - 1) as f64 * share) as usize];
    say::line(&format!(
        "{} marks taken, {:.1} a second; {overtaken} refused because another's mark came first",
        marked.len(),
        marked.len() as f64 / (60 * options.minutes) as f64
    ));
    say::line(&format!(
        "answered in (ms): half {:.0}, 95 % {:.0}, 99 % {:.0}, slowest {:.0}",
        at(0.5),
        at(0.95),
        at(0.99),
        at(1.0)
    ));
    for (quarter, memory) in memory.iter().enumerate() {
        if let Some((now, most)) = memory {
            say::line(&format!(
                "memory after {quarter} quarters: {now:.0} MB, at most {most:.0} MB"
            ));
        }
    }
    Ok(())
}

fn file(nth: usize) -> String {
    format!("face-{nth}.jpg")
}

/// One person: looks, marks, and marks again.
fn person(asking: &Asking, file: &str, nth: usize, end: Instant) -> anyhow::Result<Seen> {
    let mut seen = Seen::default();
    let watch = format!("/api/stumps/{file}/watch?tab={nth}");
    let mut turn = 0;
    while Instant::now() < end {
        let (status, shown) = asking.ask("GET", &watch, None)?;
        if status != 200 {
            bail!("{watch}: {status} {shown}");
        }
        turn += 1;
        let edit = match turn % 3 {
            0 => json!({"do": "fact", "name": "note", "text": format!("{nth} was here {turn}")}),
            1 => json!({"do": "keep", "ring": 2 + nth % 4}),
            _ => json!({"do": "fact", "name": "felled", "text": (1990 + nth % 30).to_string()}),
        };
        let body = json!({"revision": shown["revision"], "edit": edit});
        let start = Instant::now();
        let (status, answer) =
            asking.ask("POST", &format!("/api/stumps/{file}/edit"), Some(&body))?;
        match status {
            200 => seen.marked.push(start.elapsed().as_secs_f64()),
            409 => seen.overtaken += 1,
            _ => bail!("{edit}: {status} {answer}"),
        }
    }
    Ok(seen)
}

/// The program as it is given to people.
fn released() -> anyhow::Result<PathBuf> {
    let metadata = metadata::load()?;
    let status = Command::new(metadata::cargo())
        .args(["build", "--locked", "--release", "-p", "stumpbook"])
        .current_dir(&metadata.workspace_root)
        .status()
        .context("cannot start cargo")?;
    if !status.success() {
        bail!("the program could not be built");
    }
    Ok(metadata.program("release"))
}
