//! `stumpbook desk`: starts the page and says where it is.

use crate::args::DeskArgs;
use crate::error::CommandError;
use crate::outcome::Outcome;
use crate::say;
use desk::Notice;
use std::path::PathBuf;
use std::time::Duration;

/// Serves the page until it is stopped.
///
/// # Errors
/// When the folder or the port cannot be used.
pub(crate) fn run(args: &DeskArgs) -> anyhow::Result<Outcome> {
    let options = desk::Options {
        open: args.open.clone().unwrap_or_else(|| PathBuf::from(".")),
        port: args.port,
        browser: !args.no_open,
        ring: args.ring,
        lan: args.lan,
        end_unused: args
            .end_unused
            .map(|minutes| Duration::from_secs(60 * u64::from(minutes))),
    };
    if options.lan.is_some() {
        say::note(
            "--lan shows the desk to your local network: whoever has the address below can see the photos in this \
folder, mark them and add more. What is sent is not encrypted. Use it on a network you trust, and stop it (Ctrl-C) when done.",
        );
    }
    desk::serve(&options, &show)
        .map_err(|error| CommandError::failed(error.to_string(), error.advice()))?;
    Ok(Outcome::Read)
}

fn show(notice: Notice) {
    match notice {
        Notice::Open { address } => {
            // Nobody reading the address is no reason to stop serving.
            let _ = say::data(&address);
        }
        Notice::OnTheNetwork { address, code } => {
            say::note("on the phone, point the camera at this, or type the address below it:");
            if let Some(code) = code {
                say::note(&code);
            }
            say::note(&address);
        }
        Notice::NoBrowser => {
            say::note("no browser would start: open the address by hand");
        }
        Notice::CameIn => {
            say::note("a browser has come in; for another one there is a new address:");
        }
    }
}
