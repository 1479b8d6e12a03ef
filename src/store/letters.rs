//! Letters that are owed, and what became of them. Their life is that of
//! [`wormrota_domain::letters`].

use super::schema::letters;
use super::{Conn, StoreError};
use chrono::{DateTime, TimeDelta, Utc};
use diesel::dsl::{count_star, min, sql};
use diesel::prelude::*;
use diesel::sql_query;
use diesel::sql_types::{Array, Bool, Double, Text};
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{MemberId, SiteId, TurnId};
use wormrota_domain::letters::{LetterDeed, LetterKind, LetterState, Reason};

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
    // Far below the 65,535 values that one statement may bind.
    for rows in rows.chunks(1_000) {
        diesel::insert_into(letters::table)
            .values(rows)
            .on_conflict((letters::kind, letters::purpose))
            .do_nothing()
            .execute(conn)
            .await?;
    }
    Ok(())
}

/// Whether one of these letters of a kind was sent.
pub async fn any_sent(
    conn: &mut Conn,
    kind: LetterKind,
    purposes: &[String],
) -> Result<bool, StoreError> {
    let sent = letters::table
        .filter(letters::kind.eq(kind.code()))
        .filter(letters::purpose.eq_any(purposes))
        .filter(letters::state.eq(LetterState::Sent.code()));
    Ok(diesel::select(diesel::dsl::exists(sent))
        .get_result(conn)
        .await?)
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

/// The letters of a kind about some turns, in the order in which they were owed: those whose
/// payload names one of them as `turn`.
pub async fn about_turns(
    conn: &mut Conn,
    site: SiteId,
    kind: LetterKind,
    turns: &[TurnId],
) -> Result<Vec<LetterRow>, StoreError> {
    let turns: Vec<String> = turns.iter().map(TurnId::to_string).collect();
    let is_about = sql::<Bool>("payload ->> 'turn' = ANY (")
        .bind::<Array<Text>, _>(turns)
        .sql(")");
    Ok(letters::table
        .filter(letters::site_id.eq(site.0))
        .filter(letters::kind.eq(kind.code()))
        .filter(is_about)
        .select(LetterRow::as_select())
        .order(letters::id)
        .load(conn)
        .await?)
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

/// Lets time go by for letters that wait: they are due so much earlier. For the demo, whose
/// clock is moved.
pub async fn bring_forward(conn: &mut Conn, by: TimeDelta) -> Result<(), StoreError> {
    sql_query(
        "UPDATE letters SET due_at = due_at - make_interval(secs => $1)
         WHERE state = 'owed' AND reason IN ('quiet_hours', 'told_together')",
    )
    .bind::<Double, _>(by.as_seconds_f64())
    .execute(conn)
    .await?;
    Ok(())
}

/// How many letters wait for the end of quiet hours, and until when the first of them does.
pub async fn waiting(conn: &mut Conn) -> Result<(i64, Option<DateTime<Utc>>), StoreError> {
    Ok(letters::table
        .filter(letters::state.eq(LetterState::Owed.code()))
        .filter(letters::reason.eq(Reason::QuietHours.code()))
        .select((count_star(), min(letters::due_at)))
        .first(conn)
        .await?)
}

/// Looks again now at letters of a site that wait for the end of its quiet hours: they are
/// others.
pub async fn wake(conn: &mut Conn, site: SiteId, wall: DateTime<Utc>) -> Result<(), StoreError> {
    // Those that are told together with another one wait as long as that one does.
    let reasons = [Reason::QuietHours.code(), Reason::ToldTogether.code()];
    let waiting = letters::table
        .filter(letters::site_id.eq(site.0))
        .filter(letters::state.eq(LetterState::Owed.code()))
        .filter(letters::reason.eq_any(reasons));
    diesel::update(waiting)
        .set(letters::due_at.eq(wall))
        .execute(conn)
        .await?;
    Ok(())
}

/// Forgets letters that were closed before an instant; says how many.
pub async fn forget_closed_before(
    conn: &mut Conn,
    before: DateTime<Utc>,
) -> Result<usize, StoreError> {
    let old = letters::table.filter(letters::closed_at.lt(before));
    Ok(diesel::delete(old).execute(conn).await?)
}
