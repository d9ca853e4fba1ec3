//! `stumpbook count`: from photos to readings, in the order they were given.

mod entry;
mod joined_from;
mod joining;
mod labels;
mod merge_facts;
mod one;
mod ordered_pool;
mod photos;
mod request;
mod results;
mod shard;
mod summary;
mod tally;
mod tasks;
mod up_to_date;

use crate::args::{Args, Command, CountArgs};
use crate::error::CommandError;
use crate::outcome::Outcome;
use crate::say;
use anyhow::Context as _;
use clap::Parser as _;
use one::{Before, Came, Done};
use ordered_pool::run_in_order;
use request::{Form, Request};
use results::Results;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};
use tally::Tally;
use tasks::Task;

/// Reads every photo asked for; a bad one does not stop the others.
///
/// # Errors
/// On wrong usage, when nothing was found to read, or when stdout is gone.
pub(crate) fn run(args: CountArgs) -> anyhow::Result<Outcome> {
    let request = Request::check(args)?;
    request
        .photos
        .iter()
        .for_each(|folder| ::entry::take_away_unfinished(folder));
    let found = photos::find(&request.photos);
    if let [Err(_)] = found.as_slice() {
        // Only one thing was asked for and it is not there: that is the whole story.
        return Err(found
            .into_iter()
            .find_map(Result::err)
            .map_or_else(|| anyhow::anyhow!("nothing to read"), anyhow::Error::from));
    }
    let found = if request.join {
        let photos: Vec<PathBuf> = found.into_iter().collect::<Result<_, _>>()?;
        let talks = request.form == Form::Summary;
        vec![Ok(joining::join(&photos, &request, talks)?)]
    } else {
        found
    };
    let mut tasks = tasks::of(found);
    request.check_alone(tasks.len())?;
    let several = tasks.len() > 1;
    if let Some(shard) = request.shard {
        tasks = tasks::in_shard(tasks, shard);
    }
    if let Some(folder) = &request.out {
        crate::writing::folder(folder)?;
    }
    let results = request
        .results
        .as_deref()
        .map(Results::open)
        .transpose()?
        .map(Mutex::new);
    let mut run = Run {
        request: &request,
        results: results.as_ref(),
        alone: !several,
        tally: Tally::new(),
    };
    run.all(tasks, several)?;
    let tally = run.tally;
    if let Some(results) = results {
        results
            .into_inner()
            .unwrap_or_else(PoisonError::into_inner)
            .finish()?;
    }
    Ok(tally.finish(request.results.is_some()))
}

/// Counts one photo as `stumpbook count PHOTO` does, and prints its summary.
///
/// # Errors
/// As [`run`].
pub(crate) fn photo(photo: &Path) -> anyhow::Result<Outcome> {
    let typed: [&OsStr; 4] = [
        "stumpbook".as_ref(),
        "count".as_ref(),
        "--".as_ref(),
        photo.as_ref(),
    ];
    match Args::try_parse_from(typed)?.command {
        Command::Count(args) => run(*args),
        _ => anyhow::bail!("count is not a command"),
    }
}

/// One run over all photos.
struct Run<'a> {
    request: &'a Request,
    results: Option<&'a Mutex<Results>>,
    alone: bool,
    tally: Tally,
}

impl Run<'_> {
    fn all(&mut self, tasks: Vec<Result<Task, CommandError>>, several: bool) -> anyhow::Result<()> {
        let talks = self.request.form == Form::Summary;
        let bar = say::progress(tasks.len(), talks);
        // Photos side by side use the cores best; a few of them share the rest.
        let workers = self.request.jobs.min(tasks.len()).max(1);
        let threads = (self.request.jobs / workers).max(1);
        let request = self.request;
        let before = Before {
            keep: several && !request.again,
            results: self.results.filter(|_| !request.again),
        };
        let done = run_in_order(
            tasks,
            (workers, threads),
            |task| one::come(task, request, before, &bar),
            |came| {
                bar.inc(1);
                bar.suspend(|| self.take(came))
            },
        );
        bar.finish_and_clear();
        done
    }

    /// Reports what came of one photo.
    fn take(&mut self, came: Came) -> anyhow::Result<()> {
        match came {
            Came::Done(mut done) => {
                let not_written = done.not_written.take();
                self.tally.reading(done.reading.readable, done.unchanged);
                if let Some(results) = self.results {
                    results
                        .lock()
                        .unwrap_or_else(PoisonError::into_inner)
                        .reading(&done.photo, &done.made_from, &done.reading)?;
                    if self.request.form == Form::Summary {
                        return self.not_written(not_written);
                    }
                }
                let text = text_of(&done, self.request)?;
                let gap = if self.tally.is_first_printed() || self.request.form == Form::Json {
                    ""
                } else {
                    "\n"
                };
                say::data(&format!("{gap}{text}"))?;
                self.not_written(not_written)
            }
            Came::InResults(known) => {
                self.tally.known(known);
                Ok(())
            }
            Came::Failed { error, .. } if self.alone => Err(error.into()),
            Came::Failed {
                photo,
                made_from,
                error,
            } => {
                if let (Some(results), Some(photo)) = (self.results, photo) {
                    results
                        .lock()
                        .unwrap_or_else(PoisonError::into_inner)
                        .failure(&photo, &made_from, &error)?;
                }
                self.tally.failure(error);
                Ok(())
            }
        }
    }

    /// What was read but could not be written is a failure, once it is printed.
    fn not_written(&mut self, error: Option<CommandError>) -> anyhow::Result<()> {
        match error {
            Some(error) if self.alone => Err(error.into()),
            Some(error) => {
                self.tally.failure(error);
                Ok(())
            }
            None => Ok(()),
        }
    }
}

fn text_of(done: &Done, request: &Request) -> anyhow::Result<String> {
    match request.form {
        Form::Json => serde_json::to_string(&done.reading).context("cannot write the reading"),
        Form::Summary => Ok(summary::of(done, request.units)),
    }
}
