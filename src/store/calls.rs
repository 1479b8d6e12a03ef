//! Calls for somebody who comes in the stead of who is away, or to a place that nobody held, and
//! who was asked. Their life is that of [`wormrota_domain::cover::call`].

use super::schema::{call_answers, calls, turns};
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel::sql_query;
use diesel::sql_types::{Timestamptz, Uuid as SqlUuid};
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, CallId, MemberId, PlaceId, SiteId, TurnId};

/// A call as it is stored.
#[derive(Debug, Clone, PartialEq, Queryable, Selectable, Insertable, AsChangeset)]
#[diesel(table_name = calls, treat_none_as_null = true)]
pub struct CallRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// The turn.
    pub turn_id: Uuid,
    /// The place.
    pub place_id: Uuid,
    /// Who cannot come; none where nobody ever held the place.
    pub away_id: Option<Uuid>,
    /// For which absence, if for one.
    pub absence_id: Option<Uuid>,
    /// Since when they held it.
    pub held_since: Option<DateTime<Utc>>,
    /// Whether it costs them nothing.
    pub excused: bool,
    /// Whether a keeper wants it taken though the bin could do without.
    pub wanted: bool,
    /// See [`CallState`](wormrota_domain::cover::call::CallState).
    pub state: String,
    /// Whether the bin needs the turn, and what that was reckoned from.
    pub need: Option<serde_json::Value>,
    /// The last instant at which somebody must have come.
    pub deadline_at: Option<DateTime<Utc>>,
    /// From then on it is too late to come.
    pub turn_at: DateTime<Utc>,
    /// Until then a helper can give the place back.
    pub settled_at: DateTime<Utc>,
    /// Who comes.
    pub helper_id: Option<Uuid>,
    /// When the service looks at it next.
    pub look_at: Option<DateTime<Utc>>,
    /// Since when there is it.
    pub created_at: DateTime<Utc>,
    /// Since when it is over.
    pub closed_at: Option<DateTime<Utc>>,
    /// How they had come to hold it, as [`How`](super::places::How); none where an older program
    /// began the call.
    pub held_how: Option<String>,
    /// Whether the planner left it alone then.
    pub held_kept: Option<bool>,
}

/// Adds calls.
pub async fn insert(conn: &mut Conn, rows: &[CallRow]) -> Result<(), StoreError> {
    diesel::insert_into(calls::table)
        .values(rows)
        .execute(conn)
        .await?;
    Ok(())
}

/// Writes every column of a call but its key.
pub async fn update(conn: &mut Conn, row: &CallRow) -> Result<(), StoreError> {
    diesel::update(calls::table.find((row.site_id, row.id)))
        .set(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// A call. Whoever changes it holds the lock of its turn.
pub async fn by_id(
    conn: &mut Conn,
    site: SiteId,
    id: CallId,
) -> Result<Option<CallRow>, StoreError> {
    Ok(calls::table
        .find((site.0, id.0))
        .select(CallRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// The calls of some places that are not over.
pub async fn of_places(
    conn: &mut Conn,
    site: SiteId,
    places: &[PlaceId],
) -> Result<Vec<CallRow>, StoreError> {
    let places: Vec<Uuid> = places.iter().map(|place| place.0).collect();
    Ok(calls::table
        .filter(calls::site_id.eq(site.0))
        .filter(calls::place_id.eq_any(places))
        .filter(calls::closed_at.is_null())
        .select(CallRow::as_select())
        .order(calls::id)
        .load(conn)
        .await?)
}

/// The calls of some turns that are not over.
pub async fn of_turns(
    conn: &mut Conn,
    site: SiteId,
    turns: &[TurnId],
) -> Result<Vec<CallRow>, StoreError> {
    let turns: Vec<Uuid> = turns.iter().map(|turn| turn.0).collect();
    Ok(calls::table
        .filter(calls::site_id.eq(site.0))
        .filter(calls::turn_id.eq_any(turns))
        .filter(calls::closed_at.is_null())
        .select(CallRow::as_select())
        .order(calls::id)
        .load(conn)
        .await?)
}

/// The calls of a bin whose turns are to come, the earliest turn first.
pub async fn of_bin(
    conn: &mut Conn,
    site: SiteId,
    bin: BinId,
    now: DateTime<Utc>,
) -> Result<Vec<CallRow>, StoreError> {
    let of_bin = turns::table
        .filter(turns::site_id.eq(site.0))
        .filter(turns::bin_id.eq(bin.0))
        .select(turns::id);
    Ok(calls::table
        .filter(calls::site_id.eq(site.0))
        .filter(calls::turn_at.gt(now))
        .filter(calls::turn_id.eq_any(of_bin))
        .select(CallRow::as_select())
        .order((calls::turn_at, calls::id))
        .load(conn)
        .await?)
}

/// All calls of a turn, the oldest first.
pub async fn all_of_turn(
    conn: &mut Conn,
    site: SiteId,
    turn: TurnId,
) -> Result<Vec<CallRow>, StoreError> {
    Ok(calls::table
        .filter(calls::site_id.eq(site.0))
        .filter(calls::turn_id.eq(turn.0))
        .select(CallRow::as_select())
        .order(calls::id)
        .load(conn)
        .await?)
}

/// The calls for an absence that are not over.
pub async fn of_absence(
    conn: &mut Conn,
    site: SiteId,
    absence: Uuid,
) -> Result<Vec<CallRow>, StoreError> {
    Ok(calls::table
        .filter(calls::site_id.eq(site.0))
        .filter(calls::absence_id.eq(absence))
        .filter(calls::closed_at.is_null())
        .select(CallRow::as_select())
        .order(calls::id)
        .load(conn)
        .await?)
}

/// Calls of a site that are to be looked at by `now`, the longest waiting first.
pub async fn to_look_at(
    conn: &mut Conn,
    site: SiteId,
    now: DateTime<Utc>,
    limit: i64,
) -> Result<Vec<(CallId, TurnId)>, StoreError> {
    let rows: Vec<(Uuid, Uuid)> = calls::table
        .filter(calls::site_id.eq(site.0))
        .filter(calls::look_at.le(now))
        .select((calls::id, calls::turn_id))
        .order((calls::look_at, calls::id))
        .limit(limit)
        .load(conn)
        .await?;
    Ok(rows
        .into_iter()
        .map(|(call, turn)| (CallId(call), TurnId(turn)))
        .collect())
}

/// Calls of a site, newest first, before one; with `about`, only those that the member cannot
/// come to, helps in or was asked in.
pub async fn page(
    conn: &mut Conn,
    site: SiteId,
    about: Option<MemberId>,
    before: Option<Uuid>,
    limit: i64,
) -> Result<Vec<CallRow>, StoreError> {
    let mut query = calls::table
        .filter(calls::site_id.eq(site.0))
        .select(CallRow::as_select())
        .order(calls::id.desc())
        .limit(limit)
        .into_boxed();
    if let Some(member) = about {
        let asked = call_answers::table
            .filter(call_answers::site_id.eq(site.0))
            .filter(call_answers::member_id.eq(member.0))
            .select(call_answers::call_id);
        query = query.filter(
            calls::away_id
                .eq(member.0)
                .or(calls::helper_id.eq(member.0))
                .or(calls::id.eq_any(asked)),
        );
    }
    if let Some(before) = before {
        query = query.filter(calls::id.lt(before));
    }
    Ok(query.load(conn).await?)
}

/// Puts off a call that could not be looked at, so that it stops no other.
pub async fn put_off(
    conn: &mut Conn,
    site: SiteId,
    id: CallId,
    until: DateTime<Utc>,
) -> Result<(), StoreError> {
    diesel::update(calls::table.find((site.0, id.0)))
        .set(calls::look_at.eq(Some(until)))
        .execute(conn)
        .await?;
    Ok(())
}

/// Says for the calls of an absence whether it costs its member nothing.
pub async fn excuse(
    conn: &mut Conn,
    site: SiteId,
    absence: Uuid,
    excused: bool,
) -> Result<(), StoreError> {
    diesel::update(
        calls::table
            .filter(calls::site_id.eq(site.0))
            .filter(calls::absence_id.eq(absence)),
    )
    .set(calls::excused.eq(excused))
    .execute(conn)
    .await?;
    Ok(())
}

/// Lets the calls of a bin be looked at whose place nobody has, but for those that somebody is
/// changing this moment: they look for themselves.
pub async fn look_at_bin(
    conn: &mut Conn,
    site: SiteId,
    bin: BinId,
    now: DateTime<Utc>,
) -> Result<(), StoreError> {
    sql_query(
        "UPDATE calls SET look_at = $3 WHERE site_id = $1 AND id IN (
             SELECT calls.id FROM calls
             JOIN turns ON turns.site_id = calls.site_id AND turns.id = calls.turn_id
             WHERE calls.site_id = $1 AND turns.bin_id = $2 AND calls.closed_at IS NULL
                 AND calls.state IN ('open', 'nobody', 'left_empty') AND calls.look_at > $3
                 AND calls.need IS NOT NULL
             FOR UPDATE OF calls SKIP LOCKED
         )",
    )
    .bind::<SqlUuid, _>(site.0)
    .bind::<SqlUuid, _>(bin.0)
    .bind::<Timestamptz, _>(now)
    .execute(conn)
    .await?;
    Ok(())
}
