//! Households: residents of a flat. The flat itself stands with people's names.

use super::schema::{households, member_names, member_roles, members};
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::access::Role;
use wormrota_domain::ids::{HouseholdId, MemberId, SiteId};

/// A household with the people in it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Household {
    /// The key within the site.
    pub id: HouseholdId,
    /// Who belongs to it today; at least one.
    pub members: Vec<MemberId>,
    /// The flat that they live in.
    pub flat: Option<String>,
}

/// Adds a household.
pub async fn insert(
    conn: &mut Conn,
    site: SiteId,
    id: HouseholdId,
    now: DateTime<Utc>,
) -> Result<(), StoreError> {
    diesel::insert_into(households::table)
        .values((
            households::site_id.eq(site.0),
            households::id.eq(id.0),
            households::created_at.eq(now),
        ))
        .execute(conn)
        .await?;
    Ok(())
}

/// The flats that residents of a site live in today, as they are written, each with its
/// household; the oldest household first.
pub async fn flats(
    conn: &mut Conn,
    site: SiteId,
) -> Result<Vec<(String, HouseholdId)>, StoreError> {
    let rows: Vec<(Option<String>, Option<Uuid>)> = members::table
        .inner_join(
            member_names::table.on(member_names::site_id
                .eq(members::site_id)
                .and(member_names::member_id.eq(members::id))),
        )
        .inner_join(
            member_roles::table.on(member_roles::site_id
                .eq(members::site_id)
                .and(member_roles::member_id.eq(members::id))),
        )
        .filter(members::site_id.eq(site.0))
        .filter(members::left_at.is_null())
        .filter(members::waiting_since.is_null())
        .filter(members::household_id.is_not_null())
        .filter(member_roles::role.eq(Role::Resident.code()))
        .filter(member_names::flat.is_not_null())
        .select((member_names::flat, members::household_id))
        .order((members::household_id, members::id))
        .load(conn)
        .await?;
    Ok(rows
        .into_iter()
        .filter_map(|(flat, household)| Some((flat?, HouseholdId(household?))))
        .collect())
}

/// The households of a site that have anybody in them, in the order of their keys, after
/// one; only one of them where `only` names it.
pub async fn page(
    conn: &mut Conn,
    site: SiteId,
    only: Option<HouseholdId>,
    after: Option<Uuid>,
    limit: i64,
) -> Result<Vec<Household>, StoreError> {
    let lived_in = members::table
        .filter(members::site_id.eq(households::site_id))
        .filter(members::household_id.eq(households::id.nullable()))
        .filter(members::left_at.is_null());
    let mut query = households::table
        .filter(households::site_id.eq(site.0))
        .filter(diesel::dsl::exists(lived_in))
        .select(households::id)
        .order(households::id)
        .limit(limit)
        .into_boxed();
    if let Some(after) = after {
        query = query.filter(households::id.gt(after));
    }
    if let Some(only) = only {
        query = query.filter(households::id.eq(only.0));
    }
    let ids: Vec<Uuid> = query.load(conn).await?;
    let people: Vec<(Option<Uuid>, Uuid, Option<String>)> = members::table
        .left_join(
            member_names::table.on(member_names::site_id
                .eq(members::site_id)
                .and(member_names::member_id.eq(members::id))),
        )
        .filter(members::site_id.eq(site.0))
        .filter(members::household_id.eq_any(ids.clone()))
        .filter(members::left_at.is_null())
        .select((
            members::household_id,
            members::id,
            member_names::flat.nullable(),
        ))
        .order(members::id)
        .load(conn)
        .await?;
    Ok(ids
        .into_iter()
        .map(|id| {
            let of_it = || people.iter().filter(move |(of, _, _)| *of == Some(id));
            Household {
                id: HouseholdId(id),
                members: of_it().map(|(_, member, _)| MemberId(*member)).collect(),
                flat: of_it().find_map(|(_, _, flat)| flat.clone()),
            }
        })
        .collect())
}
