//! Stumpbook's command line: counts the rings on a photo of a sawn stump.
//!
//! In: arguments and files. Out: a summary or JSON on stdout, files beside the
//! photo, talk on stderr, an exit code. Never: an algorithm; those live in the
//! crates that this one calls.

mod args;
mod card;
mod columns;
mod count;
mod error;
mod export;
mod facts;
mod given;
mod import;
mod open_desk;
mod outcome;
mod picture;
mod practice;
mod say;
mod sheet;
mod species;
mod start;
mod stump_file;
mod stumps;
mod woodlot;
mod writing;

use args::{Args, Command, with_command};
use clap::Parser as _;
use outcome::Outcome;
use std::process::ExitCode;

/// Readings take and give back large fields all the time; this allocator keeps
/// the pages, where the system's asks for fresh ones, which costs a seventh of a
/// reading's time (measured).
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;

fn main() -> ExitCode {
    // clap prints help to stdout and mistakes to stderr and picks 0 or 2 itself.
    let args = Args::parse_from(with_command(start::words(std::env::args_os())));
    let result = match args.command {
        Command::Count(args) => count::run(*args),
        Command::Facts(args) => facts::run(&args),
        Command::Species(args) => species::run(&args),
        Command::Sheet(args) => sheet::run(&args),
        Command::Card(args) => card::run(&args),
        Command::Desk(args) => open_desk::run(&args),
        Command::Practice(args) => practice::run(&args),
        Command::Woodlot(args) => woodlot::run(args.action),
        Command::Export(args) => export::run(&args),
        Command::Import(args) => import::run(&args),
    };
    match result {
        Ok(outcome) => outcome.exit_code(),
        Err(error) if say::is_closed_pipe(&error) => Outcome::Read.exit_code(),
        Err(error) => {
            say::error(&error);
            error::outcome_of(&error).exit_code()
        }
    }
}
