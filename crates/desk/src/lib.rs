//! The desk: a page on the person's own machine that shows the reading of a
//! stump and takes corrections.
//!
//! In: a photo or a folder of them. Out: pages and JSON over HTTP to whoever
//! holds the key; entries (`.stump.json`) beside the photos; sheets and tables
//! to download. Never: a request to anywhere else, a file outside the opened
//! folder, or a decision on rings, which is `reader`'s.
//!
//! The order of a request: `guard` (host, origin, key), a route that parses
//! it, one call on an open stump (`session`) off the async threads, JSON back.

mod assets;
mod browser;
mod cache;
mod edit;
mod edit_context;
mod error;
mod facts;
mod folder;
mod folder_calls;
mod guard;
mod help;
mod history;
mod hosts;
mod intensity;
mod keys;
mod lan;
mod listen;
mod loaded;
mod moving;
mod naming;
mod outbox;
mod output;
mod pictures;
mod progress;
mod requests;
mod routes;
mod serve;
mod session;
mod stamp;
mod state;
mod strip;
mod strip_edit;
mod stump_calls;
mod tabs;
mod unrolled;
mod upload;
mod view;

pub use edit::{Edit, MarkKind};
pub use facts::FactName;
pub use hosts::Hosts;
pub use keys::Keys;
pub use lan::{address as lan_address, code as qr_code};
pub use routes::app;
pub use serve::{Notice, Options, ServeError, serve};
pub use state::Desk;
pub use upload::MOST_UPLOAD_BYTES;
