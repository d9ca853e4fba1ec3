//! `cargo xtask faults`: what happens to a person's work when the program is
//! killed, has no room, may not write, or is not alone. Nothing that was saved
//! may be lost, and nothing half-written may stand where a whole file stood.

mod ground;
mod kill;
mod limits;
mod shared;

use crate::say;
use anyhow::bail;
use clap::Args;
use ground::Ground;
use std::time::Instant;

/// Options of `cargo xtask faults`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    /// How often the program is killed at random: counting, marking on the desk, adding to a book;
    /// and a tenth as often at the moment when it writes
    #[arg(long, default_value_t = 500)]
    kills: usize,
    /// Where chance starts
    #[arg(long, default_value_t = 1)]
    seed: u64,
    /// Only the faults whose names hold this
    #[arg(long, default_value = "")]
    only: String,
}

/// How a fault ended: what was done and found, or why it could not be tried here.
pub(crate) enum Ended {
    Held(String),
    NotRun(String),
}

type Fault<'a> = (&'a str, Box<dyn Fn(&Ground) -> anyhow::Result<Ended> + 'a>);

/// Tries all faults, so that one look shows all that is wrong.
///
/// # Errors
/// When something that was saved is lost or broken, or the program cannot be built.
pub(crate) fn run(options: &Options) -> anyhow::Result<()> {
    let ground = Ground::new()?;
    // Most of the kills hit counting, which people do most; a desk takes longest to start.
    let (count, desk, book) = (options.kills / 2, options.kills / 5, options.kills * 3 / 10);
    // On top of these, with the same option.
    let writing = options.kills / 10;
    let seed = options.seed;
    let faults: Vec<Fault<'_>> = vec![
        (
            "killed while counting",
            Box::new(move |g| kill::counting(g, count, seed)),
        ),
        (
            "killed while writing an entry",
            Box::new(move |g| kill::writing(g, writing, seed)),
        ),
        (
            "killed while marking",
            Box::new(move |g| kill::marking(g, desk, seed)),
        ),
        (
            "killed while adding to a book",
            Box::new(move |g| kill::keeping(g, book, seed)),
        ),
        ("no room for a file", Box::new(limits::no_room)),
        ("a full disk", Box::new(limits::full_disk)),
        (
            "a folder that may not be written",
            Box::new(limits::read_only),
        ),
        ("512 MB of memory", Box::new(limits::memory)),
        (
            "a photo that changes while it is read",
            Box::new(shared::changing),
        ),
        ("files from 1970 and from 2100", Box::new(shared::clock)),
        ("two programs on one folder", Box::new(shared::folder)),
        ("two programs on one book", Box::new(shared::book)),
    ];
    let mut failed = 0;
    for (name, fault) in faults
        .into_iter()
        .filter(|(name, _)| name.contains(&options.only))
    {
        let start = Instant::now();
        let how = match fault(&ground) {
            Ok(Ended::Held(what)) => format!("ok: {what}"),
            Ok(Ended::NotRun(why)) => format!("not run: {why}"),
            Err(error) => {
                failed += 1;
                format!("FAILED: {error:#}")
            }
        };
        let seconds = start.elapsed().as_secs_f64();
        say::line(&format!("{name:<40} {seconds:>6.1} s  {how}"));
    }
    match failed {
        0 => Ok(()),
        _ => bail!("{failed} faults broke something"),
    }
}
