//! Households: residents of a flat share one fair share of turns.

use super::membership::admit;
use super::people::neighbours_see;
use super::{Desk, DeskError, Errand, Page};
use crate::clock;
use crate::store::{Conn, households, members};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use std::fmt;
use uuid::Uuid;
use wormrota_domain::access::{Deed, Role};
use wormrota_domain::ids::{HouseholdId, MemberId, SiteId};
use wormrota_domain::site::{NeighboursSee, flat_key};

/// A household as a member sees it. Its `Debug` output hides the flat.
#[derive(Clone, PartialEq, Eq)]
pub struct Household {
    /// The key within the site.
    pub id: HouseholdId,
    /// Who belongs to it today; at least one.
    pub members: Vec<MemberId>,
    /// The flat, for whoever looks after the site.
    pub flat: Option<String>,
}

impl fmt::Debug for Household {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Household({}, {:?})", self.id, self.members)
    }
}

/// The households of a site. Residents see their own, or all of them where the site lets
/// them see who lives where.
pub async fn list_households(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    after: Option<Uuid>,
    limit: u16,
) -> Result<Page<Household>, DeskError> {
    desk.store()
        .read("list households", errand, move |conn, errand| {
            async move {
                let who = admit(conn, errand, site, Deed::SeePeople).await?;
                let in_full = who.may(Deed::SeePeopleInFull);
                let all =
                    in_full || neighbours_see(conn, site).await? == NeighboursSee::NamesAndFlats;
                let own = members::person(conn, site, who.member).await?;
                let own = own.and_then(|own| own.member.household_id);
                let only = match (all, own) {
                    (true, _) => None,
                    (false, Some(own)) => Some(HouseholdId(own)),
                    (false, None) => return Ok(Page::cut(Vec::new(), limit)),
                };
                let rows = households::page(conn, site, only, after, i64::from(limit) + 1).await?;
                let seen = rows
                    .into_iter()
                    .map(|row| Household {
                        id: row.id,
                        members: row.members,
                        flat: row.flat.filter(|_| in_full),
                    })
                    .collect();
                Ok(Page::cut(seen, limit))
            }
            .boxed()
        })
        .await
}

/// The household of a flat's residents today, or a new one where nobody lives yet. Flats
/// are compared by [`flat_key`]. The caller holds the site's lock.
pub(super) async fn of_flat(
    conn: &mut Conn,
    site: SiteId,
    flat: &str,
    now: DateTime<Utc>,
) -> Result<HouseholdId, DeskError> {
    let key = flat_key(flat);
    let lived_in = households::flats(conn, site).await?;
    let found = lived_in.iter().find(|(known, _)| flat_key(known) == key);
    if let Some((_, household)) = found {
        return Ok(*household);
    }
    let fresh = HouseholdId(clock::fresh_id());
    households::insert(conn, site, fresh, now).await?;
    Ok(fresh)
}

/// Where somebody belongs: with the residents of their flat, if they are a resident and
/// have one.
pub(super) async fn home_of(
    conn: &mut Conn,
    site: SiteId,
    roles: &[Role],
    flat: Option<&str>,
    now: DateTime<Utc>,
) -> Result<Option<HouseholdId>, DeskError> {
    match flat {
        Some(flat) if roles.contains(&Role::Resident) => {
            Ok(Some(of_flat(conn, site, flat, now).await?))
        }
        _ => Ok(None),
    }
}
