//! The `wormrota` program. Everything is in the library, where tests can reach it.

use std::process::ExitCode;

fn main() -> ExitCode {
    wormrota::cli::main()
}
