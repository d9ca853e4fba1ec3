//! The desk: a page on the person's own machine that shows what was read on a
//! stump, and takes their marks.
//!
//! In: a photo or a folder of them. Out: pages and JSON over HTTP to whoever
//! holds the key; entries (`.stump.json`) beside the photos. Never: a request
//! to anywhere else, a file outside the opened folder, or a decision on rings,
//! which is `reader`'s.
//!
//! The order of a request: `guard` (host, origin, key), a route that parses
//! it, one call on an open stump off the async threads, JSON back.

mod assets;
mod browser;
mod edit;
mod far;
mod fault;
mod folder;
mod ground;
mod guard;
mod history;
mod keys;
mod lan;
mod listen;
mod routes;
mod serve;
mod state;
mod straight;
mod stump;
mod telling;
mod upload;
mod view;

pub use edit::{Edit, FactName};
pub use guard::Hosts;
pub use keys::Keys;
pub use lan::{address as lan_address, code as qr_code};
pub use routes::app;
pub use serve::{Options, ServeError, Told, serve};
pub use state::Desk;
pub use upload::MOST_UPLOAD_BYTES;
