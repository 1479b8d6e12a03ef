//! Whoever gave up a turn themselves needs no news of it; but where a letter brought it into
//! their calendar, another takes it out again.

use super::content::{Appointment, Content, Part};
use super::cover_ground::TurnSaid;
use super::receiver::{Receiver, greeting};
use super::{Found, Reading};
use crate::desk::DeskError;
use crate::desk::post::{For, Owing};
use crate::store::letters::{self, LetterRow};
use crate::store::{Conn, calls, places, turns};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use serde_json::{Value as Json, json};
use wormrota_domain::ids::{MemberId, SiteId, TurnId};
use wormrota_domain::letters::{LetterKind, LetterState};
use wormrota_domain::phrase::Phrase;

#[derive(Serialize, Deserialize)]
struct Keys {
    turn: TurnId,
}

/// Kinds of letters that bring a turn into a calendar, and this one.
const KINDS: [LetterKind; 4] = [
    LetterKind::TurnComing,
    LetterKind::TurnChanged,
    LetterKind::CoverTaken,
    LetterKind::TurnFreed,
];

/// The letter to a member who gave up a turn at `now`.
pub(in crate::desk) fn of_freed_turn(
    (site, member): (SiteId, MemberId),
    turn: TurnId,
    now: DateTime<Utc>,
    too_late_at: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> LetterRow {
    Owing {
        kind: LetterKind::TurnFreed,
        purpose: format!("{turn}:{member}:{}", now.timestamp_micros()),
        whom: For::Member(site, member),
        too_late_at,
        links_until: None,
    }
    .row(&Keys { turn }, wall)
}

pub(super) async fn read(conn: &mut Conn, at: &Reading) -> Result<Found, DeskError> {
    let receiver = match Receiver::of(at)? {
        Ok(receiver) => receiver,
        Err(nobody) => return Ok(nobody),
    };
    let Keys { turn } = at.keys()?;
    let (site, member) = (receiver.site, receiver.member);
    let Some(row) = turns::by_id(conn, site, turn).await? else {
        return Ok(Found::Settled);
    };
    let held = places::of_turns(conn, site, &[turn]).await?;
    let comes = (held.iter()).any(|place| place.member_id == Some(member.0));
    if comes || !stands_in_calendar(conn, (site, member), turn).await? {
        return Ok(Found::Settled);
    }
    let Some(said) = TurnSaid::of(conn, &row, receiver.speech.zone).await? else {
        return Ok(Found::Settled);
    };
    let mut content = content(receiver.name.as_deref(), &said);
    content.calendar = Some(Appointment {
        turn,
        member,
        on_date: said.on_date,
        hours: said.hours,
        title: said.say("letter-cover-taken-title"),
        description: Vec::new(),
        location: None,
        is_off: true,
    });
    Ok(receiver.letter(content))
}

/// Whether the last letter to a member that says something of a turn to their calendar brought
/// it in.
async fn stands_in_calendar(
    conn: &mut Conn,
    (site, member): (SiteId, MemberId),
    turn: TurnId,
) -> Result<bool, DeskError> {
    let calls = calls::all_of_turn(conn, site, turn).await?;
    let calls: Vec<Json> = calls.iter().map(|call| json!(call.id)).collect();
    let is_about = |payload: &Json| {
        let one = payload["changes"].as_array().filter(|all| all.len() == 1);
        payload["turn"] == json!(turn)
            || calls.contains(&payload["call"])
            || one.is_some_and(|all| all[0]["turn_id"] == json!(turn))
    };
    let mut last: Option<LetterRow> = None;
    for kind in KINDS {
        let rows = letters::of_member(conn, site, member, kind).await?;
        let about = rows
            .into_iter()
            .find(|row| row.state == LetterState::Sent.code() && is_about(&row.payload));
        // Keys grow with time.
        if let Some(row) = about.filter(|row| last.as_ref().is_none_or(|last| last.id < row.id)) {
            last = Some(row);
        }
    }
    Ok(last.is_some_and(|row| row.kind != LetterKind::TurnFreed.code()))
}

fn content(name: Option<&str>, turn: &TurnSaid) -> Content {
    let said = vec![
        turn.say("letter-turn-freed"),
        Phrase::of("letter-turn-freed-thanks"),
    ];
    let parts = vec![greeting(name), Part::Paragraph(said)];
    Content::of(turn.say("letter-turn-freed-subject"), parts)
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    let turn = super::cover_ground::sample(now, true);
    vec![content(Some("Bo"), &turn)]
}
