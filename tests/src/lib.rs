//! Acceptance tests live in `tests/`; this library is empty.
