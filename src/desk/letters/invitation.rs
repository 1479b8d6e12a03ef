//! An invitation to a site.

use super::content::{Content, PageLink, Part, Request};
use super::receiver::{Receiver, greeting};
use super::{Found, Reading, let_in};
use crate::desk::credentials::LinkFor;
use crate::desk::post::{For, Owing};
use crate::desk::{DeskError, keepers};
use crate::store::Conn;
use crate::store::letters::LetterRow;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use wormrota_domain::access::HOUSE;
use wormrota_domain::ids::{InvitationId, MemberId, SiteId};
use wormrota_domain::letters::LetterKind;
use wormrota_domain::phrase::{Phrase, Value};

#[derive(Serialize, Deserialize)]
struct Keys {
    invitation: InvitationId,
    /// Whether the receiver waited to be let in: then it says that they were.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    was_let_in: bool,
}

/// The letter of an invitation.
pub(in crate::desk) fn of_invitation(
    (site, member): (SiteId, MemberId),
    invitation: InvitationId,
    was_let_in: bool,
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
    .row(
        &Keys {
            invitation,
            was_let_in,
        },
        wall,
    )
}

/// Which invitation a row is about, if it is about one: a list of people has thousands invited
/// at once.
pub(super) fn of_row(row: &LetterRow) -> Option<(SiteId, InvitationId)> {
    let is_one = row.kind == LetterKind::Invitation.code();
    let keys = is_one.then(|| Keys::deserialize(&row.payload).ok())??;
    Some((SiteId(row.site_id?), keys.invitation))
}

pub(super) async fn read(conn: &mut Conn, at: &Reading) -> Result<Found, DeskError> {
    let receiver = match Receiver::of(at)? {
        Ok(receiver) => receiver,
        Err(nobody) => return Ok(nobody),
    };
    let Keys {
        invitation: id,
        was_let_in,
    } = at.keys()?;
    let Some(row) = at.invitations.get(&(receiver.site, id)) else {
        return Ok(Found::Settled);
    };
    let over = row.accepted_at.is_some() || row.revoked_at.is_some();
    if over || row.expires_at <= at.by.wall {
        return Ok(Found::Settled);
    }
    let keepers = if was_let_in {
        Some(keepers::names(conn, receiver.site, HOUSE, receiver.member).await?)
    } else {
        None
    };
    let token = at.credentials.links.token(LinkFor::Invitation, id.0);
    let (name, site) = (receiver.name.as_deref(), &receiver.site_name);
    let content = content((name, site), keepers, token, row.expires_at);
    Ok(receiver.letter(content))
}

/// With whom to ask, it is for somebody who was let in.
fn content(
    (name, site): (Option<&str>, &str),
    let_in: Option<Vec<String>>,
    token: String,
    expires_at: DateTime<Utc>,
) -> Content {
    let about = |code| Phrase::of(code).with_text("site", site);
    let (subject, first) = match let_in {
        None => ("letter-invitation-subject", "letter-invitation"),
        Some(_) => ("letter-let-in-subject", "letter-invitation-let-in"),
    };
    Content::of(
        about(subject),
        vec![
            greeting(name),
            Part::sentence(about(first)),
            Part::Page(PageLink {
                label: Phrase::of("letter-invitation-link"),
                path: "/invitations",
                token: Some(token.clone()),
            }),
            Part::sentence(until(expires_at)),
            Part::sentence(Phrase::of("letter-link-secret")),
            match let_in {
                None => Part::sentence(about("letter-invitation-unexpected")),
                Some(names) => Part::Paragraph(let_in::first_steps(names)),
            },
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
        .with("until", Value::Until(at))
        .with("zone", Value::Zone)
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    let until = now + chrono::TimeDelta::days(14);
    let ana = (Some("Ana"), "Elm Court");
    let let_in = Some(vec!["Cy".to_owned(), "Iris".to_owned()]);
    [None, let_in]
        .map(|let_in| content(ana, let_in, "TOKEN".to_owned(), until))
        .into()
}
