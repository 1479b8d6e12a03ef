//! Members of a site: who they are to it, and (in a table of its own) what they are called.

use super::schema::{member_names, member_roles, members, sites};
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::access::Role;
use wormrota_domain::ids::{AccountId, MemberId, SiteId};

/// A person at a site.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = members)]
pub struct MemberRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// The account they sign in with, if any.
    pub account_id: Option<Uuid>,
    /// Since when.
    pub joined_at: DateTime<Utc>,
    /// Until when.
    pub left_at: Option<DateTime<Utc>>,
    /// With whom they share a fair share of turns.
    pub household_id: Option<Uuid>,
    /// The language that they are written to in, if not the site's.
    pub language: Option<String>,
    /// Since when they wait to be let in; they have no role until then.
    pub waiting_since: Option<DateTime<Utc>>,
    /// Since when fellow members may see their phone number for covering a turn.
    pub shares_phone_since: Option<DateTime<Utc>>,
    /// The same for their address.
    pub shares_email_since: Option<DateTime<Utc>>,
    /// Grows with every change.
    pub revision: i64,
}

/// What a person is called at a site. Its `Debug` output holds no name.
#[derive(Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = member_names)]
pub struct MemberNameRow {
    /// The site.
    pub site_id: Uuid,
    /// The member.
    pub member_id: Uuid,
    /// The name.
    pub name: String,
    /// The flat, where there are flats.
    pub flat: Option<String>,
    /// The address of somebody without an account.
    pub email_lower: Option<String>,
    /// A phone number.
    pub phone: Option<String>,
}

impl std::fmt::Debug for MemberNameRow {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "MemberNameRow({})", self.member_id)
    }
}

/// A member with name and roles, for the list of people.
#[derive(Clone, PartialEq, Eq)]
pub struct Person {
    /// The membership.
    pub member: MemberRow,
    /// The name, unless it was erased.
    pub name: Option<MemberNameRow>,
    /// The roles.
    pub roles: Vec<Role>,
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
    let roles: Vec<_> = roles
        .iter()
        .map(|role| {
            (
                member_roles::site_id.eq(member.site_id),
                member_roles::member_id.eq(member.id),
                member_roles::role.eq(role.code()),
            )
        })
        .collect();
    diesel::insert_into(member_roles::table)
        .values(roles)
        .execute(conn)
        .await?;
    diesel::insert_into(member_names::table)
        .values(name)
        .execute(conn)
        .await?;
    Ok(())
}

/// The membership of an account at a site with its roles, if there is one today: one
/// statement, since it is asked on every request.
pub async fn of_account(
    conn: &mut Conn,
    site: SiteId,
    account: AccountId,
) -> Result<Option<(MemberId, Vec<Role>)>, StoreError> {
    let rows: Vec<(Uuid, String)> = members::table
        .inner_join(
            member_roles::table.on(member_roles::site_id
                .eq(members::site_id)
                .and(member_roles::member_id.eq(members::id))),
        )
        .filter(members::site_id.eq(site.0))
        .filter(members::account_id.eq(account.0))
        .filter(members::left_at.is_null())
        .select((members::id, member_roles::role))
        .order(member_roles::role)
        .load(conn)
        .await?;
    let Some(member) = rows.as_slice().first().map(|(id, _)| MemberId(*id)) else {
        return Ok(None);
    };
    let roles = rows
        .iter()
        .map(|(_, code)| role(code))
        .collect::<Result<_, _>>()?;
    Ok(Some((member, roles)))
}

/// One membership of an account, with the site's name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MembershipOfAccount {
    /// The membership.
    pub member: MemberRow,
    /// What the site is called.
    pub site_name: String,
    /// The roles there; none while waiting to be let in.
    pub roles: Vec<Role>,
}

/// Where an account belongs today, in the order in which it joined.
pub async fn of_account_everywhere(
    conn: &mut Conn,
    account: AccountId,
) -> Result<Vec<MembershipOfAccount>, StoreError> {
    let rows: Vec<(MemberRow, String)> = members::table
        .inner_join(sites::table)
        .filter(members::account_id.eq(account.0))
        .filter(members::left_at.is_null())
        .select((MemberRow::as_select(), sites::name))
        .order((members::joined_at, members::site_id))
        .load(conn)
        .await?;
    let codes: Vec<(Uuid, Uuid, String)> = member_roles::table
        .inner_join(
            members::table.on(members::site_id
                .eq(member_roles::site_id)
                .and(members::id.eq(member_roles::member_id))),
        )
        .filter(members::account_id.eq(account.0))
        .select((
            member_roles::site_id,
            member_roles::member_id,
            member_roles::role,
        ))
        .order(member_roles::role)
        .load(conn)
        .await?;
    let of = |row: (MemberRow, String)| {
        let (member, site_name) = row;
        let roles = codes
            .iter()
            .filter(|(site, id, _)| (*site, *id) == (member.site_id, member.id))
            .map(|(_, _, code)| role(code))
            .collect::<Result<_, _>>()?;
        Ok(MembershipOfAccount {
            member,
            site_name,
            roles,
        })
    };
    rows.into_iter().map(of).collect()
}

/// People of a site who have not left, in the order of their keys, after one.
pub async fn people(
    conn: &mut Conn,
    site: SiteId,
    after: Option<Uuid>,
    limit: i64,
) -> Result<Vec<Person>, StoreError> {
    let mut query = members::table
        .left_join(
            member_names::table.on(member_names::site_id
                .eq(members::site_id)
                .and(member_names::member_id.eq(members::id))),
        )
        .filter(members::site_id.eq(site.0))
        .filter(members::left_at.is_null())
        .select((MemberRow::as_select(), Option::<MemberNameRow>::as_select()))
        .order(members::id)
        .limit(limit)
        .into_boxed();
    if let Some(after) = after {
        query = query.filter(members::id.gt(after));
    }
    let rows: Vec<(MemberRow, Option<MemberNameRow>)> = query.load(conn).await?;
    let ids: Vec<Uuid> = rows.iter().map(|(member, _)| member.id).collect();
    let roles: Vec<(Uuid, String)> = member_roles::table
        .filter(member_roles::site_id.eq(site.0))
        .filter(member_roles::member_id.eq_any(ids))
        .select((member_roles::member_id, member_roles::role))
        .order((member_roles::member_id, member_roles::role))
        .load(conn)
        .await?;
    rows.into_iter()
        .map(|(member, name)| {
            let roles = roles
                .iter()
                .filter(|(id, _)| *id == member.id)
                .map(|(_, code)| role(code))
                .collect::<Result<_, _>>()?;
            Ok(Person {
                member,
                name,
                roles,
            })
        })
        .collect()
}

fn role(code: &str) -> Result<Role, StoreError> {
    Role::from_code(code).ok_or(StoreError::Unreadable {
        what: "member_roles.role",
    })
}
