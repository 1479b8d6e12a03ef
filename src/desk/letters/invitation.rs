//! An invitation to a site.

use super::content::{Content, PageLink, Part, Request};
use super::receiver::{Receiver, greeting};
use super::{Found, Reading};
use crate::desk::DeskError;
use crate::desk::credentials::LinkFor;
use crate::desk::post::{For, Owing};
use crate::store::Conn;
use crate::store::letter_sources;
use crate::store::letters::LetterRow;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use wormrota_domain::ids::{InvitationId, MemberId, SiteId};
use wormrota_domain::letters::LetterKind;
use wormrota_domain::phrase::{Phrase, Value};

#[derive(Serialize, Deserialize)]
struct Keys {
    invitation: InvitationId,
}

/// The letter of an invitation.
pub(in crate::desk) fn of_invitation(
    site: SiteId,
    member: MemberId,
    invitation: InvitationId,
    expires_at: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> LetterRow {
    Owing {
        kind: LetterKind::Invitation,
        purpose: invitation.to_string(),
        whom: For::Member(site, member),
        too_late_at: expires_at,
        links_until: None,
    }
    .row(&Keys { invitation }, wall)
}

pub(super) async fn read(conn: &mut Conn, at: &Reading) -> Result<Found, DeskError> {
    let receiver = match Receiver::of(at)? {
        Ok(receiver) => receiver,
        Err(nobody) => return Ok(nobody),
    };
    let Keys { invitation: id } = at.keys()?;
    let Some(row) = letter_sources::invitation(conn, receiver.site, id).await? else {
        return Ok(Found::Settled);
    };
    let over = row.accepted_at.is_some() || row.revoked_at.is_some();
    if over || row.expires_at <= at.by.wall {
        return Ok(Found::Settled);
    }
    let token = at.credentials.links.token(LinkFor::Invitation, id.0);
    let content = content(
        receiver.name.as_deref(),
        &receiver.site_name,
        token,
        row.expires_at,
    );
    Ok(receiver.letter(content))
}

fn content(name: Option<&str>, site: &str, token: String, expires_at: DateTime<Utc>) -> Content {
    let about = |code| Phrase::of(code).with_text("site", site);
    Content::of(
        about("letter-invitation-subject"),
        vec![
            greeting(name),
            Part::sentence(about("letter-invitation")),
            Part::Page(PageLink {
                label: Phrase::of("letter-invitation-link"),
                path: "/invitations",
                token: token.clone(),
            }),
            Part::sentence(until(expires_at)),
            Part::sentence(Phrase::of("letter-link-secret")),
            Part::sentence(about("letter-invitation-unexpected")),
            Part::Aside(vec![Phrase::of("letter-for-programs")]),
            Part::Request(Request {
                path: "/v1/invitations/accept",
                token,
                rest: ", \"password\": \"…\"",
            }),
        ],
    )
}

/// Until when a link works.
pub(super) fn until(at: DateTime<Utc>) -> Phrase {
    Phrase::of("letter-until")
        .with("date", Value::Date(at))
        .with("time", Value::Time(at))
        .with("zone", Value::Zone)
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    let until = now + chrono::TimeDelta::days(14);
    vec![content(Some("Ana"), "Elm Court", "TOKEN".to_owned(), until)]
}
