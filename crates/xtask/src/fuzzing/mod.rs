//! `cargo xtask fuzz`: the program of `crates/fuzz`, built as the other chores are.

mod branches;

use crate::metadata;
use anyhow::{Context as _, bail};
use clap::Args;
use std::process::Command;

/// Options of `cargo xtask fuzz`.
#[derive(Debug, Args)]
pub(crate) struct Options {
    /// How long in all
    #[arg(long, default_value_t = 600)]
    seconds: u64,
    /// One reader alone, by the name of its folder in crates/fuzz/corpus
    #[arg(long)]
    target: Option<String>,
    /// Where chance starts [default: by the clock]
    #[arg(long)]
    seed: Option<u64>,
    /// Watch which branches are taken: slower, and reaches farther
    #[arg(long)]
    branches: bool,
}

/// Runs it.
///
/// # Errors
/// When something is found; it then is in the corpus, and every test run
/// meets it again.
pub(crate) fn run(options: &Options) -> anyhow::Result<()> {
    if options.branches {
        return branches::run(options);
    }
    let mut command = Command::new(metadata::cargo());
    command.args([
        "run",
        "--locked",
        "--quiet",
        "--profile",
        "chores",
        "-p",
        "fuzz",
        "--",
    ]);
    command.args(["--seconds", &options.seconds.to_string()]);
    if let Some(target) = &options.target {
        command.args(["--target", target]);
    }
    if let Some(seed) = options.seed {
        command.args(["--seed", &seed.to_string()]);
    }
    let status = command
        .current_dir(metadata::load()?.workspace_root)
        .status()
        .context("cannot start cargo")?;
    if status.success() {
        Ok(())
    } else {
        bail!("something was found: see above")
    }
}
