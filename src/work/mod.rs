//! What the service does without being asked. Any number of copies may run it: jobs are
//! rows that one copy leases at a time, and what is owed is derived from the time alone, so
//! that missed hours and restarts do no harm.

pub mod drafting;
mod housekeeping;
pub mod owing;

use crate::clock;
use crate::desk::{Desk, DeskError};
use crate::store::jobs::{self, JobRow};
use chrono::{DateTime, TimeDelta, Utc};
use futures_util::FutureExt;
use std::time::Duration;
use wormrota_domain::ids::JobId;

/// How often a copy looks for work.
const LOOKS_EVERY: Duration = Duration::from_secs(30);
/// How long a copy may take for a job before another one takes it over.
const LEASE: TimeDelta = TimeDelta::minutes(5);
/// Jobs claimed at once.
const AT_ONCE: i64 = 10;
/// A job that failed so often is given up.
const TRIES: i32 = 5;
/// Pause before the second try; each later one doubles.
const FIRST_PAUSE: TimeDelta = TimeDelta::minutes(1);

/// Looks for work until the surrounding task is dropped; a piece of work that is under way
/// then is finished or taken over by another copy.
pub async fn keep_working(desk: Desk) {
    let mut ticks = tokio::time::interval(LOOKS_EVERY);
    ticks.set_missed_tick_behavior(tokio::time::MissedTickBehavior::Delay);
    loop {
        ticks.tick().await;
        if let Err(error) = work_once(&desk, clock::wall()).await {
            tracing::warn!(code = error.code(), "work is left for later");
        }
    }
}

/// Owes what is due at `now`, and does what can be leased. Says how many jobs were done.
///
/// # Errors
/// When the database cannot be reached.
pub async fn work_once(desk: &Desk, now: DateTime<Utc>) -> Result<usize, DeskError> {
    desk.store()
        .transact("owe jobs", (), move |conn, ()| {
            async move {
                jobs::owe(conn, &housekeeping::owed_at(now)).await?;
                Ok::<_, DeskError>(())
            }
            .boxed()
        })
        .await?;
    let mut done = 0;
    for job in lease(desk, &[housekeeping::KIND], now).await? {
        let outcome = housekeeping::tidy(desk, now).await;
        done += usize::from(outcome.is_ok());
        settle(desk, &job, now, outcome.map_err(|error| error.code())).await?;
    }
    Ok(done)
}

/// Leases due jobs of some kinds, a few at a time. Each must be settled.
async fn lease(
    desk: &Desk,
    kinds: &'static [&'static str],
    now: DateTime<Utc>,
) -> Result<Vec<JobRow>, DeskError> {
    desk.store()
        .transact("claim jobs", (), move |conn, ()| {
            async move {
                let leased = jobs::claim(conn, kinds, now, now + LEASE, AT_ONCE).await?;
                Ok::<_, DeskError>(leased)
            }
            .boxed()
        })
        .await
}

/// Ends a leased job that is done, or puts it back (at last gives it up) with the code of
/// what failed.
async fn settle(
    desk: &Desk,
    job: &JobRow,
    now: DateTime<Utc>,
    outcome: Result<(), &'static str>,
) -> Result<(), DeskError> {
    let (id, attempt) = (JobId(job.id), job.attempts);
    let failure = outcome.err();
    if let Some(code) = failure {
        tracing::warn!(kind = %job.kind, attempt, code, "a job failed");
    }
    desk.store()
        .transact("settle a job", (), move |conn, ()| {
            async move {
                let settled = match failure {
                    None => jobs::finish(conn, id, attempt).await?,
                    Some(code) => jobs::fail(conn, id, attempt, again(attempt, now), code).await?,
                };
                if !settled {
                    tracing::info!("a lease ran out before its job was done");
                }
                Ok::<_, DeskError>(())
            }
            .boxed()
        })
        .await
}

/// When a job that failed is tried again, if it is.
fn again(attempt: i32, now: DateTime<Utc>) -> Option<DateTime<Utc>> {
    let doublings = u32::try_from(attempt.saturating_sub(1)).unwrap_or(0);
    (attempt < TRIES).then(|| now + FIRST_PAUSE * (1 << doublings.min(10)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pauses_double_and_end() {
        let now = DateTime::UNIX_EPOCH;
        let pause = |attempt| again(attempt, now).map(|at| (at - now).num_minutes());
        assert_eq!([pause(1), pause(2), pause(4)], [Some(1), Some(2), Some(8)]);
        assert_eq!(pause(TRIES), None);
    }
}
