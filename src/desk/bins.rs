//! Reading bins.

use super::membership::admit;
use super::{Desk, DeskError, Errand, Noun, Page};
use crate::store::bins::{self, BinRow, TrayRow};
use crate::store::{Conn, StoreError};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use uuid::Uuid;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BinId, SiteId, TrayId};
use wormrota_domain::site::{Spot, Vessel};

/// A bin.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bin {
    /// The key within the site.
    pub id: BinId,
    /// What people call it.
    pub name: String,
    /// Where it stands.
    pub spot: Spot,
    /// How it is made.
    pub vessel: Vessel,
    /// The surface that can be fed, in square centimetres.
    pub surface_cm2: i32,
    /// Its layers, lowest first; a tub has one.
    pub trays: Vec<Tray>,
    /// When it was added.
    pub created_at: DateTime<Utc>,
    /// When it was given up.
    pub retired_at: Option<DateTime<Utc>>,
    /// Whether worms live in it.
    pub is_stocked: bool,
}

/// One layer of a bin.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tray {
    /// The key within the site.
    pub id: TrayId,
    /// 1 is the lowest.
    pub position: i16,
    /// What it holds, in millilitres.
    pub volume_ml: i32,
}

/// Bins of a site.
pub async fn list_bins(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    after: Option<Uuid>,
    limit: u16,
) -> Result<Page<Bin>, DeskError> {
    desk.store()
        .read("list bins", errand, move |conn, errand| {
            async move {
                admit(conn, errand, site, Deed::SeeBins).await?;
                let rows = bins::of_site(conn, site, after, i64::from(limit) + 1).await?;
                let page = Page::cut(rows, limit);
                let ids: Vec<_> = page.items.iter().map(|row| BinId(row.id)).collect();
                let trays = bins::trays_of(conn, site, &ids).await?;
                let items = page
                    .items
                    .into_iter()
                    .map(|row| bin(row, &trays))
                    .collect::<Result<_, _>>()?;
                Ok(Page {
                    items,
                    more: page.more,
                })
            }
            .boxed()
        })
        .await
}

/// One bin.
pub async fn see_bin(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    id: BinId,
) -> Result<Bin, DeskError> {
    desk.store()
        .read("see a bin", errand, move |conn, errand| {
            async move {
                admit(conn, errand, site, Deed::SeeBins).await?;
                load(conn, site, id).await
            }
            .boxed()
        })
        .await
}

/// One bin, for use cases that let the caller in already.
pub async fn load(conn: &mut Conn, site: SiteId, id: BinId) -> Result<Bin, DeskError> {
    let row = bins::by_id(conn, site, id)
        .await?
        .ok_or(DeskError::NotFound(Noun::Bin))?;
    let trays = bins::trays_of(conn, site, &[id]).await?;
    Ok(bin(row, &trays)?)
}

/// A row as a value; `trays` may hold those of other bins too.
pub fn bin(row: BinRow, trays: &[TrayRow]) -> Result<Bin, StoreError> {
    Ok(Bin {
        id: BinId(row.id),
        spot: Spot::from_code(&row.spot).ok_or(StoreError::Unreadable { what: "bins.spot" })?,
        vessel: Vessel::from_code(&row.vessel).ok_or(StoreError::Unreadable {
            what: "bins.vessel",
        })?,
        surface_cm2: row.surface_cm2,
        trays: trays
            .iter()
            .filter(|tray| tray.bin_id == row.id)
            .map(|tray| Tray {
                id: TrayId(tray.id),
                position: tray.position,
                volume_ml: tray.volume_ml,
            })
            .collect(),
        name: row.name,
        created_at: row.created_at,
        retired_at: row.retired_at,
        is_stocked: row.head_event.is_some(),
    })
}
