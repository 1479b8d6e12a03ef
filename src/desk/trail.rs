//! The trail of who changed what about people, rota and limits: written in the transaction of
//! the change, by key, for the educator to read.

use super::DeskError;
use super::membership::Membership;
use crate::clock;
use crate::store::Conn;
use crate::store::audit::{self, AuditRow};
use chrono::{DateTime, Utc};
use serde_json::Value;
use uuid::Uuid;
use wormrota_domain::ids::{MemberId, SiteId};

/// What was changed, by key.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Subject {
    /// The site itself.
    Site,
    /// A member.
    Member(Uuid),
    /// An invitation.
    Invitation(Uuid),
    /// A printed code.
    Code(Uuid),
    /// A class.
    Class(Uuid),
    /// A pupil.
    Pupil(Uuid),
    /// A pattern.
    Pattern(Uuid),
    /// A closure.
    Closure(Uuid),
    /// A turn.
    Turn(Uuid),
    /// A rota.
    Rota(Uuid),
}

impl Subject {
    const fn kind(self) -> &'static str {
        match self {
            Self::Site => "site",
            Self::Member(_) => "member",
            Self::Invitation(_) => "invitation",
            Self::Code(_) => "code",
            Self::Class(_) => "class",
            Self::Pupil(_) => "pupil",
            Self::Pattern(_) => "pattern",
            Self::Closure(_) => "closure",
            Self::Turn(_) => "turn",
            Self::Rota(_) => "rota",
        }
    }

    const fn id(self, site: SiteId) -> Uuid {
        match self {
            Self::Site => site.0,
            Self::Member(id)
            | Self::Invitation(id)
            | Self::Code(id)
            | Self::Class(id)
            | Self::Pupil(id)
            | Self::Pattern(id)
            | Self::Closure(id)
            | Self::Turn(id)
            | Self::Rota(id) => id,
        }
    }
}

/// Leaves a line about what a member did. `deed` is a code such as `roles_changed`; `detail`
/// is an object of codes, keys and numbers, and never holds a name, an address or free text.
pub(super) async fn leave(
    conn: &mut Conn,
    who: &Membership,
    now: DateTime<Utc>,
    deed: &'static str,
    subject: Subject,
    detail: Value,
) -> Result<(), DeskError> {
    leave_for(conn, who.site, Some(who.member), now, deed, subject, detail).await
}

/// The same for somebody who is no member yet, or for the service itself.
pub(super) async fn leave_for(
    conn: &mut Conn,
    site: SiteId,
    member: Option<MemberId>,
    now: DateTime<Utc>,
    deed: &'static str,
    subject: Subject,
    detail: Value,
) -> Result<(), DeskError> {
    Ok(audit::insert(conn, &line(site, member, now, deed, subject, detail)).await?)
}

/// A line that is still to be written, for who writes many.
pub(super) fn line(
    site: SiteId,
    member: Option<MemberId>,
    now: DateTime<Utc>,
    deed: &'static str,
    subject: Subject,
    detail: Value,
) -> AuditRow {
    AuditRow {
        site_id: site.0,
        id: clock::fresh_id(),
        at: now,
        member_id: member.map(|member| member.0),
        deed: deed.to_owned(),
        subject_kind: subject.kind().to_owned(),
        subject_id: subject.id(site),
        detail,
    }
}
