//! Migrations, compiled into the program.

use super::error::StoreError;
use super::service_role;
use crate::settings::DatabaseUrl;
use diesel::connection::SimpleConnection;
use diesel::prelude::*;
use diesel_async::async_connection_wrapper::AsyncConnectionWrapper;
use diesel_migrations::{EmbeddedMigrations, MigrationHarness, embed_migrations};

const MIGRATIONS: EmbeddedMigrations = embed_migrations!("migrations");

/// Names the advisory lock under which one copy migrates while others wait. Any number
/// will do, as long as it never changes.
const LOCK: i64 = 0x776f_726d_726f_7461;

type Blocking = AsyncConnectionWrapper<super::Conn>;

/// Brings the database up to date and says which migrations that took. Blocks; call it
/// where blocking is allowed and no tokio runtime is entered (`spawn_blocking`).
///
/// # Errors
/// [`StoreError::Unavailable`] without a connection, [`StoreError::Broken`] when a
/// migration fails; that migration is then rolled back.
pub fn up(url: &DatabaseUrl) -> Result<Vec<String>, StoreError> {
    let mut conn = connect(url)?;
    // Released with the session at the latest.
    conn.batch_execute(&format!("SELECT pg_advisory_lock({LOCK})"))?;
    let run = conn
        .run_pending_migrations(MIGRATIONS)
        .map(|versions| versions.iter().map(ToString::to_string).collect())
        .map_err(broken)
        .and_then(|versions| service_role::ensure(&mut conn).map(|()| versions));
    conn.batch_execute(&format!("SELECT pg_advisory_unlock({LOCK})"))?;
    run
}

/// Takes back every migration, newest first: for checking that each can be.
///
/// # Errors
/// As for [`up`].
pub fn down(url: &DatabaseUrl) -> Result<Vec<String>, StoreError> {
    connect(url)?
        .revert_all_migrations(MIGRATIONS)
        .map(|versions| versions.iter().map(ToString::to_string).collect())
        .map_err(broken)
}

/// The migrations that the database still lacks; empty when it is up to date. Blocks.
///
/// # Errors
/// As for [`up`].
pub fn pending(url: &DatabaseUrl) -> Result<Vec<String>, StoreError> {
    connect(url)?
        .pending_migrations(MIGRATIONS)
        .map(|pending| {
            pending
                .iter()
                .map(|migration| migration.name().to_string())
                .collect()
        })
        .map_err(broken)
}

fn connect(url: &DatabaseUrl) -> Result<Blocking, StoreError> {
    Blocking::establish(url.reveal()).map_err(|error| StoreError::Unavailable(error.to_string()))
}

#[expect(
    clippy::needless_pass_by_value,
    reason = "the shape that map_err wants"
)]
fn broken(error: Box<dyn std::error::Error + Send + Sync>) -> StoreError {
    StoreError::Broken(error.to_string())
}
