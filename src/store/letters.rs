//! What a letter needs to know: whom it goes to, and whether it still says something.

use super::schema::{account_links, accounts, invitations, member_names, members, sites};
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{AccountId, InvitationId, LinkId, SiteId};

/// An invitation with whom it invites. Its `Debug` output holds neither name nor address.
#[derive(Clone, PartialEq, Eq, Queryable)]
pub struct InvitationLetter {
    /// Until when it can be accepted.
    pub expires_at: DateTime<Utc>,
    /// When it was.
    pub accepted_at: Option<DateTime<Utc>>,
    /// When it was taken back.
    pub revoked_at: Option<DateTime<Utc>>,
    /// When the member left.
    pub left_at: Option<DateTime<Utc>>,
    /// The member's own language.
    pub language: Option<String>,
    /// What the member is called; none once it was erased.
    pub name: Option<String>,
    /// The address.
    pub email_lower: Option<String>,
    /// What the site is called.
    pub site_name: String,
    /// The language of the site.
    pub site_language: String,
    /// The zone of the site.
    pub zone: String,
}

impl std::fmt::Debug for InvitationLetter {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "InvitationLetter(until {})", self.expires_at)
    }
}

/// A link with the address of its account. Its `Debug` output holds no address.
#[derive(Clone, PartialEq, Eq, Queryable)]
pub struct LinkLetter {
    /// Whose it is.
    pub account_id: Uuid,
    /// `reset` or `sign_in`.
    pub kind: String,
    /// Until when it works.
    pub expires_at: DateTime<Utc>,
    /// When it was used.
    pub used_at: Option<DateTime<Utc>>,
    /// When it was taken back.
    pub revoked_at: Option<DateTime<Utc>>,
    /// The address.
    pub email_lower: Option<String>,
}

impl std::fmt::Debug for LinkLetter {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "LinkLetter({}, {})", self.account_id, self.kind)
    }
}

/// An invitation to a site.
pub async fn invitation(
    conn: &mut Conn,
    site: SiteId,
    id: InvitationId,
) -> Result<Option<InvitationLetter>, StoreError> {
    Ok(invitations::table
        .inner_join(
            members::table.on(members::site_id
                .eq(invitations::site_id)
                .and(members::id.eq(invitations::member_id))),
        )
        .left_join(
            member_names::table.on(member_names::site_id
                .eq(invitations::site_id)
                .and(member_names::member_id.eq(invitations::member_id))),
        )
        .inner_join(sites::table.on(sites::id.eq(invitations::site_id)))
        .filter(invitations::site_id.eq(site.0))
        .filter(invitations::id.eq(id.0))
        .select((
            invitations::expires_at,
            invitations::accepted_at,
            invitations::revoked_at,
            members::left_at,
            members::language,
            member_names::name.nullable(),
            member_names::email_lower.nullable(),
            sites::name,
            sites::language,
            sites::zone,
        ))
        .first(conn)
        .await
        .optional()?)
}

/// A link of an account.
pub async fn link(conn: &mut Conn, id: LinkId) -> Result<Option<LinkLetter>, StoreError> {
    Ok(account_links::table
        .inner_join(accounts::table.on(account_links::account_id.eq(accounts::id.nullable())))
        .filter(account_links::id.eq(id.0))
        .select((
            accounts::id,
            account_links::kind,
            account_links::expires_at,
            account_links::used_at,
            account_links::revoked_at,
            accounts::email_lower,
        ))
        .first(conn)
        .await
        .optional()?)
}

/// The language and zone in which an account is written to: those of its oldest membership.
pub async fn language_and_zone(
    conn: &mut Conn,
    account: AccountId,
) -> Result<Option<(String, String)>, StoreError> {
    let found: Option<(Option<String>, String, String)> = members::table
        .inner_join(sites::table.on(sites::id.eq(members::site_id)))
        .filter(members::account_id.eq(account.0))
        .filter(members::left_at.is_null())
        .select((members::language, sites::language, sites::zone))
        .order(members::id)
        .first(conn)
        .await
        .optional()?;
    Ok(found.map(|(own, site, zone)| (own.unwrap_or(site), zone)))
}
