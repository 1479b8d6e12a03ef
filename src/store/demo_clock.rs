//! How far the demo's clock stands from the wall clock.

use super::schema::{bin_events, decisions, demo_clock};
use super::{Conn, StoreError};
use chrono::{DateTime, TimeDelta, Utc};
use diesel::dsl::max;
use diesel::prelude::*;
use diesel::upsert::excluded;
use diesel_async::RunQueryDsl;

/// The offset; none when the demo never set one.
pub async fn offset_if_set(conn: &mut Conn) -> Result<Option<TimeDelta>, StoreError> {
    let seconds: Option<i64> = demo_clock::table
        .find(true)
        .select(demo_clock::offset_seconds)
        .first(conn)
        .await
        .optional()?;
    seconds.map(span).transpose()
}

/// The offset; nothing when the demo never set one.
pub async fn offset(conn: &mut Conn) -> Result<TimeDelta, StoreError> {
    Ok(offset_if_set(conn).await?.unwrap_or_default())
}

/// Sets the offset for all copies.
pub async fn set(conn: &mut Conn, offset: TimeDelta) -> Result<(), StoreError> {
    let seconds = offset.num_seconds();
    diesel::insert_into(demo_clock::table)
        .values((
            demo_clock::only_row.eq(true),
            demo_clock::offset_seconds.eq(seconds),
        ))
        .on_conflict(demo_clock::only_row)
        .do_update()
        .set(demo_clock::offset_seconds.eq(seconds))
        .execute(conn)
        .await?;
    Ok(())
}

/// Adds to the offset for all copies and returns what it is then. One statement, so that
/// two people who move the clock at once move it twice.
pub async fn add(conn: &mut Conn, by: TimeDelta) -> Result<TimeDelta, StoreError> {
    let seconds: i64 = diesel::insert_into(demo_clock::table)
        .values((
            demo_clock::only_row.eq(true),
            demo_clock::offset_seconds.eq(by.num_seconds()),
        ))
        .on_conflict(demo_clock::only_row)
        .do_update()
        .set(
            demo_clock::offset_seconds
                .eq(demo_clock::offset_seconds + excluded(demo_clock::offset_seconds)),
        )
        .returning(demo_clock::offset_seconds)
        .get_result(conn)
        .await?;
    span(seconds)
}

/// When the newest entry or decision was written, in the time that bins live in. Reads all
/// of them: for the demo, whose history is short.
pub async fn newest_record(conn: &mut Conn) -> Result<Option<DateTime<Utc>>, StoreError> {
    let entry: Option<DateTime<Utc>> = bin_events::table
        .select(max(bin_events::recorded_at))
        .first(conn)
        .await?;
    let decision: Option<DateTime<Utc>> = decisions::table
        .select(max(decisions::decided_at))
        .first(conn)
        .await?;
    Ok(entry.max(decision))
}

fn span(seconds: i64) -> Result<TimeDelta, StoreError> {
    TimeDelta::try_seconds(seconds).ok_or(StoreError::Unreadable {
        what: "demo_clock.offset_seconds",
    })
}
