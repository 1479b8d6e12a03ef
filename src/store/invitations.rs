//! Invitations: who was asked to join, and what became of it.

use super::schema::invitations;
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{InvitationId, MemberId, SiteId};

/// An invitation as it is stored.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = invitations)]
pub struct InvitationRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// Who is invited.
    pub member_id: Uuid,
    /// Who invited them.
    pub invited_by: Uuid,
    /// When.
    pub created_at: DateTime<Utc>,
    /// Until when the link works.
    pub expires_at: DateTime<Utc>,
    /// When it was accepted.
    pub accepted_at: Option<DateTime<Utc>>,
    /// When it was taken back, or another took its place.
    pub revoked_at: Option<DateTime<Utc>>,
}

impl InvitationRow {
    /// Whether its link works at an instant.
    #[must_use]
    pub fn is_open_at(&self, now: DateTime<Utc>) -> bool {
        self.accepted_at.is_none() && self.revoked_at.is_none() && self.expires_at > now
    }
}

/// Adds an invitation; a [`StoreError::Duplicate`] when the member has an open one.
pub async fn insert(conn: &mut Conn, row: &InvitationRow) -> Result<(), StoreError> {
    diesel::insert_into(invitations::table)
        .values(row)
        .execute(conn)
        .await?;
    Ok(())
}

/// An invitation of a site.
pub async fn by_id(
    conn: &mut Conn,
    site: SiteId,
    id: InvitationId,
) -> Result<Option<InvitationRow>, StoreError> {
    Ok(invitations::table
        .find((site.0, id.0))
        .select(InvitationRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// The invitation that a link names: a link knows no site.
pub async fn by_link(conn: &mut Conn, id: Uuid) -> Result<Option<InvitationRow>, StoreError> {
    Ok(invitations::table
        .filter(invitations::id.eq(id))
        .select(InvitationRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// Invitations of a site, newest first, before one.
pub async fn page(
    conn: &mut Conn,
    site: SiteId,
    before: Option<Uuid>,
    limit: i64,
) -> Result<Vec<InvitationRow>, StoreError> {
    let mut query = invitations::table
        .filter(invitations::site_id.eq(site.0))
        .select(InvitationRow::as_select())
        .order(invitations::id.desc())
        .limit(limit)
        .into_boxed();
    if let Some(before) = before {
        query = query.filter(invitations::id.lt(before));
    }
    Ok(query.load(conn).await?)
}

/// Takes an invitation as accepted, if it is open at `at`; false when it is not. Of two who
/// come at once only one gets through.
pub async fn accept(
    conn: &mut Conn,
    site: SiteId,
    id: InvitationId,
    at: DateTime<Utc>,
) -> Result<bool, StoreError> {
    let open = invitations::table
        .find((site.0, id.0))
        .filter(invitations::accepted_at.is_null())
        .filter(invitations::revoked_at.is_null())
        .filter(invitations::expires_at.gt(at));
    let changed = diesel::update(open)
        .set(invitations::accepted_at.eq(at))
        .execute(conn)
        .await?;
    Ok(changed == 1)
}

/// Takes back the open invitation of a member, if there is one; says which it was.
pub async fn revoke_of(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
    at: DateTime<Utc>,
) -> Result<Option<InvitationId>, StoreError> {
    let open = invitations::table
        .filter(invitations::site_id.eq(site.0))
        .filter(invitations::member_id.eq(member.0))
        .filter(invitations::accepted_at.is_null())
        .filter(invitations::revoked_at.is_null());
    let revoked: Option<Uuid> = diesel::update(open)
        .set(invitations::revoked_at.eq(at))
        .returning(invitations::id)
        .get_result(conn)
        .await
        .optional()?;
    Ok(revoked.map(InvitationId))
}
