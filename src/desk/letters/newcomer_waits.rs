//! Somebody waits to be let in.

use super::content::{Content, Part};
use super::receiver::{Receiver, greeting};
use super::{Found, Reading};
use crate::desk::post::{For, Owing};
use crate::desk::{DeskError, keepers};
use crate::store::letters::LetterRow;
use crate::store::{Conn, members};
use chrono::{DateTime, TimeDelta, Utc};
use serde::{Deserialize, Serialize};
use wormrota_domain::ids::{MemberId, SiteId};
use wormrota_domain::letters::LetterKind;
use wormrota_domain::phrase::{Phrase, Value};

/// Whoever has waited longer has been told otherwise by now (our suggestion).
pub(in crate::desk) const NEWCOMER_WAITS: TimeDelta = TimeDelta::days(14);

#[derive(Serialize, Deserialize)]
struct Keys {
    newcomer: MemberId,
}

/// The letter to a keeper about a newcomer, one for each of both.
pub(in crate::desk) fn of_newcomer(
    site: SiteId,
    keeper: MemberId,
    newcomer: MemberId,
    too_late_at: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> LetterRow {
    Owing {
        kind: LetterKind::NewcomerWaits,
        purpose: format!("{newcomer}:{keeper}"),
        whom: For::Member(site, keeper),
        too_late_at,
        links_until: None,
    }
    .row(&Keys { newcomer }, wall)
}

pub(super) async fn read(conn: &mut Conn, at: &Reading) -> Result<Found, DeskError> {
    let receiver = match Receiver::of(at)? {
        Ok(receiver) => receiver,
        Err(nobody) => return Ok(nobody),
    };
    let Keys { newcomer } = at.keys()?;
    if !keepers::is_told(conn, receiver.site, receiver.member).await? {
        return Ok(Found::Settled);
    }
    let person = members::person(conn, receiver.site, newcomer).await?;
    let Some((since, name)) =
        person.and_then(|person| person.member.waiting_since.zip(person.name))
    else {
        return Ok(Found::Settled);
    };
    let newcomer = Newcomer {
        name: name.name,
        flat: name.flat,
        since,
    };
    let as_deputy = keepers::is_told_as_deputy(conn, receiver.site, receiver.member).await?;
    let (name, site) = (receiver.name.as_deref(), &receiver.site_name);
    let content = content(name, site, &newcomer, as_deputy);
    Ok(receiver.letter(content))
}

struct Newcomer {
    name: String,
    flat: Option<String>,
    since: DateTime<Utc>,
}

fn content(name: Option<&str>, site: &str, newcomer: &Newcomer, as_deputy: bool) -> Content {
    let who = match &newcomer.flat {
        Some(flat) => Phrase::of("letter-newcomer-flat").with_text("flat", flat),
        None => Phrase::of("letter-newcomer"),
    };
    let who = who
        .with_text("who", &newcomer.name)
        .with_text("site", site)
        .with("date", Value::Date(newcomer.since));
    let why = Phrase::of("letter-as-deputy").with_text("site", site);
    let why = as_deputy.then(|| Part::sentence(why));
    let how = Phrase::of("letter-newcomer-how").with_text("who", &newcomer.name);
    let said = [
        Part::sentence(who),
        Part::sentence(how),
        Part::sentence(Phrase::of("letter-newcomer-refuse")),
    ];
    Content::of(
        Phrase::of("letter-newcomer-subject").with_text("site", site),
        [greeting(name)]
            .into_iter()
            .chain(why)
            .chain(said)
            .collect(),
    )
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    [(Some("4a"), false), (None, true)]
        .map(|(flat, as_deputy)| {
            let newcomer = Newcomer {
                name: "Kim".to_owned(),
                flat: flat.map(str::to_owned),
                since: now,
            };
            content(Some("Ana"), "Elm Court", &newcomer, as_deputy)
        })
        .into()
}
