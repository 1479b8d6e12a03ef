//! Where accounts belong.

use super::MemberRow;
use super::roles::role;
use crate::store::schema::{accounts, member_names, member_roles, members, sites};
use crate::store::{Conn, StoreError};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::access::Role;
use wormrota_domain::ids::{AccountId, MemberId, SiteId};

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
        .load(conn)
        .await?;
    let Some(member) = rows.as_slice().first().map(|(id, _)| MemberId(*id)) else {
        return Ok(None);
    };
    let mut roles = rows
        .iter()
        .map(|(_, code)| role(code))
        .collect::<Result<Vec<_>, _>>()?;
    roles.sort_unstable();
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

/// The membership of an account at a site today, let in or waiting.
pub async fn anyhow_of_account(
    conn: &mut Conn,
    site: SiteId,
    account: AccountId,
) -> Result<Option<MemberId>, StoreError> {
    let id: Option<Uuid> = members::table
        .filter(members::site_id.eq(site.0))
        .filter(members::account_id.eq(account.0))
        .filter(members::left_at.is_null())
        .select(members::id)
        .first(conn)
        .await
        .optional()?;
    Ok(id.map(MemberId))
}

/// Who has an address at a site today, let in or waiting: as that of their account, or as
/// their own without one.
pub async fn with_address(
    conn: &mut Conn,
    site: SiteId,
    email_lower: &str,
) -> Result<Option<MemberId>, StoreError> {
    let id: Option<Uuid> = members::table
        .left_join(
            member_names::table.on(member_names::site_id
                .eq(members::site_id)
                .and(member_names::member_id.eq(members::id))),
        )
        .left_join(accounts::table.on(members::account_id.eq(accounts::id.nullable())))
        .filter(members::site_id.eq(site.0))
        .filter(members::left_at.is_null())
        .filter(
            member_names::email_lower
                .eq(email_lower)
                .or(accounts::email_lower.eq(email_lower)),
        )
        .select(members::id)
        .order(members::id)
        .first(conn)
        .await
        .optional()?;
    Ok(id.map(MemberId))
}

/// Whether an account belongs to any other site today, or waits there.
pub async fn belongs_elsewhere(
    conn: &mut Conn,
    account: AccountId,
    site: SiteId,
) -> Result<bool, StoreError> {
    let others = members::table
        .filter(members::account_id.eq(account.0))
        .filter(members::site_id.ne(site.0))
        .filter(members::left_at.is_null());
    Ok(diesel::select(diesel::dsl::exists(others))
        .get_result(conn)
        .await?)
}
