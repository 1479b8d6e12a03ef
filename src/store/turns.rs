//! Turns: one bin on one local date when something is due.

use super::schema::{places, turns};
use super::{Conn, StoreError};
use chrono::{DateTime, NaiveDate, NaiveTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use std::collections::BTreeSet;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, MemberId, SiteId, TurnId};

/// A turn as it is stored. Words are those of `wormrota_domain::turns`.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable, AsChangeset)]
#[diesel(table_name = turns, treat_none_as_null = true)]
pub struct TurnRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// The bin.
    pub bin_id: Uuid,
    /// The pattern that it comes from; none when it was added by hand.
    pub pattern_id: Option<Uuid>,
    /// The local day.
    pub on_date: NaiveDate,
    /// What is to be done.
    pub duty: String,
    /// What it costs each of those who hold a place.
    pub effort: i16,
    /// From when on, as the site counts hours.
    pub opens: Option<NaiveTime>,
    /// Until when.
    pub closes: Option<NaiveTime>,
    /// The class whose pupils take it, if one does.
    pub class_id: Option<Uuid>,
    /// Why it does not take place, if it does not.
    pub called_off: Option<String>,
    /// Whether the pattern does not want this day any more while somebody holds a place.
    pub off_pattern: bool,
    /// Since when it is known.
    pub created_at: DateTime<Utc>,
    /// Grows with every change of the turn itself.
    pub revision: i64,
}

/// Adds turns in one statement.
pub async fn insert(conn: &mut Conn, rows: &[TurnRow]) -> Result<(), StoreError> {
    // Far below the 65,535 values that one statement may bind.
    for rows in rows.chunks(2_000) {
        diesel::insert_into(turns::table)
            .values(rows)
            .execute(conn)
            .await?;
    }
    Ok(())
}

/// One turn of a site.
pub async fn by_id(
    conn: &mut Conn,
    site: SiteId,
    id: TurnId,
) -> Result<Option<TurnRow>, StoreError> {
    Ok(turns::table
        .find((site.0, id.0))
        .select(TurnRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// Locks turns until the transaction ends, always in the same order, and gives those that are
/// there. Whoever changes who holds a place of a turn holds its lock.
pub async fn lock(
    conn: &mut Conn,
    site: SiteId,
    ids: &[TurnId],
) -> Result<Vec<TurnRow>, StoreError> {
    let ids: Vec<Uuid> = ids.iter().map(|id| id.0).collect();
    Ok(turns::table
        .filter(turns::site_id.eq(site.0))
        .filter(turns::id.eq_any(ids))
        .select(TurnRow::as_select())
        .order(turns::id)
        .for_no_key_update()
        .load(conn)
        .await?)
}

/// The turns of a site from one day to another, both included, in order of day; with `bin`
/// only that one's.
pub async fn of_days(
    conn: &mut Conn,
    site: SiteId,
    bin: Option<BinId>,
    from: NaiveDate,
    to: NaiveDate,
) -> Result<Vec<TurnRow>, StoreError> {
    let mut query = turns::table
        .filter(turns::site_id.eq(site.0))
        .filter(turns::on_date.between(from, to))
        .select(TurnRow::as_select())
        .order((turns::on_date, turns::id))
        .into_boxed();
    if let Some(bin) = bin {
        query = query.filter(turns::bin_id.eq(bin.0));
    }
    Ok(query.load(conn).await?)
}

/// These turns, and those from one day to another, both included, on which one of some members
/// holds a place; in order of day.
pub async fn about(
    conn: &mut Conn,
    site: SiteId,
    these: &[TurnId],
    members: &[MemberId],
    (from, to): (NaiveDate, NaiveDate),
) -> Result<Vec<TurnRow>, StoreError> {
    let members: Vec<Uuid> = members.iter().map(|member| member.0).collect();
    let held: Vec<Uuid> = places::table
        .inner_join(
            turns::table.on(turns::site_id
                .eq(places::site_id)
                .and(turns::id.eq(places::turn_id))),
        )
        .filter(places::site_id.eq(site.0))
        .filter(places::member_id.eq_any(members))
        .filter(turns::on_date.between(from, to))
        .select(places::turn_id)
        .load(conn)
        .await?;
    let ids: BTreeSet<Uuid> = these.iter().map(|id| id.0).chain(held).collect();
    Ok(turns::table
        .filter(turns::site_id.eq(site.0))
        .filter(turns::id.eq_any(ids))
        .select(TurnRow::as_select())
        .order((turns::on_date, turns::id))
        .load(conn)
        .await?)
}

/// Writes a turn that was changed.
pub async fn update(conn: &mut Conn, row: &TurnRow) -> Result<(), StoreError> {
    diesel::update(turns::table.find((row.site_id, row.id)))
        .set(row)
        .execute(conn)
        .await?;
    Ok(())
}
