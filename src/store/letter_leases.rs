//! Letters that a copy of the service has for a while, and what becomes of them.

use super::letters::LetterRow;
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::sql_query;
use diesel::sql_types::{Array, Integer, Nullable, Text, Timestamptz, Uuid as SqlUuid};
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::letters::{LetterKind, LetterState, Next, Reason};

/// One statement, which skips rows that others are claiming and takes leases that ran out.
/// Kinds of a newer copy are left to it. What a lease that ran out came to is not known: no reason
/// of an earlier one stands for it.
const CLAIM: &str = "
WITH due AS MATERIALIZED (
    SELECT id FROM letters
    WHERE closed_at IS NULL
        AND due_at <= $1
        AND (leased_until IS NULL OR leased_until <= $1)
        AND kind = ANY ($3)
    ORDER BY goes_first DESC, due_at
    LIMIT $4
    FOR UPDATE SKIP LOCKED
)
UPDATE letters SET state = 'leased', leased_until = $2, attempts = attempts + 1,
    reason = CASE WHEN letters.state = 'leased' THEN NULL ELSE letters.reason END
FROM due WHERE letters.id = due.id
RETURNING letters.*";

/// Leases up to `most` letters that are due at `now` until `until`; those first that go first.
pub async fn claim(
    conn: &mut Conn,
    now: DateTime<Utc>,
    until: DateTime<Utc>,
    most: u32,
) -> Result<Vec<LetterRow>, StoreError> {
    let known: Vec<&str> = LetterKind::ALL.iter().map(|kind| kind.code()).collect();
    let mut rows: Vec<LetterRow> = sql_query(CLAIM)
        .bind::<Timestamptz, _>(now)
        .bind::<Timestamptz, _>(until)
        .bind::<Array<Text>, _>(known)
        .bind::<Integer, _>(i32::try_from(most).unwrap_or(i32::MAX))
        .load(conn)
        .await?;
    // An UPDATE gives its rows in no order.
    rows.sort_by_key(|row| (!row.goes_first, row.due_at));
    Ok(rows)
}

/// A lease as its holder knows it: of a letter that was leased again since, it is none.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Lease {
    id: Uuid,
    attempt: i32,
}

impl Lease {
    /// That under which a row was claimed.
    #[must_use]
    pub fn of(row: &LetterRow) -> Self {
        Self {
            id: row.id,
            attempt: row.attempts,
        }
    }
}

/// What becomes of a leased letter.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Settled {
    /// The lease that ends.
    pub lease: Lease,
    /// What becomes of the letter.
    pub next: Next,
    /// Why, if there is a why.
    pub reason: Option<Reason>,
    /// When.
    pub at: DateTime<Utc>,
}

/// Of a letter that is owed again `due_at` is there, of one that is closed `closed_at`.
const SETTLE: &str = "
UPDATE letters SET state = settled.state, due_at = coalesce(settled.due_at, letters.due_at),
    leased_until = NULL, reason = settled.reason, closed_at = settled.closed_at
FROM unnest($1, $2, $3, $4, $5, $6)
    AS settled (id, attempt, state, due_at, closed_at, reason)
WHERE letters.id = settled.id AND letters.attempts = settled.attempt
    AND letters.state = 'leased'";

/// Ends leases with what becomes of the letters; says how many. Of others the lease ran out,
/// and somebody else has them now.
pub async fn settle(conn: &mut Conn, all: &[Settled]) -> Result<usize, StoreError> {
    let mut states = Vec::with_capacity(all.len());
    let mut due_at = Vec::with_capacity(all.len());
    let mut closed_at = Vec::with_capacity(all.len());
    for one in all {
        let (state, due, closed) = match one.next {
            Next::Owed(at) => (LetterState::Owed, Some(at), None),
            Next::Closed(state) => (state, None, Some(one.at)),
        };
        states.push(state.code());
        due_at.push(due);
        closed_at.push(closed);
    }
    let reasons: Vec<_> = all.iter().map(|one| one.reason.map(Reason::code)).collect();
    let (ids, attempts) = columns(all.iter().map(|one| one.lease));
    Ok(sql_query(SETTLE)
        .bind::<Array<SqlUuid>, _>(ids)
        .bind::<Array<Integer>, _>(attempts)
        .bind::<Array<Text>, _>(states)
        .bind::<Array<Nullable<Timestamptz>>, _>(due_at)
        .bind::<Array<Nullable<Timestamptz>>, _>(closed_at)
        .bind::<Array<Nullable<Text>>, _>(reasons)
        .execute(conn)
        .await?)
}

const GIVE_BACK: &str = "
UPDATE letters SET state = 'owed', leased_until = NULL, attempts = attempts - 1
FROM unnest($1, $2) AS lease (id, attempt)
WHERE letters.id = lease.id AND letters.attempts = lease.attempt AND letters.state = 'leased'";

/// Ends leases of letters that were not begun, as if they had not been leased.
pub async fn give_back(conn: &mut Conn, leases: &[Lease]) -> Result<(), StoreError> {
    let (ids, attempts) = columns(leases.iter().copied());
    sql_query(GIVE_BACK)
        .bind::<Array<SqlUuid>, _>(ids)
        .bind::<Array<Integer>, _>(attempts)
        .execute(conn)
        .await?;
    Ok(())
}

fn columns(leases: impl Iterator<Item = Lease>) -> (Vec<Uuid>, Vec<i32>) {
    leases.map(|lease| (lease.id, lease.attempt)).unzip()
}
