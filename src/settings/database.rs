//! How the database is used.

use super::Rule;
use serde::Deserialize;
use std::fmt;

/// How the database is used.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Database {
    /// The Postgres to use; without one the service runs its own. Only from `DATABASE_URL`.
    #[serde(skip)]
    pub url: Option<DatabaseUrl>,
    /// Connections that this copy keeps at most.
    pub pool_size: usize,
    /// Milliseconds to wait for a free connection.
    pub pool_wait_ms: u64,
    /// Milliseconds after which Postgres gives up on one statement.
    pub statement_timeout_ms: u64,
}

impl Database {
    /// The rules that types cannot hold.
    pub(super) fn rules(&self) -> [Rule; 3] {
        [
            (
                "database.pool_size",
                (1..=500).contains(&self.pool_size),
                "1 to 500 connections",
            ),
            (
                "database.pool_wait_ms",
                (10..=60_000).contains(&self.pool_wait_ms),
                "10 to 60000 milliseconds",
            ),
            (
                "database.statement_timeout_ms",
                (100..=600_000).contains(&self.statement_timeout_ms),
                "100 to 600000 milliseconds",
            ),
        ]
    }
}

/// The address of a database, which may hold a password: it never prints it.
#[derive(Clone, PartialEq, Eq)]
pub struct DatabaseUrl(String);

impl DatabaseUrl {
    /// Takes a connection string as tokio-postgres reads it.
    #[must_use]
    pub fn new(url: impl Into<String>) -> Self {
        Self(url.into())
    }

    /// The whole address, for connecting.
    #[must_use]
    pub fn reveal(&self) -> &str {
        &self.0
    }
}

impl fmt::Debug for DatabaseUrl {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("DatabaseUrl(hidden)")
    }
}
