//! Who was asked in calls, what they said, and who is asked not to be.

use super::schema::{call_answers, members};
use super::{Conn, StoreError};
use chrono::{DateTime, TimeDelta, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use std::collections::BTreeSet;
use uuid::Uuid;
use wormrota_domain::ids::{CallId, MemberId, SiteId};
use wormrota_domain::letters::LetterGroup;

/// Somebody who was asked.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable, AsChangeset)]
#[diesel(table_name = call_answers, treat_none_as_null = true)]
pub struct AnswerRow {
    /// The site.
    pub site_id: Uuid,
    /// The call.
    pub call_id: Uuid,
    /// Who.
    pub member_id: Uuid,
    /// See [`AnswerState`](wormrota_domain::cover::answer::AnswerState).
    pub state: String,
    /// When they were asked.
    pub asked_at: DateTime<Utc>,
    /// Until when the next wait for them.
    pub answer_by: DateTime<Utc>,
    /// When they answered.
    pub answered_at: Option<DateTime<Utc>>,
}

/// Everybody who was asked in some calls.
pub async fn answers_of(
    conn: &mut Conn,
    site: SiteId,
    calls: &[CallId],
) -> Result<Vec<AnswerRow>, StoreError> {
    let calls: Vec<Uuid> = calls.iter().map(|call| call.0).collect();
    Ok(call_answers::table
        .filter(call_answers::site_id.eq(site.0))
        .filter(call_answers::call_id.eq_any(calls))
        .select(AnswerRow::as_select())
        .order((
            call_answers::call_id,
            call_answers::asked_at,
            call_answers::member_id,
        ))
        .load(conn)
        .await?)
}

/// Keeps what those who were asked said, and who was asked anew.
pub async fn keep_answers(conn: &mut Conn, rows: &[AnswerRow]) -> Result<(), StoreError> {
    use diesel::upsert::excluded;
    diesel::insert_into(call_answers::table)
        .values(rows)
        .on_conflict((
            call_answers::site_id,
            call_answers::call_id,
            call_answers::member_id,
        ))
        .do_update()
        .set((
            call_answers::state.eq(excluded(call_answers::state)),
            call_answers::answered_at.eq(excluded(call_answers::answered_at)),
        ))
        .execute(conn)
        .await?;
    Ok(())
}

/// How long it counts that somebody was asked: four weeks.
const LATELY: TimeDelta = TimeDelta::days(28);

/// When each member of a site was asked in the four weeks before an instant.
pub async fn asked_lately(
    conn: &mut Conn,
    site: SiteId,
    now: DateTime<Utc>,
) -> Result<Vec<(MemberId, DateTime<Utc>)>, StoreError> {
    let rows: Vec<(Uuid, DateTime<Utc>)> = call_answers::table
        .filter(call_answers::site_id.eq(site.0))
        .filter(call_answers::asked_at.gt(now - LATELY))
        .select((call_answers::member_id, call_answers::asked_at))
        .order((call_answers::member_id, call_answers::asked_at))
        .load(conn)
        .await?;
    Ok(rows
        .into_iter()
        .map(|(member, at)| (MemberId(member), at))
        .collect())
}

/// Members of a site who want no letters about calls.
pub async fn unwilling(conn: &mut Conn, site: SiteId) -> Result<BTreeSet<MemberId>, StoreError> {
    let rows: Vec<(Uuid, Option<Vec<String>>)> = members::table
        .filter(members::site_id.eq(site.0))
        .filter(members::letters_off.is_not_null())
        .select((members::id, members::letters_off))
        .load(conn)
        .await?;
    let off = |codes: &Vec<String>| codes.iter().any(|code| code == LetterGroup::Calls.code());
    Ok(rows
        .into_iter()
        .filter(|(_, codes)| codes.as_ref().is_some_and(off))
        .map(|(member, _)| MemberId(member))
        .collect())
}
