//! How often somebody asked in a span of time, counted by all copies of the service together.

use super::schema::allowances;
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel::upsert::excluded;
use diesel_async::RunQueryDsl;
use std::collections::BTreeMap;

/// Adds to what was used in a span and gives the new sum, which may lie above any limit.
pub async fn take(
    conn: &mut Conn,
    counted: &str,
    whom: &[u8; 32],
    period_start: DateTime<Utc>,
    how_many: i64,
) -> Result<i64, StoreError> {
    Ok(diesel::insert_into(allowances::table)
        .values((
            allowances::counted.eq(counted),
            allowances::whom.eq(whom.as_slice()),
            allowances::period_start.eq(period_start),
            allowances::used.eq(how_many),
        ))
        .on_conflict((
            allowances::counted,
            allowances::whom,
            allowances::period_start,
        ))
        .do_update()
        .set(allowances::used.eq(allowances::used + how_many))
        .returning(allowances::used)
        .get_result(conn)
        .await?)
}

/// The same for several at once, each named once; in the order of their keys, so that two who
/// do this never wait for each other.
pub async fn take_each(
    conn: &mut Conn,
    counted: &str,
    wanted: &BTreeMap<[u8; 32], u32>,
    period_start: DateTime<Utc>,
) -> Result<Vec<(Vec<u8>, i64)>, StoreError> {
    let row = |(whom, how_many): (&[u8; 32], &u32)| {
        (
            allowances::counted.eq(counted.to_owned()),
            allowances::whom.eq(whom.to_vec()),
            allowances::period_start.eq(period_start),
            allowances::used.eq(i64::from(*how_many)),
        )
    };
    let rows: Vec<_> = wanted.iter().map(row).collect();
    Ok(diesel::insert_into(allowances::table)
        .values(rows)
        .on_conflict((
            allowances::counted,
            allowances::whom,
            allowances::period_start,
        ))
        .do_update()
        .set(allowances::used.eq(allowances::used + excluded(allowances::used)))
        .returning((allowances::whom, allowances::used))
        .get_results(conn)
        .await?)
}

/// Takes some off what was used in a span.
pub async fn give_back(
    conn: &mut Conn,
    counted: &str,
    whom: &[u8; 32],
    period_start: DateTime<Utc>,
    how_many: i64,
) -> Result<(), StoreError> {
    let key = (counted, whom.as_slice(), period_start);
    let row = allowances::table
        .find(key)
        .filter(allowances::used.ge(how_many));
    diesel::update(row)
        .set(allowances::used.eq(allowances::used - how_many))
        .execute(conn)
        .await?;
    Ok(())
}

/// Forgets spans of one kind that began before an instant; says how many.
pub async fn forget_before(
    conn: &mut Conn,
    counted: &str,
    before: DateTime<Utc>,
) -> Result<usize, StoreError> {
    Ok(diesel::delete(
        allowances::table
            .filter(allowances::counted.eq(counted))
            .filter(allowances::period_start.lt(before)),
    )
    .execute(conn)
    .await?)
}
