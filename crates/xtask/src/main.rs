//! The chores of this project.

fn main() {}
