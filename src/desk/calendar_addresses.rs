//! Secret addresses at which somebody's calendar program fetches turns: their own, or those of
//! a bin. Whoever knows one reads on until its owner takes it back or leaves.

use super::credentials::{LinkFor, Links};
use super::membership::admit;
use super::{Desk, DeskError, Errand, Noun, Page};
use crate::clock;
use crate::store::calendar_addresses::{self as addresses, CalendarAddressRow};
use crate::store::{bins, members};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use std::fmt;
use uuid::Uuid;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BinId, CalendarAddressId, SiteId};

/// Addresses of one member that work.
const MOST: i64 = 20;

/// An address. Its `Debug` output hides the secret.
#[derive(Clone, PartialEq, Eq)]
pub struct CalendarAddress {
    /// The key within the site.
    pub id: CalendarAddressId,
    /// Whose turns it has; the owner's without a bin.
    pub bin: Option<BinId>,
    /// Its secret.
    pub token: String,
    /// When it was made.
    pub created_at: DateTime<Utc>,
}

impl fmt::Debug for CalendarAddress {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "CalendarAddress({})", self.id)
    }
}

impl CalendarAddress {
    fn of(row: &CalendarAddressRow, links: &Links) -> Self {
        Self {
            id: CalendarAddressId(row.id),
            bin: row.bin_id.map(BinId),
            token: links.token(LinkFor::Calendar, row.id),
            created_at: row.created_at,
        }
    }
}

/// Makes an address for the caller.
///
/// # Errors
/// [`DeskError::Conflicting`] for a bin of another site; [`DeskError::TooMany`].
pub async fn make_address(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: Option<BinId>,
) -> Result<CalendarAddressId, DeskError> {
    desk.write(
        "make a calendar address",
        errand,
        bin,
        move |conn, errand, bin| {
            async move {
                let who = admit(conn, errand, site, Deed::SeeTurns).await?;
                // So that they are counted one after the other.
                members::lock(conn, site, &[who.member]).await?;
                if let Some(bin) = *bin {
                    let known = bins::by_id(conn, site, bin).await?;
                    known.ok_or_else(|| {
                        DeskError::conflict("/bin_id", "must be a bin of this site")
                    })?;
                }
                let working = addresses::of_member(conn, site, who.member, None, MOST).await?;
                if i64::try_from(working.len()).is_ok_and(|count| count >= MOST) {
                    let what = "calendar addresses";
                    return Err(DeskError::TooMany { what });
                }
                let row = CalendarAddressRow {
                    site_id: site.0,
                    id: clock::fresh_id(),
                    member_id: who.member.0,
                    bin_id: bin.map(|bin| bin.0),
                    created_at: errand.now,
                    revoked_at: None,
                };
                addresses::insert(conn, &row).await?;
                Ok(CalendarAddressId(row.id))
            }
            .boxed()
        },
    )
    .await
}

/// The caller's addresses that work, in the order in which they were made.
pub async fn list_addresses(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    after: Option<Uuid>,
    limit: u16,
) -> Result<Page<CalendarAddress>, DeskError> {
    let rows = desk
        .store()
        .read("list calendar addresses", errand, move |conn, errand| {
            async move {
                let who = admit(conn, errand, site, Deed::SeeTurns).await?;
                let wanted = i64::from(limit) + 1;
                Ok::<_, DeskError>(
                    addresses::of_member(conn, site, who.member, after, wanted).await?,
                )
            }
            .boxed()
        })
        .await?;
    let links = &desk.credentials().links;
    let found = rows.iter().map(|row| CalendarAddress::of(row, links));
    Ok(Page::cut(found.collect(), limit))
}

/// One of them.
///
/// # Errors
/// [`DeskError::NotFound`] when the caller has no such address that works.
pub async fn see_address(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    id: CalendarAddressId,
) -> Result<CalendarAddress, DeskError> {
    let row = desk
        .store()
        .read("see a calendar address", errand, move |conn, errand| {
            async move {
                let who = admit(conn, errand, site, Deed::SeeTurns).await?;
                let row = addresses::by_link(conn, id.0).await?;
                row.filter(|row| row.site_id == site.0 && row.member_id == who.member.0)
                    .ok_or(DeskError::NotFound(Noun::CalendarAddress))
            }
            .boxed()
        })
        .await?;
    Ok(CalendarAddress::of(&row, &desk.credentials().links))
}

/// Takes one of the caller's addresses back: it has nothing from now on.
///
/// # Errors
/// [`DeskError::NotFound`] when the caller has no such address that works.
pub async fn take_address_back(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    id: CalendarAddressId,
) -> Result<(), DeskError> {
    desk.write(
        "take a calendar address back",
        errand,
        (),
        move |conn, errand, ()| {
            async move {
                let who = admit(conn, errand, site, Deed::SeeTurns).await?;
                let taken = addresses::revoke(conn, site, who.member, id, errand.now).await?;
                taken
                    .then_some(())
                    .ok_or(DeskError::NotFound(Noun::CalendarAddress))
            }
            .boxed()
        },
    )
    .await
}
