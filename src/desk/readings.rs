//! Reading the values that came of a bin.

use super::membership::{Membership, admit};
use super::{Desk, DeskError, Errand, Page};
use crate::store::StoreError;
use crate::store::readings::{self, ReadingRow};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use uuid::Uuid;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BinId, MemberId, ProbeId, ReadingId, SiteId};
use wormrota_domain::living_bin::reading::{Quantity, SetAside, Value};

/// A value as it came.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// The value's key.
    pub id: ReadingId,
    /// The probe that measured it, if one did.
    pub probe: Option<ProbeId>,
    /// Who measured it, if somebody did.
    pub member: Option<MemberId>,
    /// The value.
    pub value: Value,
    /// Why it counts for nothing, if it does.
    pub set_aside: Option<SetAside>,
}

/// Values of a bin, newest first, before one.
pub async fn list_readings(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: BinId,
    before: Option<(DateTime<Utc>, Uuid)>,
    limit: u16,
) -> Result<Page<Reading>, DeskError> {
    desk.store()
        .read("list readings", errand, move |conn, errand| {
            async move {
                let who = admit(conn, errand, site, Deed::SeeBins).await?;
                super::bins::load(conn, site, bin).await?;
                let rows = readings::page(conn, site, bin, before, i64::from(limit) + 1).await?;
                let page = Page::cut(rows, limit);
                let items = page
                    .items
                    .iter()
                    .map(|row| reading(&who, row))
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

fn reading(who: &Membership, row: &ReadingRow) -> Result<Reading, StoreError> {
    let quantity = Quantity::from_code(&row.quantity).ok_or(StoreError::Unreadable {
        what: "readings.quantity",
    })?;
    Ok(Reading {
        id: ReadingId(row.id),
        probe: row.probe_id.map(ProbeId),
        member: who.sees(row.member_id),
        value: Value {
            at: row.measured_at,
            quantity,
            value: row.value,
        },
        set_aside: row.set_aside.as_deref().and_then(SetAside::from_code),
    })
}
