//! The chores of this project: `cargo xtask test`, `browser`, `accuracy`, `pictures`.
//!
//! In: the workspace and, where it is there, `../shared/photos`. Out: text on
//! stdout and an exit code. Never: part of what is shipped.

mod accuracy;
mod arrows;
mod browser;
mod lessons;
mod licences;
mod many;
mod metadata;
mod pictures;
mod say;
mod test;

use clap::{Parser, Subcommand};
use std::process::ExitCode;

/// The chores of this project.
#[derive(Debug, Parser)]
#[command(name = "cargo xtask")]
struct Args {
    #[command(subcommand)]
    chore: Chore,
}

#[derive(Debug, Subcommand)]
enum Chore {
    /// Check formatting, arrows, licences, lints, all tests and the docs
    Test,
    /// Drive the desk's page in a browser, as `test` does; with pictures of every view for docs/desk
    Browser,
    /// Make the pictures of README.md anew from real output
    Pictures,
    /// Measure readings against faces whose rings are known
    Accuracy(accuracy::Options),
    /// Write lessons for the networks of crates/sight
    Lessons(lessons::Options),
    /// Draw a folder of small photos, some of them broken, for trying long runs
    Many(many::Options),
}

fn main() -> ExitCode {
    let result = match Args::parse().chore {
        Chore::Test => test::run(),
        Chore::Browser => browser::alone(),
        Chore::Pictures => pictures::run(),
        Chore::Accuracy(options) => accuracy::run(&options),
        Chore::Lessons(options) => lessons::run(&options),
        Chore::Many(options) => many::run(&options),
    };
    match result {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            say::line(&format!("xtask: {error:#}"));
            ExitCode::FAILURE
        }
    }
}
