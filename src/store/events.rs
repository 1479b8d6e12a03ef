//! The spine of a bin: events, each with the state after it.
//!
//! Events are ordered by the time they tell of, then by the number under which they were
//! written. All writing here happens under the bin's lock ([`super::bins::lock`]).

use super::schema::{bin_events, bin_states};
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, EventId, SiteId};

/// Something that happened to a bin. Never changed once written.
#[derive(Debug, Clone, PartialEq, Queryable, Selectable, Insertable)]
#[diesel(table_name = bin_events)]
pub struct EventRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// The bin.
    pub bin_id: Uuid,
    /// The number under which it was written, without gaps within a bin.
    pub seq: i64,
    /// What kind of thing happened; the domain knows the words.
    pub kind: String,
    /// When it happened.
    pub occurred_at: DateTime<Utc>,
    /// When the service heard of it.
    pub recorded_at: DateTime<Utc>,
    /// Who told it, unless the service noticed by itself.
    pub member_id: Option<Uuid>,
    /// What exactly happened; ids and figures, no names.
    pub payload: serde_json::Value,
    /// The entry that this one corrects.
    pub supersedes: Option<Uuid>,
}

/// The state of a bin after an event. Can be reckoned again.
#[derive(Debug, Clone, PartialEq, Queryable, Selectable, Insertable)]
#[diesel(table_name = bin_states)]
pub struct StateRow {
    /// The site.
    pub site_id: Uuid,
    /// The event.
    pub event_id: Uuid,
    /// The bin.
    pub bin_id: Uuid,
    /// When the event happened.
    pub occurred_at: DateTime<Utc>,
    /// The number of the event.
    pub seq: i64,
    /// The state as the domain wrote it.
    pub state: serde_json::Value,
    /// The version of the model that reckoned it.
    pub model_version: i32,
    /// The revision of the model's settings.
    pub settings_revision: String,
}

/// Whether no later entry corrects the one that is looked at.
macro_rules! stands {
    () => {{
        let correction = diesel::alias!(bin_events as correction);
        let corrected = correction
            .filter(
                correction
                    .field(bin_events::site_id)
                    .eq(bin_events::site_id),
            )
            .filter(
                correction
                    .field(bin_events::supersedes)
                    .eq(bin_events::id.nullable()),
            );
        diesel::dsl::not(diesel::dsl::exists(corrected))
    }};
}

/// Appends an event.
pub async fn insert_event(conn: &mut Conn, row: &EventRow) -> Result<(), StoreError> {
    diesel::insert_into(bin_events::table)
        .values(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// One event of a bin.
pub async fn by_id(
    conn: &mut Conn,
    site: SiteId,
    bin: BinId,
    event: EventId,
) -> Result<Option<EventRow>, StoreError> {
    Ok(bin_events::table
        .find((site.0, event.0))
        .filter(bin_events::bin_id.eq(bin.0))
        .select(EventRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// The event that was written under a number, unless a later one corrects it.
pub async fn standing(
    conn: &mut Conn,
    site: SiteId,
    bin: BinId,
    seq: i64,
) -> Result<Option<EventRow>, StoreError> {
    Ok(bin_events::table
        .filter(bin_events::site_id.eq(site.0))
        .filter(bin_events::bin_id.eq(bin.0))
        .filter(bin_events::seq.eq(seq))
        .filter(stands!())
        .select(EventRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// The state after one event: with the bin's head, the newest state.
pub async fn state_at(
    conn: &mut Conn,
    site: SiteId,
    event: EventId,
) -> Result<Option<StateRow>, StoreError> {
    Ok(bin_states::table
        .find((site.0, event.0))
        .select(StateRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// The last state of events that happened before `occurred_at`, or at that instant with a
/// number below `seq`: where a replay begins.
pub async fn state_before(
    conn: &mut Conn,
    site: SiteId,
    bin: BinId,
    occurred_at: DateTime<Utc>,
    seq: i64,
) -> Result<Option<StateRow>, StoreError> {
    Ok(bin_states::table
        .filter(bin_states::site_id.eq(site.0))
        .filter(bin_states::bin_id.eq(bin.0))
        .filter(
            // The first half bounds the index scan, the second is the exact order.
            bin_states::occurred_at.le(occurred_at).and(
                bin_states::occurred_at
                    .lt(occurred_at)
                    .or(bin_states::seq.lt(seq)),
            ),
        )
        .select(StateRow::as_select())
        .order((bin_states::occurred_at.desc(), bin_states::seq.desc()))
        .first(conn)
        .await
        .optional()?)
}

/// The events from a place on the spine on, in its order, without those that a later one
/// corrects.
pub async fn counted_from(
    conn: &mut Conn,
    site: SiteId,
    bin: BinId,
    occurred_at: DateTime<Utc>,
    seq: i64,
) -> Result<Vec<EventRow>, StoreError> {
    Ok(bin_events::table
        .filter(bin_events::site_id.eq(site.0))
        .filter(bin_events::bin_id.eq(bin.0))
        .filter(
            bin_events::occurred_at.ge(occurred_at).and(
                bin_events::occurred_at
                    .gt(occurred_at)
                    .or(bin_events::seq.ge(seq)),
            ),
        )
        .filter(stands!())
        .select(EventRow::as_select())
        .order((bin_events::occurred_at, bin_events::seq))
        .load(conn)
        .await?)
}

/// A page of a bin's events of some kinds, newest first, before a point of the spine;
/// without those that a later one corrects.
pub async fn page(
    conn: &mut Conn,
    site: SiteId,
    bin: BinId,
    kinds: &[&str],
    before: Option<(DateTime<Utc>, i64)>,
    limit: i64,
) -> Result<Vec<EventRow>, StoreError> {
    let mut query = bin_events::table
        .filter(bin_events::site_id.eq(site.0))
        .filter(bin_events::bin_id.eq(bin.0))
        .filter(bin_events::kind.eq_any(kinds.to_vec()))
        .filter(stands!())
        .select(EventRow::as_select())
        .order((bin_events::occurred_at.desc(), bin_events::seq.desc()))
        .limit(limit)
        .into_boxed();
    if let Some((occurred_at, seq)) = before {
        query = query.filter(
            bin_events::occurred_at.le(occurred_at).and(
                bin_events::occurred_at
                    .lt(occurred_at)
                    .or(bin_events::seq.lt(seq)),
            ),
        );
    }
    Ok(query.load(conn).await?)
}

/// The events of one kind of some bins, from an instant to before another, in the order of time;
/// without those that a later one corrects.
pub async fn of_kind_between(
    conn: &mut Conn,
    site: SiteId,
    bins: &[BinId],
    kind: &str,
    (from, to): (DateTime<Utc>, DateTime<Utc>),
) -> Result<Vec<EventRow>, StoreError> {
    let bins: Vec<Uuid> = bins.iter().map(|bin| bin.0).collect();
    Ok(bin_events::table
        .filter(bin_events::site_id.eq(site.0))
        .filter(bin_events::bin_id.eq_any(bins))
        .filter(bin_events::occurred_at.ge(from))
        .filter(bin_events::occurred_at.lt(to))
        .filter(bin_events::kind.eq(kind))
        .filter(stands!())
        .select(EventRow::as_select())
        .order((bin_events::occurred_at, bin_events::seq))
        .load(conn)
        .await?)
}

/// Writes the state after an event.
pub async fn insert_state(conn: &mut Conn, row: &StateRow) -> Result<(), StoreError> {
    diesel::insert_into(bin_states::table)
        .values(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// Puts newly reckoned states in the place of those of the same events.
pub async fn replace_states(conn: &mut Conn, rows: &[StateRow]) -> Result<(), StoreError> {
    // A statement takes at most 65535 parameters; a state has 8.
    for chunk in rows.chunks(4_000) {
        diesel::insert_into(bin_states::table)
            .values(chunk)
            .on_conflict((bin_states::site_id, bin_states::event_id))
            .do_update()
            .set((
                bin_states::occurred_at.eq(diesel::upsert::excluded(bin_states::occurred_at)),
                bin_states::seq.eq(diesel::upsert::excluded(bin_states::seq)),
                bin_states::state.eq(diesel::upsert::excluded(bin_states::state)),
                bin_states::model_version.eq(diesel::upsert::excluded(bin_states::model_version)),
                bin_states::settings_revision
                    .eq(diesel::upsert::excluded(bin_states::settings_revision)),
            ))
            .execute(conn)
            .await?;
    }
    Ok(())
}

/// Takes away the states of events that no longer count, such as corrected ones.
pub async fn remove_states(
    conn: &mut Conn,
    site: SiteId,
    of: &[EventId],
) -> Result<(), StoreError> {
    let of: Vec<Uuid> = of.iter().map(|event| event.0).collect();
    diesel::delete(
        bin_states::table
            .filter(bin_states::site_id.eq(site.0))
            .filter(bin_states::event_id.eq_any(of)),
    )
    .execute(conn)
    .await?;
    Ok(())
}
