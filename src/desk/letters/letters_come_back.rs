//! Letters to a member come back.

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
use wormrota_domain::phrase::Phrase;

/// Afterwards the week's letter still tells of it (our suggestion).
const HELPS: TimeDelta = TimeDelta::days(14);

#[derive(Serialize, Deserialize)]
struct Keys {
    member: MemberId,
}

/// The letter to a keeper about a member whose letters come back since an instant of the
/// machine's clock.
pub(in crate::desk) fn of_bounce(
    site: SiteId,
    keeper: MemberId,
    member: MemberId,
    since: DateTime<Utc>,
) -> LetterRow {
    Owing {
        kind: LetterKind::LettersComeBack,
        purpose: format!("{member}:{}:{keeper}", since.timestamp_micros()),
        whom: For::Member(site, keeper),
        too_late_at: since + HELPS,
        links_until: None,
    }
    .row(&Keys { member }, since)
}

pub(super) async fn read(conn: &mut Conn, at: &Reading) -> Result<Found, DeskError> {
    let receiver = match Receiver::of(at)? {
        Ok(receiver) => receiver,
        Err(nobody) => return Ok(nobody),
    };
    let Keys { member } = at.keys()?;
    if !keepers::is_told(conn, receiver.site, receiver.member).await? {
        return Ok(Found::Settled);
    }
    let person = members::person(conn, receiver.site, member).await?;
    let Some(person) = person.filter(|person| person.bounced_at.is_some()) else {
        return Ok(Found::Settled);
    };
    let Some(whose) = person.name else {
        return Ok(Found::Settled);
    };
    let has_account = person.member.account_id.is_some();
    let (name, site) = (receiver.name.as_deref(), &receiver.site_name);
    let content = content(name, site, &whose.name, has_account);
    Ok(receiver.letter(content))
}

fn content(name: Option<&str>, site: &str, whose: &str, has_account: bool) -> Content {
    let about = |code| Phrase::of(code).with_text("who", whose);
    let mut steps = vec![about("letter-bounced-ask")];
    if !has_account {
        steps.push(Phrase::of("letter-bounced-correct"));
    }
    steps.push(Phrase::of("letter-bounced-again"));
    Content::of(
        Phrase::of("letter-bounced-subject").with_text("site", site),
        vec![
            greeting(name),
            Part::sentence(about("letter-bounced")),
            Part::Heading(Phrase::of("letter-what-to-do")),
            Part::Steps(steps),
            Part::sentence(Phrase::of("letter-bounced-meanwhile")),
        ],
    )
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(_: DateTime<Utc>) -> Vec<Content> {
    [true, false]
        .map(|has_account| content(Some("Ana"), "Elm Court", "Kim", has_account))
        .into()
}
