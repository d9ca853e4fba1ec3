//! `stumpbook count`: from photos to readings, in the order they were given.

mod again;
mod entry;
mod labels;
mod line_up;
mod one;
mod photos;
mod request;
mod results;
mod shard;
mod summary;
mod tally;
mod tasks;
mod told;

use crate::args::CountArgs;
use crate::outcome::Outcome;
use crate::say;
use crate::trouble::Trouble;
use anyhow::Context as _;
use line_up::line_up;
use one::{Before, Came, Done};
pub(crate) use request::wood_class;
use request::{Form, Request};
use results::Results;
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
    Ok(tally.told(request.results.is_some()))
}

/// One run over all photos.
struct Run<'a> {
    request: &'a Request,
    results: Option<&'a Mutex<Results>>,
    alone: bool,
    tally: Tally,
}

impl Run<'_> {
    fn all(&mut self, tasks: Vec<Result<Task, Trouble>>, several: bool) -> anyhow::Result<()> {
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
        let done = line_up(
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

    /// Hands on what came of one photo.
    fn take(&mut self, came: Came) -> anyhow::Result<()> {
        match came {
            Came::Done(done) => {
                self.tally.reading(done.reading.readable, done.unchanged);
                if let Some(results) = self.results {
                    results
                        .lock()
                        .unwrap_or_else(PoisonError::into_inner)
                        .reading(&done.photo, &done.made_from, &done.reading)?;
                    if self.request.form == Form::Summary {
                        return Ok(());
                    }
                }
                let text = text_of(&done, self.request)?;
                let gap = if self.tally.is_first_printed() || self.request.form == Form::Json {
                    ""
                } else {
                    "\n"
                };
                say::data(&format!("{gap}{text}"))
            }
            Came::InResults(known) => {
                self.tally.known(known);
                Ok(())
            }
            Came::Failed { trouble, .. } if self.alone => Err(trouble.into()),
            Came::Failed {
                photo,
                made_from,
                trouble,
            } => {
                if let (Some(results), Some(photo)) = (self.results, photo) {
                    results
                        .lock()
                        .unwrap_or_else(PoisonError::into_inner)
                        .failure(&photo, &made_from, &trouble)?;
                }
                self.tally.failure(trouble);
                Ok(())
            }
        }
    }
}

fn text_of(done: &Done, request: &Request) -> anyhow::Result<String> {
    match request.form {
        Form::Json => serde_json::to_string(&done.reading).context("cannot write the reading"),
        Form::Summary => Ok(summary::of(done, request.units)),
    }
}
