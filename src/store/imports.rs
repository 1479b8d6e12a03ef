//! Many people at once: every table that an import writes to, in a few statements.

use super::audit::AuditRow;
use super::invitations::InvitationRow;
use super::letters::{self, LetterRow};
use super::members::{MemberNameRow, MemberRow};
use super::schema::{
    accounts, audit, households, invitations, member_names, member_roles, members,
};
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use wormrota_domain::access::Role;
use wormrota_domain::ids::{HouseholdId, MemberId, SiteId};

/// Rows of one statement: a row has at most 16 values, and Postgres takes 65,535 in one.
const AT_ONCE: usize = 1_000;

/// What an import writes.
#[derive(Debug, Default)]
pub struct Everything {
    /// Households that are new.
    pub households: Vec<(HouseholdId, DateTime<Utc>)>,
    /// The members.
    pub members: Vec<MemberRow>,
    /// Their roles.
    pub roles: Vec<(MemberId, Role)>,
    /// Their names.
    pub names: Vec<MemberNameRow>,
    /// Invitations to those with an address.
    pub invitations: Vec<InvitationRow>,
    /// Letters to them.
    pub letters: Vec<LetterRow>,
    /// The trail.
    pub trail: Vec<AuditRow>,
}

/// Writes all of it, the trail last.
pub async fn insert(conn: &mut Conn, site: SiteId, all: &Everything) -> Result<(), StoreError> {
    for some in all.households.chunks(AT_ONCE) {
        let rows: Vec<_> = some
            .iter()
            .map(|(id, at)| {
                (
                    households::site_id.eq(site.0),
                    households::id.eq(id.0),
                    households::created_at.eq(*at),
                )
            })
            .collect();
        diesel::insert_into(households::table)
            .values(rows)
            .execute(conn)
            .await?;
    }
    for some in all.members.chunks(AT_ONCE) {
        diesel::insert_into(members::table)
            .values(some)
            .execute(conn)
            .await?;
    }
    for some in all.roles.chunks(AT_ONCE) {
        let rows: Vec<_> = some
            .iter()
            .map(|(member, role)| {
                (
                    member_roles::site_id.eq(site.0),
                    member_roles::member_id.eq(member.0),
                    member_roles::role.eq(role.code()),
                )
            })
            .collect();
        diesel::insert_into(member_roles::table)
            .values(rows)
            .execute(conn)
            .await?;
    }
    for some in all.names.chunks(AT_ONCE) {
        diesel::insert_into(member_names::table)
            .values(some)
            .execute(conn)
            .await?;
    }
    for some in all.invitations.chunks(AT_ONCE) {
        diesel::insert_into(invitations::table)
            .values(some)
            .execute(conn)
            .await?;
    }
    for some in all.letters.chunks(AT_ONCE) {
        letters::owe(conn, some).await?;
    }
    for some in all.trail.chunks(AT_ONCE) {
        diesel::insert_into(audit::table)
            .values(some)
            .execute(conn)
            .await?;
    }
    Ok(())
}

/// Which of these addresses, given in lower case, belong to members of a site today.
pub async fn addresses_taken(
    conn: &mut Conn,
    site: SiteId,
    emails: &[String],
) -> Result<Vec<String>, StoreError> {
    let named: Vec<Option<String>> = members::table
        .inner_join(
            member_names::table.on(member_names::site_id
                .eq(members::site_id)
                .and(member_names::member_id.eq(members::id))),
        )
        .filter(members::site_id.eq(site.0))
        .filter(members::left_at.is_null())
        .filter(member_names::email_lower.eq_any(emails))
        .select(member_names::email_lower)
        .load(conn)
        .await?;
    let signing_in: Vec<Option<String>> = members::table
        .inner_join(accounts::table.on(members::account_id.eq(accounts::id.nullable())))
        .filter(members::site_id.eq(site.0))
        .filter(members::left_at.is_null())
        .filter(accounts::email_lower.eq_any(emails))
        .select(accounts::email_lower)
        .load(conn)
        .await?;
    Ok(named.into_iter().chain(signing_in).flatten().collect())
}
