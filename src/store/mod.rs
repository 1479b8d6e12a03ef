//! The only place that knows tables.
//!
//! Functions here take a connection, read or write rows, and decide nothing. A connection
//! is had only through [`Store::transact`] and [`Store::read`]. Files are named by noun.

pub mod absences;
pub mod account_links;
pub mod accounts;
pub mod allowances;
pub mod audit;
pub mod bins;
pub mod bookings;
pub mod calendar_addresses;
pub mod call_answers;
pub mod calls;
pub mod class_turns;
pub mod classes;
pub mod closures;
pub mod codes;
pub mod decisions;
pub mod demo_clock;
mod error;
pub mod events;
pub mod held_places;
pub mod households;
pub mod idempotency;
pub mod imports;
pub mod invitations;
pub mod jobs;
pub mod keepers;
pub mod letter_leases;
pub mod letter_sources;
pub mod letters;
pub mod letters_together;
pub mod limits;
pub mod members;
pub mod migrate;
pub mod notices;
pub mod patterns;
pub mod personal;
pub mod places;
pub mod readings;
pub mod rota_shares;
pub mod rotas;
mod schema;
pub mod service_role;
pub mod sessions;
pub mod sites;
mod transact;
pub mod turns;
pub mod visits;

pub use error::{Failure, StoreError};

use crate::settings::{Database, DatabaseUrl};
use diesel::result::ConnectionError;
use diesel_async::pooled_connection::deadpool::{Object, Pool};
use diesel_async::pooled_connection::{
    AsyncDieselConnectionManager, ManagerConfig, RecyclingMethod,
};
use diesel_async::{AsyncConnection, AsyncPgConnection, SimpleAsyncConnection};
use futures_util::FutureExt;
use std::sync::Arc;
use std::time::Duration;
use tokio::runtime::Handle;
use tokio::sync::Semaphore;

/// A connection to Postgres.
pub type Conn = AsyncPgConnection;

/// Pieces of work that can be under way at once: more than any pool, so that only
/// [`Store::drain`] ever notices.
const MOST_UNDER_WAY: u32 = 100_000;

/// The database, shared by all threads of one copy of the service. Cloning is cheap.
#[derive(Clone)]
pub struct Store {
    inner: Arc<Inner>,
}

struct Inner {
    pool: Pool<Conn>,
    pool_wait: Duration,
    work_limit: Duration,
    runtime: Handle,
    under_way: Arc<Semaphore>,
}

impl std::fmt::Debug for Store {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Store")
    }
}

impl Store {
    /// Prepares a pool of connections; connects only when a connection is wanted, so that
    /// the service can start before its database does. Must be called within a tokio
    /// runtime, on which all work with the database then runs.
    ///
    /// # Errors
    /// [`StoreError::Broken`] when the pool cannot be built.
    pub fn connect(url: &DatabaseUrl, settings: &Database) -> Result<Self, StoreError> {
        let statement_timeout = settings.statement_timeout_ms;
        let mut config = ManagerConfig::<Conn>::default();
        // Asking `SELECT 1` at every checkout costs a round trip; a connection that died
        // while idle is found out at its first statement and replaced there.
        config.recycling_method = RecyclingMethod::Fast;
        config.custom_setup = Box::new(move |url| {
            let url = url.to_owned();
            async move { establish(&url, statement_timeout).await }.boxed()
        });
        let manager = AsyncDieselConnectionManager::new_with_config(url.reveal(), config);
        let pool = Pool::builder(manager)
            .max_size(settings.pool_size)
            .build()
            .map_err(|error| StoreError::Broken(error.to_string()))?;
        Ok(Self {
            inner: Arc::new(Inner {
                pool,
                pool_wait: Duration::from_millis(settings.pool_wait_ms),
                // Several statements, each within its own limit; a server that is frozen
                // never answers any.
                work_limit: Duration::from_millis(settings.statement_timeout_ms.saturating_mul(3)),
                runtime: Handle::current(),
                under_way: Arc::new(Semaphore::new(MOST_UNDER_WAY as usize)),
            }),
        })
    }

    /// Whether the database answers.
    ///
    /// # Errors
    /// [`StoreError::Unavailable`] when it does not.
    pub async fn ping(&self) -> Result<(), StoreError> {
        self.read("ping", (), |conn, ()| {
            async move { Ok(conn.batch_execute("SELECT 1").await?) }.boxed()
        })
        .await
    }

    /// Waits until no work is under way, for a calm stop.
    pub async fn drain(&self) {
        // Fails only when closed, which nobody does.
        let _all = self.inner.under_way.acquire_many(MOST_UNDER_WAY).await;
    }

    async fn connection(&self) -> Result<Object<Conn>, StoreError> {
        match tokio::time::timeout(self.inner.pool_wait, self.inner.pool.get()).await {
            Ok(connection) => Ok(connection?),
            Err(_) => Err(StoreError::Unavailable(
                "no connection became free in time".to_owned(),
            )),
        }
    }
}

async fn establish(url: &str, statement_timeout_ms: u64) -> Result<Conn, ConnectionError> {
    let mut conn = Conn::establish(url).await?;
    let statements = format!(
        "SET statement_timeout = {statement_timeout_ms}; {}",
        service_role::STEP_DOWN
    );
    conn.batch_execute(&statements)
        .await
        .map_err(ConnectionError::CouldntSetupConfiguration)?;
    Ok(conn)
}
