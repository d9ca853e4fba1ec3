//! The chores of this project: `cargo xtask test`, `bench`, `accuracy` and the others.
//!
//! In: the workspace and, where it is there, `../shared/photos`. Out: text on
//! stdout and an exit code. Never: part of what is shipped.

mod accuracy;
mod arrows;
mod browser;
mod desk;
mod dist;
mod docs_book;
mod faults;
mod fuzzing;
mod licenses;
mod load;
mod many;
mod marked;
mod metadata;
mod pictures;
mod say;
mod speed;
mod test;
mod training_set;
mod watched;

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
    /// Check formatting, arrows, licenses, lints, all tests and the docs
    Test(test::Options),
    /// Drive the desk's page in a browser, as `test` does; with pictures of every view for docs/desk
    Browser(browser::Options),
    /// Make the pictures of README.md again from real output
    Pictures,
    /// Measure readings against faces whose rings are known
    Accuracy(accuracy::Options),
    /// Read the real photos of one fold (`accuracy` runs this for each)
    #[command(hide = true)]
    RealPhotos(accuracy::real::FoldOptions),
    /// Measure speed and memory of the released program against what they must reach
    Bench(speed::Options),
    /// Look for bytes that break a reader of files or a call of the desk
    Fuzz(fuzzing::Options),
    /// Kill the program, fill its disk, take its rights away: nothing saved may be lost
    Faults(faults::Options),
    /// Let many people mark on one desk at once
    Load(load::Options),
    /// Write training examples for the networks of crates/sight
    TrainingSet(training_set::Options),
    /// Build what people without Rust get: an archive, and on Linux a Debian package
    Dist(dist::Options),
    /// Make one site of the pages of docs/, and check its links
    DocsBook(docs_book::Options),
    /// Draw a folder of small photos, some of them broken, for trying long runs
    Many(many::Options),
}

fn main() -> ExitCode {
    let result = match Args::parse().chore {
        Chore::Test(options) => test::run(&options),
        Chore::Browser(options) => browser::alone(&options),
        Chore::Pictures => pictures::run(),
        Chore::Accuracy(options) => accuracy::run(&options),
        Chore::RealPhotos(options) => accuracy::real::measure_fold(&options),
        Chore::Bench(options) => speed::run(&options),
        Chore::Fuzz(options) => fuzzing::run(&options),
        Chore::Faults(options) => faults::run(&options),
        Chore::Load(options) => load::run(&options),
        Chore::TrainingSet(options) => training_set::run(&options),
        Chore::Dist(options) => dist::run(&options),
        Chore::DocsBook(options) => docs_book::run(&options),
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
