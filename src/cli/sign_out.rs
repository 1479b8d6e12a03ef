//! Signing somebody out everywhere, say when a device was stolen.

use super::{Ground, Stopped, say};
use crate::clock::Clock;
use crate::desk;
use crate::settings::Env;
use clap::Args;

#[derive(Debug, Args)]
pub(super) struct SignOut {
    /// The address of the account.
    email: String,
}

pub(super) fn sign_out(env: &Env, arguments: &SignOut) -> Result<(), Stopped> {
    let ground = Ground::enter(env)?;
    let ended = ground
        .insist_on_migrations()
        .and_then(|()| ground.desk(Clock::System))
        .and_then(|desk| {
            let signing_out = desk::sign_out::sign_out(&desk, &arguments.email);
            Ok(ground.runtime.block_on(signing_out)?)
        });
    let left = ground.leave();
    say::line(&format!("Sessions ended: {}", ended?));
    left
}
