//! The receiver was let in, and has an account already: others get an invitation that says so.

use super::content::{Content, Part};
use super::receiver::{Receiver, greeting};
use super::{Found, Reading};
use crate::desk::post::{For, Owing};
use crate::desk::{DeskError, keepers};
use crate::store::letters::LetterRow;
use crate::store::{Conn, members};
use chrono::{DateTime, TimeDelta, Utc};
use serde_json::json;
use wormrota_domain::access::HOUSE;
use wormrota_domain::ids::{MemberId, SiteId};
use wormrota_domain::letters::LetterKind;
use wormrota_domain::phrase::{Phrase, Value};

/// Afterwards they know (our suggestion).
const HELPS: TimeDelta = TimeDelta::days(14);

/// The letter to somebody who was let in: nobody is let in twice.
pub(in crate::desk) fn of_let_in(site: SiteId, member: MemberId, wall: DateTime<Utc>) -> LetterRow {
    Owing {
        kind: LetterKind::LetIn,
        purpose: member.to_string(),
        whom: For::Member(site, member),
        too_late_at: wall + HELPS,
        links_until: None,
    }
    .row(&json!({}), wall)
}

pub(super) async fn read(conn: &mut Conn, at: &Reading) -> Result<Found, DeskError> {
    let receiver = match Receiver::of(at)? {
        Ok(receiver) => receiver,
        Err(nobody) => return Ok(nobody),
    };
    let Some(person) = members::person(conn, receiver.site, receiver.member).await? else {
        return Ok(Found::Settled);
    };
    // Whoever has no account is told by their invitation.
    if person.member.account_id.is_none() {
        return Ok(Found::Settled);
    }
    let names = keepers::names(conn, receiver.site, HOUSE, receiver.member).await?;
    let content = content(receiver.name.as_deref(), &receiver.site_name, names);
    Ok(receiver.letter(content))
}

fn content(name: Option<&str>, site: &str, names: Vec<String>) -> Content {
    let about = |code| Phrase::of(code).with_text("site", site);
    let parts = vec![
        greeting(name),
        Part::sentence(about("letter-let-in")),
        Part::sentence(Phrase::of("letter-let-in-account")),
        Part::Paragraph(first_steps(names)),
    ];
    Content::of(about("letter-let-in-subject"), parts)
}

/// What to know before bringing anything, and whom to ask.
pub(super) fn first_steps(names: Vec<String>) -> Vec<Phrase> {
    let mut said = vec![Phrase::of("letter-let-in-first")];
    if !names.is_empty() {
        said.push(Phrase::of("letter-let-in-ask").with("names", Value::OneOf(names)));
    }
    said
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(_: DateTime<Utc>) -> Vec<Content> {
    let names = || vec!["Cy".to_owned(), "Iris".to_owned()];
    vec![
        content(Some("Ana"), "Elm Court", names()),
        content(None, "Elm Court", Vec::new()),
    ]
}
