//! Who belongs to a site.

use super::membership::admit;
use super::{Desk, DeskError, Errand, Page};
use crate::store::members;
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use std::fmt;
use uuid::Uuid;
use wormrota_domain::access::{Deed, Role};
use wormrota_domain::ids::{MemberId, SiteId};

/// A person at a site. Its `Debug` output hides the name.
#[derive(Clone, PartialEq, Eq)]
pub struct Person {
    /// The key within the site.
    pub id: MemberId,
    /// The name, unless it was erased.
    pub name: Option<String>,
    /// The flat, where there are flats.
    pub flat: Option<String>,
    /// The roles.
    pub roles: Vec<Role>,
    /// Whether they can sign in.
    pub has_account: bool,
    /// Since when they belong.
    pub joined_at: DateTime<Utc>,
}

impl fmt::Debug for Person {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Person({}, {:?})", self.id, self.roles)
    }
}

/// People of a site who have not left.
pub async fn list_people(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    after: Option<Uuid>,
    limit: u16,
) -> Result<Page<Person>, DeskError> {
    desk.store()
        .read("list people", errand, move |conn, errand| {
            async move {
                admit(conn, errand, site, Deed::SeePeopleInFull).await?;
                let rows = members::people(conn, site, after, i64::from(limit) + 1).await?;
                Ok(Page::cut(rows.into_iter().map(person).collect(), limit))
            }
            .boxed()
        })
        .await
}

fn person(row: members::Person) -> Person {
    let (name, flat) = row
        .name
        .map_or((None, None), |row| (Some(row.name), row.flat));
    Person {
        id: MemberId(row.member.id),
        name,
        flat,
        roles: row.roles,
        has_account: row.member.account_id.is_some(),
        joined_at: row.member.joined_at,
    }
}
