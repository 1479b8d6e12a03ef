//! The only door to the database.
//!
//! A piece of work gets a connection and its input by reference and is run to its end on
//! the service's own threads: a client that hangs up cannot cut a transaction in half.
//! Work that lost against another transaction is begun again, which is why its input is
//! borrowed and not consumed.

use super::error::{Failure, StoreError};
use super::{Conn, Store};
use diesel_async::pooled_connection::deadpool::Object;
use diesel_async::{AsyncConnection, TransactionManager};
use futures_util::future::BoxFuture;
use std::sync::Arc;
use std::time::Duration;

/// How often a transaction is begun at most. Losing this often in a row against others
/// means overload, and then waiting helps more than trying.
const TRIES: u32 = 6;
/// Milliseconds of the first pause between two tries; each later one doubles.
const FIRST_PAUSE_MS: u64 = 4;

type Transactions = <Conn as AsyncConnection>::TransactionManager;

/// Whether the work is one transaction.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Mode {
    Transaction,
    Read,
}

/// How one try ended when it did not answer.
enum Lost<E> {
    /// Nothing was committed; trying again is safe and may help.
    MayTryAgain(E),
    /// Trying again would not help, or might do the work twice.
    Final(E),
}

impl<E: Failure> Lost<E> {
    fn has_broken_the_connection(&self) -> bool {
        let (Self::MayTryAgain(error) | Self::Final(error)) = self;
        matches!(error.store_error(), Some(StoreError::Lost(_)))
    }
}

impl Store {
    /// Runs `work` as one transaction: all of it happens, or nothing.
    ///
    /// `name` is for the log. `work` may run several times and must have no effect
    /// outside the database. An error returned by `work` rolls back.
    ///
    /// ```ignore
    /// store.transact("rename a site", (id, name), |conn, (id, name)| {
    ///     async move { sites::rename(conn, *id, name).await }.boxed()
    /// })
    /// ```
    ///
    /// # Errors
    /// What `work` returned, or a [`StoreError`] turned into the same type.
    pub async fn transact<I, T, E, W>(&self, name: &'static str, input: I, work: W) -> Result<T, E>
    where
        I: Send + Sync + 'static,
        T: Send + 'static,
        E: Failure,
        W: for<'a> Fn(&'a mut Conn, &'a I) -> BoxFuture<'a, Result<T, E>> + Send + Sync + 'static,
    {
        self.run(Mode::Transaction, name, input, work).await
    }

    /// Runs `work`, which only reads, each statement for itself.
    ///
    /// # Errors
    /// As for [`Store::transact`].
    pub async fn read<I, T, E, W>(&self, name: &'static str, input: I, work: W) -> Result<T, E>
    where
        I: Send + Sync + 'static,
        T: Send + 'static,
        E: Failure,
        W: for<'a> Fn(&'a mut Conn, &'a I) -> BoxFuture<'a, Result<T, E>> + Send + Sync + 'static,
    {
        self.run(Mode::Read, name, input, work).await
    }

    async fn run<I, T, E, W>(
        &self,
        mode: Mode,
        name: &'static str,
        input: I,
        work: W,
    ) -> Result<T, E>
    where
        I: Send + Sync + 'static,
        T: Send + 'static,
        E: Failure,
        W: for<'a> Fn(&'a mut Conn, &'a I) -> BoxFuture<'a, Result<T, E>> + Send + Sync + 'static,
    {
        let store = self.clone();
        let span = tracing::debug_span!("store", work = name);
        let running = self.inner.runtime.spawn(tracing::Instrument::instrument(
            async move {
                // Held to the end, so that stopping can wait for what is under way.
                let _under_way = Arc::clone(&store.inner.under_way).acquire_owned().await;
                store.with_tries(mode, name, &input, &work).await
            },
            span,
        ));
        match running.await {
            Ok(answer) => answer,
            Err(error) => {
                tracing::error!(work = name, %error, "work with the database ended early");
                Err(E::from(StoreError::Broken(format!("{name}: {error}"))))
            }
        }
    }

    async fn with_tries<I, T, E, W>(
        &self,
        mode: Mode,
        name: &'static str,
        input: &I,
        work: &W,
    ) -> Result<T, E>
    where
        I: Send + Sync + 'static,
        E: Failure,
        W: for<'a> Fn(&'a mut Conn, &'a I) -> BoxFuture<'a, Result<T, E>> + Send + Sync,
    {
        let mut attempt = 1;
        loop {
            let limit = self.inner.work_limit;
            let outcome = match self.connection().await {
                Err(error) => Err(Lost::Final(E::from(error))),
                Ok(mut conn) => {
                    let tried = once(mode, &mut conn, input, work);
                    let outcome = tokio::time::timeout(limit, tried)
                        .await
                        .unwrap_or_else(|_| {
                            Err(Lost::Final(E::from(StoreError::Lost(format!(
                                "no answer within {} ms",
                                limit.as_millis()
                            )))))
                        });
                    if outcome.as_ref().is_err_and(Lost::has_broken_the_connection) {
                        // Its state is unknown: it must not go back to the pool.
                        drop(Object::take(conn));
                    }
                    outcome
                }
            };
            match outcome {
                Ok(answer) => return Ok(answer),
                Err(Lost::MayTryAgain(error)) if attempt < TRIES => {
                    tracing::debug!(
                        work = name,
                        attempt,
                        reason = error.store_error().map(tracing::field::display),
                        "trying again"
                    );
                    tokio::time::sleep(pause(attempt)).await;
                    attempt += 1;
                }
                Err(Lost::MayTryAgain(error)) => {
                    tracing::warn!(work = name, attempt, "gave up");
                    return Err(match error.store_error() {
                        Some(StoreError::Contended) => E::from(StoreError::Unavailable(
                            "too many others wanted the same".to_owned(),
                        )),
                        _ => error,
                    });
                }
                Err(Lost::Final(error)) => return Err(error),
            }
        }
    }
}

/// One try on one connection.
async fn once<I, T, E, W>(mode: Mode, conn: &mut Conn, input: &I, work: &W) -> Result<T, Lost<E>>
where
    E: Failure,
    W: for<'a> Fn(&'a mut Conn, &'a I) -> BoxFuture<'a, Result<T, E>>,
{
    if mode == Mode::Read {
        return work(conn, input).await.map_err(sort);
    }
    if let Err(error) = Transactions::begin_transaction(conn).await {
        return Err(sort(E::from(StoreError::from(error))));
    }
    match work(conn, input).await {
        Ok(answer) => match Transactions::commit_transaction(conn).await {
            Ok(()) => Ok(answer),
            Err(error) => {
                let error = StoreError::from(error);
                // Only an answer that says so proves that nothing was committed.
                Err(match error {
                    StoreError::Contended => Lost::MayTryAgain(E::from(error)),
                    error => Lost::Final(E::from(error)),
                })
            }
        },
        Err(error) => {
            if let Err(rollback) = Transactions::rollback_transaction(conn).await {
                tracing::debug!(error = %rollback, "rollback failed; the connection is dropped");
            }
            Err(sort(error))
        }
    }
}

/// Whether work that has not reached its commit should be tried again.
fn sort<E: Failure>(error: E) -> Lost<E> {
    match error.store_error() {
        // Lost is mostly a pooled connection that died while it lay idle, found out only now.
        Some(StoreError::Contended | StoreError::Lost(_)) => Lost::MayTryAgain(error),
        _ => Lost::Final(error),
    }
}

/// Doubling pauses with jitter, so that those who lost together do not meet again.
fn pause(attempt: u32) -> Duration {
    let longest = FIRST_PAUSE_MS << attempt.min(8);
    Duration::from_millis(rand::random_range(longest / 2..=longest))
}
