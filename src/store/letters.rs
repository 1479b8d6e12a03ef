//! Letters that are owed, and what became of them. Their life is that of
//! [`wormrota_domain::letters`].

use super::schema::letters;
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel::sql_query;
use diesel::sql_types::{Array, Text, Timestamptz};
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{MemberId, SiteId};
use wormrota_domain::letters::{LetterDeed, LetterKind, LetterState, Next, Reason};

/// A letter as it is stored: keys and numbers, no name and no address.
#[derive(Debug, Clone, PartialEq, Queryable, Selectable, Insertable, QueryableByName)]
#[diesel(table_name = letters)]
pub struct LetterRow {
    /// The key, which its Message-ID is made of.
    pub id: Uuid,
    /// For which site, if for one.
    pub site_id: Option<Uuid>,
    /// See [`LetterKind`].
    pub kind: String,
    /// What it is about; unique for its kind.
    pub purpose: String,
    /// For which account, if for one.
    pub account_id: Option<Uuid>,
    /// For which member of the site, if for one.
    pub member_id: Option<Uuid>,
    /// What it needs to know.
    pub payload: serde_json::Value,
    /// Whether it goes before the others.
    pub goes_first: bool,
    /// See [`LetterState`].
    pub state: String,
    /// Not before.
    pub due_at: DateTime<Utc>,
    /// From then on it helps nobody.
    pub too_late_at: DateTime<Utc>,
    /// How often it was begun.
    pub attempts: i32,
    /// When its lease runs out.
    pub leased_until: Option<DateTime<Utc>>,
    /// Why it was not sent, or not yet; see [`Reason`].
    pub reason: Option<String>,
    /// Since when it is owed.
    pub created_at: DateTime<Utc>,
    /// Since when nothing more becomes of it.
    pub closed_at: Option<DateTime<Utc>>,
    /// Until when its links do something; none where it has no links.
    pub links_until: Option<DateTime<Utc>>,
    /// What was answered by one of them.
    pub answer: Option<String>,
    /// When.
    pub answered_at: Option<DateTime<Utc>>,
    /// When its links were taken back.
    pub links_revoked_at: Option<DateTime<Utc>>,
}

/// Owes letters; those of the same kind and purpose are owed already and stay as they are.
pub async fn owe(conn: &mut Conn, rows: &[LetterRow]) -> Result<(), StoreError> {
    diesel::insert_into(letters::table)
        .values(rows)
        .on_conflict((letters::kind, letters::purpose))
        .do_nothing()
        .execute(conn)
        .await?;
    Ok(())
}

/// One statement, which skips rows that others are claiming and takes leases that ran out.
/// Kinds of a newer copy are left to it.
const CLAIM: &str = "
WITH due AS MATERIALIZED (
    SELECT id FROM letters
    WHERE state IN ('owed', 'leased')
        AND due_at <= $1
        AND (leased_until IS NULL OR leased_until <= $1)
        AND kind = ANY ($3)
    ORDER BY goes_first DESC, due_at
    LIMIT 1
    FOR UPDATE SKIP LOCKED
)
UPDATE letters SET state = 'leased', leased_until = $2, attempts = attempts + 1
FROM due WHERE letters.id = due.id
RETURNING letters.*";

/// Leases the letter that is due next at `now` until `until`, if there is one.
pub async fn claim(
    conn: &mut Conn,
    now: DateTime<Utc>,
    until: DateTime<Utc>,
) -> Result<Option<LetterRow>, StoreError> {
    let known: Vec<&str> = LetterKind::ALL.iter().map(|kind| kind.code()).collect();
    Ok(sql_query(CLAIM)
        .bind::<Timestamptz, _>(now)
        .bind::<Timestamptz, _>(until)
        .bind::<Array<Text>, _>(known)
        .get_result(conn)
        .await
        .optional()?)
}

/// Ends a lease of the attempt that the caller knows, with what becomes of the letter; false
/// when the lease ran out and somebody else has it now.
pub async fn settle(
    conn: &mut Conn,
    id: Uuid,
    attempt: i32,
    next: Next,
    reason: Option<Reason>,
    now: DateTime<Utc>,
) -> Result<bool, StoreError> {
    let still_ours = letters::table
        .find(id)
        .filter(letters::state.eq(LetterState::Leased.code()))
        .filter(letters::attempts.eq(attempt));
    let (state, due_at, closed_at) = match next {
        Next::Owed(at) => (LetterState::Owed, Some(at), None),
        Next::Closed(state) => (state, None, Some(now)),
    };
    let changed = diesel::update(still_ours)
        .set((
            letters::state.eq(state.code()),
            // None leaves the column as it is.
            due_at.map(|at| letters::due_at.eq(at)),
            letters::leased_until.eq(None::<DateTime<Utc>>),
            letters::reason.eq(reason.map(Reason::code)),
            letters::closed_at.eq(closed_at),
        ))
        .execute(conn)
        .await?;
    Ok(changed == 1)
}

/// A letter, locked, so that it is answered once.
pub async fn lock(conn: &mut Conn, id: Uuid) -> Result<Option<LetterRow>, StoreError> {
    Ok(letters::table
        .find(id)
        .select(LetterRow::as_select())
        .for_update()
        .first(conn)
        .await
        .optional()?)
}

/// A letter.
pub async fn by_id(conn: &mut Conn, id: Uuid) -> Result<Option<LetterRow>, StoreError> {
    Ok(letters::table
        .find(id)
        .select(LetterRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// How many letters of a kind to one member are looked at: more than anybody is owed while the
/// first of them is not forgotten.
const MOST_OF_MEMBER: i64 = 500;

/// Letters of a kind to a member of a site, newest first.
pub async fn of_member(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
    kind: LetterKind,
) -> Result<Vec<LetterRow>, StoreError> {
    Ok(letters::table
        .filter(letters::site_id.eq(site.0))
        .filter(letters::member_id.eq(member.0))
        .filter(letters::kind.eq(kind.code()))
        .select(LetterRow::as_select())
        .order(letters::id.desc())
        .limit(MOST_OF_MEMBER)
        .load(conn)
        .await?)
}

/// Letters of a kind that are about these purposes.
pub async fn of_purposes(
    conn: &mut Conn,
    kind: LetterKind,
    purposes: &[String],
) -> Result<Vec<LetterRow>, StoreError> {
    Ok(letters::table
        .filter(letters::kind.eq(kind.code()))
        .filter(letters::purpose.eq_any(purposes))
        .select(LetterRow::as_select())
        .load(conn)
        .await?)
}

/// Keeps what was answered by a link of a letter.
pub async fn keep_answer(
    conn: &mut Conn,
    id: Uuid,
    answer: LetterDeed,
    at: DateTime<Utc>,
) -> Result<(), StoreError> {
    diesel::update(letters::table.find(id))
        .set((
            letters::answer.eq(answer.code()),
            letters::answered_at.eq(at),
        ))
        .execute(conn)
        .await?;
    Ok(())
}

/// Letters of a site, newest first, before one; with `state`, only those in it.
pub async fn page(
    conn: &mut Conn,
    site: SiteId,
    state: Option<LetterState>,
    before: Option<Uuid>,
    limit: i64,
) -> Result<Vec<LetterRow>, StoreError> {
    let mut query = letters::table
        .filter(letters::site_id.eq(site.0))
        .select(LetterRow::as_select())
        .order(letters::id.desc())
        .limit(limit)
        .into_boxed();
    if let Some(state) = state {
        query = query.filter(letters::state.eq(state.code()));
    }
    if let Some(before) = before {
        query = query.filter(letters::id.lt(before));
    }
    Ok(query.load(conn).await?)
}

/// Forgets letters that were closed before an instant; says how many.
pub async fn forget_closed_before(
    conn: &mut Conn,
    before: DateTime<Utc>,
) -> Result<usize, StoreError> {
    let old = letters::table.filter(letters::closed_at.lt(before));
    Ok(diesel::delete(old).execute(conn).await?)
}
