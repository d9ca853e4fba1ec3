//! `stumpbook woodlot`: the book of a woodlot and its reports.

mod check;
mod keep;
mod list;
mod print;
mod standing;
pub(crate) mod sync;
mod years;

use crate::args::WoodlotAction;
use crate::outcome::Outcome;

/// Does what was asked of the book.
///
/// # Errors
/// When the book cannot be used as asked, or stdout is gone.
pub(crate) fn run(action: WoodlotAction) -> anyhow::Result<Outcome> {
    match action {
        WoodlotAction::New { book, name } => keep::new(&book, name),
        WoodlotAction::Add { book, from } => keep::add(&book, &from),
        WoodlotAction::Remove { book, stump } => keep::remove(&book, &stump),
        WoodlotAction::Remember { book, year, what } => keep::remember(&book, year, what),
        WoodlotAction::List { book, json } => list::list(&book, json),
        WoodlotAction::Show {
            book,
            stump,
            json,
            units,
        } => list::show(&book, &stump, json, units),
        WoodlotAction::Years(args) => years::run(&args),
        WoodlotAction::Check {
            book,
            statistics,
            pairs,
            json,
        } => check::run(&book, (statistics, pairs), json),
        WoodlotAction::Standing(args) => standing::run(&args),
        WoodlotAction::Sheet {
            book,
            paper,
            units,
            out,
        } => print::run(&book, (paper, units), out),
    }
}
