//! What the acceptance tests in `tests/` share: the built program and a small
//! checker of JSON against a schema. Never part of what is shipped.

mod program;
mod schema;
mod value;

pub use program::{folder, root, stumpbook, stumpbook_path};
pub use schema::{Schema, check};
pub use value::check_value;
