//! The `wormrota` program.

fn main() {}
