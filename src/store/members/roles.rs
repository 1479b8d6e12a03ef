//! Who has which roles at a site.

use crate::store::schema::{accounts, member_roles, members};
use crate::store::{Conn, StoreError};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use std::collections::BTreeMap;
use uuid::Uuid;
use wormrota_domain::access::Role;
use wormrota_domain::ids::{MemberId, SiteId};

/// The members of a site today who have one of these roles, in the order of their keys.
pub async fn in_roles(
    conn: &mut Conn,
    site: SiteId,
    roles: &[Role],
) -> Result<Vec<MemberId>, StoreError> {
    let codes: Vec<&str> = roles.iter().map(|role| role.code()).collect();
    let ids: Vec<Uuid> = members::table
        .inner_join(
            member_roles::table.on(member_roles::site_id
                .eq(members::site_id)
                .and(member_roles::member_id.eq(members::id))),
        )
        .filter(members::site_id.eq(site.0))
        .filter(members::left_at.is_null())
        .filter(members::waiting_since.is_null())
        .filter(member_roles::role.eq_any(codes))
        .select(members::id)
        .distinct()
        .order(members::id)
        .load(conn)
        .await?;
    Ok(ids.into_iter().map(MemberId).collect())
}

/// The roles of a member who belongs to the site today; none of one who does not.
pub async fn roles_today(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
) -> Result<Vec<String>, StoreError> {
    Ok(members::table
        .inner_join(
            member_roles::table.on(member_roles::site_id
                .eq(members::site_id)
                .and(member_roles::member_id.eq(members::id))),
        )
        .filter(members::site_id.eq(site.0))
        .filter(members::id.eq(member.0))
        .filter(members::left_at.is_null())
        .filter(members::waiting_since.is_null())
        .select(member_roles::role)
        .load(conn)
        .await?)
}

/// The members of a site who can sign in and were let in, with their roles.
pub async fn who_can_sign_in(
    conn: &mut Conn,
    site: SiteId,
) -> Result<Vec<(MemberId, Vec<Role>)>, StoreError> {
    let rows: Vec<(Uuid, String)> = members::table
        .inner_join(
            member_roles::table.on(member_roles::site_id
                .eq(members::site_id)
                .and(member_roles::member_id.eq(members::id))),
        )
        .filter(members::site_id.eq(site.0))
        .filter(members::left_at.is_null())
        .filter(members::waiting_since.is_null())
        .inner_join(accounts::table.on(members::account_id.eq(accounts::id.nullable())))
        // A slip opens once: whoever has no address may be shut out any day.
        .filter(accounts::email_lower.is_not_null())
        .select((members::id, member_roles::role))
        .load(conn)
        .await?;
    Ok(grouped(rows)?
        .into_iter()
        .map(|(id, roles)| (MemberId(id), roles))
        .collect())
}

/// Gives somebody these roles in the place of those they had.
pub async fn replace_roles(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
    roles: &[Role],
) -> Result<(), StoreError> {
    diesel::delete(
        member_roles::table
            .filter(member_roles::site_id.eq(site.0))
            .filter(member_roles::member_id.eq(member.0)),
    )
    .execute(conn)
    .await?;
    insert_roles(conn, site, member, roles).await
}

pub(super) async fn insert_roles(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
    roles: &[Role],
) -> Result<(), StoreError> {
    let roles: Vec<_> = roles
        .iter()
        .map(|role| {
            (
                member_roles::site_id.eq(site.0),
                member_roles::member_id.eq(member.0),
                member_roles::role.eq(role.code()),
            )
        })
        .collect();
    diesel::insert_into(member_roles::table)
        .values(roles)
        .execute(conn)
        .await?;
    Ok(())
}

pub(super) async fn roles_of(
    conn: &mut Conn,
    site: SiteId,
    ids: Vec<Uuid>,
) -> Result<BTreeMap<Uuid, Vec<Role>>, StoreError> {
    let rows: Vec<(Uuid, String)> = member_roles::table
        .filter(member_roles::site_id.eq(site.0))
        .filter(member_roles::member_id.eq_any(ids))
        .select((member_roles::member_id, member_roles::role))
        .load(conn)
        .await?;
    grouped(rows)
}

/// The roles of each, in the order of the roles.
fn grouped(rows: Vec<(Uuid, String)>) -> Result<BTreeMap<Uuid, Vec<Role>>, StoreError> {
    let mut grouped: BTreeMap<Uuid, Vec<Role>> = BTreeMap::new();
    for (id, code) in rows {
        grouped.entry(id).or_default().push(role(&code)?);
    }
    for roles in grouped.values_mut() {
        roles.sort_unstable();
    }
    Ok(grouped)
}

pub(super) fn role(code: &str) -> Result<Role, StoreError> {
    Role::from_code(code).ok_or(StoreError::Unreadable {
        what: "member_roles.role",
    })
}
