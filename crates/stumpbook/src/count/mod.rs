//! `stumpbook count`: from photos to readings, in the order they were given.

mod entry;
mod one;
mod photos;
mod request;
mod summary;
mod told;

use crate::args::CountArgs;
use crate::outcome::Outcome;
use crate::say;
use crate::trouble::Trouble;
use anyhow::Context as _;
use one::Done;
use rayon::prelude::*;
pub(crate) use request::wood_class;
use request::{Form, Request};

/// Reads every photo asked for; a bad one does not stop the others.
///
/// # Errors
/// On wrong usage, when nothing was found to read, or when stdout is gone.
pub(crate) fn run(args: CountArgs) -> anyhow::Result<Outcome> {
    let request = Request::check(args)?;
    let found = photos::find(&request.photos);
    if let [Err(_)] = found.as_slice() {
        // Only one thing was asked for and it is not there: that is the whole story.
        return Err(found
            .into_iter()
            .find_map(Result::err)
            .map_or_else(|| anyhow::anyhow!("nothing to read"), anyhow::Error::from));
    }
    let planned = entry::plan(found);
    request.check_alone(planned.len())?;
    if let Some(folder) = &request.out {
        crate::writing::folder(folder)?;
    }
    let threads = rayon::ThreadPoolBuilder::new()
        .num_threads(request.jobs)
        .build()
        .context("cannot start the threads that --jobs asks for")?;
    let alone = planned.len() == 1;
    let bar = say::progress(planned.len(), request.form == Form::Summary);
    let mut outcome = Outcome::Read;
    let mut failures = Vec::new();
    let mut first = true;
    // A few photos at a time: results come out early, and in the order asked for.
    let mut planned = planned.into_iter();
    loop {
        let few: Vec<_> = planned.by_ref().take(request.jobs).collect();
        if few.is_empty() {
            break;
        }
        let done: Vec<Result<Done, Trouble>> = threads.install(|| {
            few.into_par_iter()
                .map(|plan| one::read_photo(plan?, &request, &bar))
                .collect()
        });
        for done in done {
            bar.inc(1);
            match done {
                Ok(done) => {
                    if !done.reading.readable {
                        outcome = outcome.max(Outcome::Unreadable);
                    }
                    let text = text_of(&done, &request)?;
                    let gap = if first || request.form == Form::Json {
                        ""
                    } else {
                        "\n"
                    };
                    bar.suspend(|| say::data(&format!("{gap}{text}")))?;
                    first = false;
                }
                Err(trouble) if alone => {
                    bar.finish_and_clear();
                    return Err(trouble.into());
                }
                Err(trouble) => {
                    outcome = outcome.max(Outcome::Failed);
                    failures.push(trouble);
                }
            }
        }
    }
    bar.finish_and_clear();
    say::failures(&failures);
    Ok(outcome)
}

fn text_of(done: &Done, request: &Request) -> anyhow::Result<String> {
    match request.form {
        Form::Json => serde_json::to_string(&done.reading).context("cannot write the reading"),
        Form::Summary => Ok(summary::of(done, request.units)),
    }
}
