//! What each member's part of a rota was when it was put up, and what follows from it.

use super::schema::rota_shares;
use super::{Conn, StoreError};
use chrono::NaiveDate;
use diesel::prelude::*;
use diesel::sql_query;
use diesel::sql_types::{BigInt, Date, Uuid as SqlUuid};
use diesel_async::RunQueryDsl;
use std::collections::BTreeMap;
use uuid::Uuid;
use wormrota_domain::ids::{MemberId, RotaId, SiteId};

/// A member's part of a rota as it is stored.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = rota_shares)]
pub struct ShareRow {
    /// The site.
    pub site_id: Uuid,
    /// The rota.
    pub rota_id: Uuid,
    /// The member.
    pub member_id: Uuid,
    /// Sixtieths of a full share.
    pub share: i16,
    /// Thousandths of effort beyond their part that they brought along.
    pub carried_milli: i64,
    /// Their part of all effort that was brought along and is held, in thousandths.
    pub fair_milli: i64,
}

/// Adds the parts of a rota.
pub async fn insert(conn: &mut Conn, rows: &[ShareRow]) -> Result<(), StoreError> {
    // Far below the 65,535 values that one statement may bind.
    for rows in rows.chunks(2_000) {
        diesel::insert_into(rota_shares::table)
            .values(rows)
            .execute(conn)
            .await?;
    }
    Ok(())
}

/// What the members of a rota brought along, in thousandths of effort.
pub async fn carried_into(
    conn: &mut Conn,
    site: SiteId,
    rota: RotaId,
) -> Result<BTreeMap<MemberId, i64>, StoreError> {
    let rows: Vec<(Uuid, i64)> = rota_shares::table
        .filter(rota_shares::site_id.eq(site.0))
        .filter(rota_shares::rota_id.eq(rota.0))
        .select((rota_shares::member_id, rota_shares::carried_milli))
        .load(conn)
        .await?;
    Ok(of_members(rows))
}

#[derive(QueryableByName)]
struct Left {
    #[diesel(sql_type = SqlUuid)]
    member_id: Uuid,
    #[diesel(sql_type = BigInt)]
    milli: i64,
}

/// What the rotas in force that end before a day leave owing, in thousandths of effort: above
/// zero for who held more than their part. What counts is who holds the places now, whoever
/// was meant to. Members that were in none of them are missing.
///
/// Whoever was excused from a place that was in their part is taken to have held it, as in
/// [`left_milli`](wormrota_domain::rota::owing::left_milli), unless the site counts every absence.
/// A place that they took on after the rota was put up was never in their part; one that a later
/// rota gave them again, and that they gave up again, was so once.
///
/// What somebody brought along into a rota is in their part of it already, so that effort and
/// part of all rotas simply add up.
pub async fn left_before(
    conn: &mut Conn,
    site: SiteId,
    day: NaiveDate,
) -> Result<BTreeMap<MemberId, i64>, StoreError> {
    let found: Vec<Left> = sql_query(
        "WITH over AS (
             SELECT site_id, id, first_day, last_day FROM rotas
             WHERE site_id = $1 AND state = 'put_up' AND last_day < $2
         ), held AS (
             SELECT over.id AS rota_id, places.member_id, sum(turns.effort) AS effort
             FROM over
             JOIN turns ON turns.site_id = over.site_id
                 AND turns.on_date BETWEEN over.first_day AND over.last_day
                 AND turns.called_off IS NULL AND turns.class_id IS NULL
             JOIN places ON places.site_id = turns.site_id AND places.turn_id = turns.id
                 AND places.member_id IS NOT NULL
             GROUP BY over.id, places.member_id
         ), excused AS (
             SELECT DISTINCT over.id AS rota_id, calls.away_id, calls.place_id, turns.effort
             FROM over
             JOIN sites ON sites.id = over.site_id AND sites.absences_cost IS NOT TRUE
             JOIN turns ON turns.site_id = over.site_id
                 AND turns.on_date BETWEEN over.first_day AND over.last_day
                 AND turns.called_off IS NULL AND turns.class_id IS NULL
             JOIN calls ON calls.site_id = turns.site_id AND calls.turn_id = turns.id
                 AND calls.excused AND calls.state <> 'withdrawn'
             JOIN places ON places.site_id = calls.site_id AND places.id = calls.place_id
                 AND places.member_id IS DISTINCT FROM calls.away_id
             WHERE EXISTS (
                 SELECT FROM rotas AS part_of
                 WHERE part_of.site_id = calls.site_id
                     AND part_of.put_up_at BETWEEN calls.held_since AND calls.created_at
                     AND turns.on_date BETWEEN part_of.first_day AND part_of.last_day
             )
         ), given_up AS (
             SELECT rota_id, away_id, sum(effort) AS effort FROM excused
             GROUP BY rota_id, away_id
         )
         SELECT part.member_id,
             sum(1000 * (coalesce(held.effort, 0) + coalesce(given_up.effort, 0))
                 - part.fair_milli)::bigint AS milli
         FROM over
         JOIN rota_shares AS part ON part.site_id = over.site_id AND part.rota_id = over.id
         LEFT JOIN held ON held.rota_id = over.id AND held.member_id = part.member_id
         LEFT JOIN given_up ON given_up.rota_id = over.id AND given_up.away_id = part.member_id
         GROUP BY part.member_id",
    )
    .bind::<SqlUuid, _>(site.0)
    .bind::<Date, _>(day)
    .load(conn)
    .await?;
    Ok(of_members(
        found.into_iter().map(|row| (row.member_id, row.milli)),
    ))
}

fn of_members(rows: impl IntoIterator<Item = (Uuid, i64)>) -> BTreeMap<MemberId, i64> {
    (rows.into_iter())
        .map(|(member, milli)| (MemberId(member), milli))
        .collect()
}
