//! Bins and their trays.

use super::events::StateRow;
use super::schema::{bin_states, bins, trays};
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, EventId, SiteId};

/// A bin as it is stored.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = bins)]
pub struct BinRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// What people call it.
    pub name: String,
    /// `indoors`, `sheltered` or `outdoors`.
    pub spot: String,
    /// `trays` or `tub`.
    pub vessel: String,
    /// The surface that can be fed, in square centimetres.
    pub surface_cm2: i32,
    /// When it was added.
    pub created_at: DateTime<Utc>,
    /// When it was given up.
    pub retired_at: Option<DateTime<Utc>>,
    /// The number that the next event gets.
    pub next_seq: i64,
    /// The event whose state is the newest; none before stocking.
    pub head_event: Option<Uuid>,
}

/// One layer of a bin.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = trays)]
pub struct TrayRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// The bin.
    pub bin_id: Uuid,
    /// 1 is the lowest.
    pub position: i16,
    /// What it holds, in millilitres.
    pub volume_ml: i32,
}

/// Adds a bin with its trays; a [`StoreError::Duplicate`] when the name is taken.
pub async fn insert(conn: &mut Conn, bin: &BinRow, layers: &[TrayRow]) -> Result<(), StoreError> {
    diesel::insert_into(bins::table)
        .values(bin)
        .execute(conn)
        .await?;
    diesel::insert_into(trays::table)
        .values(layers)
        .execute(conn)
        .await?;
    Ok(())
}

/// A bin of a site.
pub async fn by_id(
    conn: &mut Conn,
    site: SiteId,
    bin: BinId,
) -> Result<Option<BinRow>, StoreError> {
    Ok(bins::table
        .find((site.0, bin.0))
        .select(BinRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// A bin, locked: whoever wants to change what is in it waits here. The lock leaves the
/// key alone, so that rows which merely refer to the bin need not wait.
pub async fn lock(conn: &mut Conn, site: SiteId, bin: BinId) -> Result<Option<BinRow>, StoreError> {
    Ok(bins::table
        .find((site.0, bin.0))
        .select(BinRow::as_select())
        .for_no_key_update()
        .first(conn)
        .await
        .optional()?)
}

/// Bins of a site in the order of their keys, after one.
pub async fn of_site(
    conn: &mut Conn,
    site: SiteId,
    after: Option<Uuid>,
    limit: i64,
) -> Result<Vec<BinRow>, StoreError> {
    let mut query = bins::table
        .filter(bins::site_id.eq(site.0))
        .select(BinRow::as_select())
        .order(bins::id)
        .limit(limit)
        .into_boxed();
    if let Some(after) = after {
        query = query.filter(bins::id.gt(after));
    }
    Ok(query.load(conn).await?)
}

/// What the bins of a site are called.
pub async fn names_of_site(
    conn: &mut Conn,
    site: SiteId,
) -> Result<Vec<(BinId, String)>, StoreError> {
    let rows: Vec<(Uuid, String)> = bins::table
        .filter(bins::site_id.eq(site.0))
        .select((bins::id, bins::name))
        .load(conn)
        .await?;
    Ok(rows
        .into_iter()
        .map(|(id, name)| (BinId(id), name))
        .collect())
}

/// The trays of some bins, lowest first.
pub async fn trays_of(
    conn: &mut Conn,
    site: SiteId,
    of: &[BinId],
) -> Result<Vec<TrayRow>, StoreError> {
    let of: Vec<Uuid> = of.iter().map(|bin| bin.0).collect();
    Ok(trays::table
        .filter(trays::site_id.eq(site.0))
        .filter(trays::bin_id.eq_any(of))
        .select(TrayRow::as_select())
        .order((trays::bin_id, trays::position))
        .load(conn)
        .await?)
}

/// Every bin of a site that is in use and stocked, with its newest state: one statement,
/// however long the histories are.
pub async fn heads_of_site(
    conn: &mut Conn,
    site: SiteId,
) -> Result<Vec<(BinRow, StateRow)>, StoreError> {
    Ok(bins::table
        .inner_join(
            bin_states::table.on(bin_states::site_id
                .eq(bins::site_id)
                .and(bins::head_event.eq(bin_states::event_id.nullable()))),
        )
        .filter(bins::site_id.eq(site.0))
        .filter(bins::retired_at.is_null())
        .select((BinRow::as_select(), StateRow::as_select()))
        .order(bins::id)
        .load(conn)
        .await?)
}

/// The bins of a site that are in use and hold worms.
pub async fn stocked(conn: &mut Conn, site: SiteId) -> Result<Vec<BinId>, StoreError> {
    let ids: Vec<Uuid> = bins::table
        .filter(bins::site_id.eq(site.0))
        .filter(bins::retired_at.is_null())
        .filter(bins::head_event.is_not_null())
        .select(bins::id)
        .load(conn)
        .await?;
    Ok(ids.into_iter().map(BinId).collect())
}

/// Takes numbers up to `next_seq` as used and makes `head` the event with the newest
/// state. Only under the bin's lock.
pub async fn set_head(
    conn: &mut Conn,
    site: SiteId,
    bin: BinId,
    next_seq: i64,
    head: Option<EventId>,
) -> Result<(), StoreError> {
    diesel::update(bins::table.find((site.0, bin.0)))
        .set((
            bins::next_seq.eq(next_seq),
            bins::head_event.eq(head.map(|event| event.0)),
        ))
        .execute(conn)
        .await?;
    Ok(())
}
