//! How far the demo's clock stands from the wall clock.

use super::schema::demo_clock;
use super::{Conn, StoreError};
use chrono::TimeDelta;
use diesel::prelude::*;
use diesel_async::RunQueryDsl;

/// The offset; none when the demo never set one.
pub async fn offset(conn: &mut Conn) -> Result<TimeDelta, StoreError> {
    let seconds: Option<i64> = demo_clock::table
        .find(true)
        .select(demo_clock::offset_seconds)
        .first(conn)
        .await
        .optional()?;
    TimeDelta::try_seconds(seconds.unwrap_or(0)).ok_or(StoreError::Unreadable {
        what: "demo_clock.offset_seconds",
    })
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
