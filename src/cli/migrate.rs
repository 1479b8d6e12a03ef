//! Bringing the database up to date.

use super::{Ground, Stopped, say};
use crate::settings::Env;

pub(super) fn migrate(env: &Env) -> Result<(), Stopped> {
    let ground = Ground::enter(env)?;
    let migrated = ground.migrate();
    let left = ground.leave();
    let names = migrated?;
    if names.is_empty() {
        say::line("The database is up to date.");
    } else {
        say::line(&format!("Migrated: {}", names.join(", ")));
    }
    left
}
