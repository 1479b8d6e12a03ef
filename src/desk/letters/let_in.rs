//! The receiver was let in.

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
    let names = keepers::names(conn, receiver.site, HOUSE, receiver.member).await?;
    let has_account = person.member.account_id.is_some();
    let (name, site) = (receiver.name.as_deref(), &receiver.site_name);
    let content = content(name, site, has_account, names);
    Ok(receiver.letter(content))
}

fn content(name: Option<&str>, site: &str, has_account: bool, names: Vec<String>) -> Content {
    let sign_in = if has_account {
        "letter-let-in-account"
    } else {
        "letter-let-in-invitation"
    };
    let mut parts = vec![
        greeting(name),
        Part::sentence(Phrase::of("letter-let-in").with_text("site", site)),
        Part::sentence(Phrase::of(sign_in)),
        Part::sentence(Phrase::of("letter-let-in-first")),
    ];
    if !names.is_empty() {
        let ask = Phrase::of("letter-let-in-ask").with("names", Value::OneOf(names));
        parts.push(Part::sentence(ask));
    }
    Content::of(
        Phrase::of("letter-let-in-subject").with_text("site", site),
        parts,
    )
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(_: DateTime<Utc>) -> Vec<Content> {
    let names = || vec!["Cy".to_owned(), "Iris".to_owned()];
    vec![
        content(Some("Ana"), "Elm Court", true, names()),
        content(None, "Elm Court", false, Vec::new()),
    ]
}
