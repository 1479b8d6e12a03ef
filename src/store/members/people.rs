//! People with all that is known of them.

use super::MemberRow;
use super::names::{MemberNameRow, forget_name};
use super::roles::{insert_roles, roles_of};
use super::wishes::Wishes;
use crate::store::schema::{accounts, member_names, member_roles, members};
use crate::store::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::access::Role;
use wormrota_domain::ids::{MemberId, SiteId};

/// A member with name and roles, for the list of people.
#[derive(Clone, PartialEq, Eq)]
pub struct Person {
    /// The membership.
    pub member: MemberRow,
    /// The name, unless it was erased.
    pub name: Option<MemberNameRow>,
    /// The roles.
    pub roles: Vec<Role>,
    /// The address of their account, if they have an account with one.
    pub account_email: Option<String>,
    /// Since when letters to their address come back.
    pub bounced_at: Option<DateTime<Utc>>,
    /// How they want to be written to.
    pub wishes: Wishes,
}

type PersonRow = (
    MemberRow,
    Option<MemberNameRow>,
    Option<String>,
    Option<DateTime<Utc>>,
    Wishes,
);

/// Which people of a site are wanted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Which {
    /// All who were let in.
    Members,
    /// Those let in who have one of these roles, and one more.
    InRoles(Vec<Role>, MemberId),
    /// Those who wait to be let in, since before an instant if one is given.
    Waiting(Option<DateTime<Utc>>),
    /// These, let in or waiting.
    These(Vec<Uuid>),
}

/// Adds a member with roles and a name.
pub async fn insert(
    conn: &mut Conn,
    member: &MemberRow,
    roles: &[Role],
    name: &MemberNameRow,
) -> Result<(), StoreError> {
    diesel::insert_into(members::table)
        .values(member)
        .execute(conn)
        .await?;
    insert_roles(conn, SiteId(member.site_id), MemberId(member.id), roles).await?;
    diesel::insert_into(member_names::table)
        .values(name)
        .execute(conn)
        .await?;
    Ok(())
}

/// People of a site who have not left, in the order of their keys, after one.
pub async fn people(
    conn: &mut Conn,
    site: SiteId,
    which: Which,
    after: Option<Uuid>,
    limit: i64,
) -> Result<Vec<Person>, StoreError> {
    let mut query = members::table
        .left_join(
            member_names::table.on(member_names::site_id
                .eq(members::site_id)
                .and(member_names::member_id.eq(members::id))),
        )
        .left_join(accounts::table.on(members::account_id.eq(accounts::id.nullable())))
        .filter(members::site_id.eq(site.0))
        .filter(members::left_at.is_null())
        .select((
            MemberRow::as_select(),
            Option::<MemberNameRow>::as_select(),
            accounts::email_lower.nullable(),
            members::bounced_at,
            Wishes::as_select(),
        ))
        .order(members::id)
        .limit(limit)
        .into_boxed();
    if let Some(after) = after {
        query = query.filter(members::id.gt(after));
    }
    query = match which {
        Which::Members => query.filter(members::waiting_since.is_null()),
        Which::InRoles(roles, or) => {
            let codes: Vec<&str> = roles.into_iter().map(Role::code).collect();
            let holders = member_roles::table
                .filter(member_roles::site_id.eq(site.0))
                .filter(member_roles::role.eq_any(codes))
                .select(member_roles::member_id);
            query
                .filter(members::waiting_since.is_null())
                .filter(members::id.eq_any(holders).or(members::id.eq(or.0)))
        }
        Which::Waiting(None) => query.filter(members::waiting_since.is_not_null()),
        Which::Waiting(Some(until)) => query.filter(members::waiting_since.le(until)),
        Which::These(these) => query.filter(members::id.eq_any(these)),
    };
    let rows: Vec<PersonRow> = query.load(conn).await?;
    let ids: Vec<Uuid> = rows.iter().map(|(member, ..)| member.id).collect();
    let mut roles = roles_of(conn, site, ids).await?;
    Ok(rows
        .into_iter()
        .map(|(member, name, account_email, bounced_at, wishes)| Person {
            roles: roles.remove(&member.id).unwrap_or_default(),
            member,
            name,
            account_email,
            bounced_at,
            wishes,
        })
        .collect())
}

/// Somebody at a site, let in or waiting, unless they have left.
pub async fn person(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
) -> Result<Option<Person>, StoreError> {
    let found = people(conn, site, Which::These(vec![member.0]), None, 1).await?;
    Ok(found.into_iter().next())
}

/// Takes somebody away who was never let in, and so has no history.
pub async fn remove_newcomer(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
) -> Result<(), StoreError> {
    forget_name(conn, site, member).await?;
    diesel::delete(members::table.find((site.0, member.0)))
        .execute(conn)
        .await?;
    Ok(())
}
