//! Background work, leased by any copy of the service.
//!
//! ```text
//! waiting --claim--> leased --finish--> done
//!    ^                  |
//!    +---- put back ----+--give up----> given_up
//!                       (a lease that ran out is claimed again)
//! ```

use super::schema::jobs;
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::JobId;

/// A job as it is stored.
#[derive(Debug, Clone, PartialEq, Queryable, Selectable, Insertable)]
#[diesel(table_name = jobs)]
pub struct JobRow {
    /// The key.
    pub id: Uuid,
    /// What to do.
    pub kind: String,
    /// For which site, if for one.
    pub site_id: Option<Uuid>,
    /// What it is for; unique for its kind.
    pub purpose: String,
    /// What it needs to know; ids and figures, no names.
    pub payload: serde_json::Value,
    /// Not before.
    pub run_after: DateTime<Utc>,
    /// `waiting`, `leased`, `done` or `given_up`.
    pub state: String,
    /// How often it was begun.
    pub attempts: i32,
    /// When its lease runs out.
    pub leased_until: Option<DateTime<Utc>>,
    /// Why the last attempt failed.
    pub last_error: Option<String>,
    /// Since when it is owed.
    pub created_at: DateTime<Utc>,
}

/// Owes a job, unless one of the same kind and purpose is owed already.
pub async fn owe(conn: &mut Conn, row: &JobRow) -> Result<bool, StoreError> {
    let inserted = diesel::insert_into(jobs::table)
        .values(row)
        .on_conflict((jobs::kind, jobs::purpose))
        .do_nothing()
        .execute(conn)
        .await?;
    Ok(inserted == 1)
}

/// Leases up to `limit` due jobs of some kinds until `until`, expired leases among them. Copies
/// that claim at once skip each other's rows.
pub async fn claim(
    conn: &mut Conn,
    kinds: &[&str],
    now: DateTime<Utc>,
    until: DateTime<Utc>,
    limit: i64,
) -> Result<Vec<JobRow>, StoreError> {
    let due: Vec<Uuid> = jobs::table
        .filter(jobs::state.eq_any(["waiting", "leased"]))
        .filter(jobs::run_after.le(now))
        .filter(jobs::kind.eq_any(kinds.to_vec()))
        .filter(jobs::leased_until.is_null().or(jobs::leased_until.le(now)))
        .select(jobs::id)
        .order(jobs::run_after)
        .limit(limit)
        .for_update()
        .skip_locked()
        .load(conn)
        .await?;
    Ok(diesel::update(jobs::table.filter(jobs::id.eq_any(due)))
        .set((
            jobs::state.eq("leased"),
            jobs::leased_until.eq(until),
            jobs::attempts.eq(jobs::attempts + 1),
        ))
        .returning(JobRow::as_returning())
        .get_results(conn)
        .await?)
}

/// Keeps the lease of a job until a later instant; false when it ran out and somebody else has
/// the job now.
pub async fn extend(
    conn: &mut Conn,
    id: JobId,
    attempt: i32,
    until: DateTime<Utc>,
) -> Result<bool, StoreError> {
    let changed = diesel::update(still_ours(id, attempt))
        .set(jobs::leased_until.eq(until))
        .execute(conn)
        .await?;
    Ok(changed == 1)
}

/// Ends a job that is still leased under the attempt the caller knows; false when the
/// lease ran out and somebody else has it now.
pub async fn finish(conn: &mut Conn, id: JobId, attempt: i32) -> Result<bool, StoreError> {
    let changed = diesel::update(still_ours(id, attempt))
        .set((
            jobs::state.eq("done"),
            jobs::leased_until.eq(None::<DateTime<Utc>>),
            jobs::last_error.eq(None::<String>),
        ))
        .execute(conn)
        .await?;
    Ok(changed == 1)
}

/// Puts a job back to be tried at `run_after`, or gives it up when that is `None`.
pub async fn fail(
    conn: &mut Conn,
    id: JobId,
    attempt: i32,
    run_after: Option<DateTime<Utc>>,
    reason: &str,
) -> Result<bool, StoreError> {
    let state = if run_after.is_some() {
        "waiting"
    } else {
        "given_up"
    };
    let changed = diesel::update(still_ours(id, attempt))
        .set((
            jobs::state.eq(state),
            // None leaves the column as it is.
            run_after.map(|at| jobs::run_after.eq(at)),
            jobs::leased_until.eq(None::<DateTime<Utc>>),
            jobs::last_error.eq(reason),
        ))
        .execute(conn)
        .await?;
    Ok(changed == 1)
}

/// Forgets done jobs that were owed before an instant; says how many.
pub async fn forget_done_before(
    conn: &mut Conn,
    before: DateTime<Utc>,
) -> Result<usize, StoreError> {
    Ok(diesel::delete(
        jobs::table
            .filter(jobs::state.eq("done"))
            .filter(jobs::created_at.lt(before)),
    )
    .execute(conn)
    .await?)
}

#[diesel::dsl::auto_type(no_type_alias)]
fn still_ours(id: JobId, attempt: i32) -> _ {
    let id: Uuid = id.0;
    jobs::table
        .find(id)
        .filter(jobs::state.eq("leased"))
        .filter(jobs::attempts.eq(attempt))
}
