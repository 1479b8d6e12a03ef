//! The program's commands.

mod add_account;
mod demo;
mod ground;
mod healthcheck;
mod migrate;
mod rota;
mod say;
mod serve;
mod sign_out;

pub use ground::Ground;
pub use serve::{Serving, serve_until_told};

use crate::settings::Env;
use add_account::AddAccount;
use clap::{Parser, Subcommand};
use demo::DemoArguments;
use rota::RotaArguments;
use sign_out::SignOut;
use std::error::Error;
use std::process::ExitCode;

/// Anything that stops a command: a sentence for whoever started it.
pub type Stopped = Box<dyn Error + Send + Sync>;

/// Shared worm bins: what each can take today, and what became of it.
#[derive(Debug, Parser)]
#[command(name = "wormrota", version, about)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Serve the API until told to stop.
    Serve,
    /// Serve an invented year of three sites, in a database of its own.
    Demo(DemoArguments),
    /// Bring the database up to date, then end.
    Migrate,
    /// Ask the service on this machine whether it can answer, then end.
    Healthcheck,
    /// Add an account; its password is the first line of standard input.
    AddAccount(AddAccount),
    /// End every session of an account, and take back its links.
    SignOut(SignOut),
    /// Plan a rota from a file, without any service or database.
    Rota(RotaArguments),
}

/// Runs the command that the arguments name.
#[must_use]
pub fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let env: Env = std::env::vars_os()
        .filter_map(|(key, value)| Some((key.into_string().ok()?, value.into_string().ok()?)))
        .collect();
    match run(arguments.command, &env) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            say::error(&error.to_string());
            ExitCode::FAILURE
        }
    }
}

fn run(command: Command, env: &Env) -> Result<(), Stopped> {
    match command {
        Command::Serve => serve::serve(env),
        Command::Demo(arguments) => demo::demo(env, &arguments),
        Command::Migrate => migrate::migrate(env),
        Command::Healthcheck => healthcheck::healthcheck(env),
        Command::AddAccount(new) => add_account::add_account(env, new),
        Command::SignOut(whom) => sign_out::sign_out(env, &whom),
        Command::Rota(arguments) => rota::rota(&arguments),
    }
}
