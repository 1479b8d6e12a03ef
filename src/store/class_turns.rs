//! Turns that pupils of a class take.

use super::places::How;
use super::schema::{places, turns};
use super::turns::TurnRow;
use super::{Conn, StoreError};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::prelude::*;
use diesel::sql_query;
use diesel::sql_types::{Array, Text, Timestamptz, Uuid as SqlUuid};
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{ClassId, PlaceId, PupilId, SiteId, TurnId};

/// The turns of a class from one day to another, both included, as one comes after the other;
/// no more than `limit`.
pub async fn of_class(
    conn: &mut Conn,
    site: SiteId,
    class: ClassId,
    (from, to): (NaiveDate, NaiveDate),
    limit: i64,
) -> Result<Vec<TurnRow>, StoreError> {
    Ok(turns::table
        .filter(turns::site_id.eq(site.0))
        .filter(turns::on_date.between(from, to))
        .filter(turns::class_id.eq(class.0))
        .select(TurnRow::as_select())
        .order((turns::on_date, turns::opens.asc().nulls_first(), turns::id))
        .limit(limit)
        .load(conn)
        .await?)
}

/// The turns from a day on of which some pupils hold a place.
pub async fn held_from(
    conn: &mut Conn,
    site: SiteId,
    of: &[PupilId],
    from: NaiveDate,
) -> Result<Vec<TurnId>, StoreError> {
    let ids: Vec<Uuid> = places::table
        .inner_join(
            turns::table.on(turns::site_id
                .eq(places::site_id)
                .and(turns::id.eq(places::turn_id))),
        )
        .filter(places::site_id.eq(site.0))
        .filter(places::pupil_id.eq_any(keys(of)))
        .filter(turns::on_date.ge(from))
        .select(turns::id)
        .distinct()
        .load(conn)
        .await?;
    Ok(ids.into_iter().map(TurnId).collect())
}

/// Makes the places free that some pupils hold on some turns. The caller holds the locks of
/// these turns.
pub async fn give_back(
    conn: &mut Conn,
    site: SiteId,
    of: &[PupilId],
    on: &[TurnId],
) -> Result<(), StoreError> {
    let on: Vec<Uuid> = on.iter().map(|turn| turn.0).collect();
    diesel::update(
        places::table
            .filter(places::site_id.eq(site.0))
            .filter(places::turn_id.eq_any(on))
            .filter(places::pupil_id.eq_any(keys(of))),
    )
    .set((
        places::pupil_id.eq(None::<Uuid>),
        places::how.eq(None::<String>),
        places::kept.eq(false),
        places::held_since.eq(None::<DateTime<Utc>>),
    ))
    .execute(conn)
    .await?;
    Ok(())
}

/// Gives free places to pupils, in one statement. The caller holds the locks of their turns.
pub async fn give_by_duty(
    conn: &mut Conn,
    site: SiteId,
    given: &[(PlaceId, PupilId)],
    now: DateTime<Utc>,
) -> Result<(), StoreError> {
    let (ids, to): (Vec<Uuid>, Vec<Uuid>) =
        (given.iter().map(|(place, pupil)| (place.0, pupil.0))).unzip();
    sql_query(
        "UPDATE places SET pupil_id = given.pupil_id, how = $5, held_since = $4
         FROM unnest($2, $3) AS given (id, pupil_id)
         WHERE places.site_id = $1 AND places.id = given.id",
    )
    .bind::<SqlUuid, _>(site.0)
    .bind::<Array<SqlUuid>, _>(ids)
    .bind::<Array<SqlUuid>, _>(to)
    .bind::<Timestamptz, _>(now)
    .bind::<Text, _>(How::Duty.code())
    .execute(conn)
    .await?;
    Ok(())
}

fn keys(of: &[PupilId]) -> Vec<Uuid> {
    of.iter().map(|pupil| pupil.0).collect()
}
