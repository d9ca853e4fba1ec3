//! The book of a woodlot.
