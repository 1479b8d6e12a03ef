//! Whoever cannot come, and was told that somebody else does, is told that they do not after all.

use super::content::{Content, Part};
use super::cover_found::{self, name_seen};
use super::cover_ground::{TurnSaid, call_and_turn};
use super::receiver::{Receiver, greeting};
use super::told_together::{soon, until_looked_at};
use super::{Found, Reading};
use crate::desk::DeskError;
use crate::desk::cover::CallAtHand;
use crate::desk::post::{For, Owing};
use crate::store::Conn;
use crate::store::letters::{self, LetterRow};
use chrono::{DateTime, Utc};
use wormrota_domain::cover::call::CallState;
use wormrota_domain::ids::{MemberId, SiteId};
use wormrota_domain::letters::{LetterKind, LetterState};
use wormrota_domain::phrase::Phrase;

/// The letter to whoever cannot come, about a helper who gave the place back at `now`.
pub(in crate::desk) fn of_cover_lost(
    call: &CallAtHand,
    (away, helper): (MemberId, MemberId),
    now: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> LetterRow {
    let keys = cover_found::Keys {
        call: call.id(),
        helper,
    };
    Owing {
        kind: LetterKind::CoverLost,
        purpose: format!("{}:{helper}:{}", keys.call, now.timestamp_micros()),
        whom: For::Member(call.site(), away),
        too_late_at: wall + (call.call.turn_at - now),
        links_until: None,
    }
    .row(&keys, wall)
}

pub(super) async fn read(conn: &mut Conn, at: &Reading) -> Result<Found, DeskError> {
    let receiver = match Receiver::of(at)? {
        Ok(receiver) => receiver,
        Err(nobody) => return Ok(nobody),
    };
    let keys: cover_found::Keys = at.keys()?;
    let to = (receiver.site, receiver.member);
    let told = told(conn, to, &keys).await?;
    if told.contains(&LetterState::Leased) {
        return Ok(Found::Waits(soon(at)));
    }
    let zone = receiver.speech.zone;
    let Some((call, turn)) = call_and_turn(conn, (receiver.site, keys.call), zone).await? else {
        return Ok(Found::Settled);
    };
    let state = call.call.state;
    // Whether somebody else is looked for is known once the call was looked at.
    if let Some(until) = until_looked_at(at, call.is_due(at.by.now)) {
        return Ok(Found::Waits(until));
    }
    let is_free = state.is_open() || state == CallState::LeftEmpty;
    if !told.contains(&LetterState::Sent) || !is_free || at.by.now >= call.call.turn_at {
        return Ok(Found::Settled);
    }
    let helper = name_seen(conn, &receiver, keys.helper).await?;
    let content = content(receiver.name.as_deref(), &turn, helper.as_deref(), state);
    Ok(receiver.letter(content))
}

/// What became of the letters that said that the helper comes.
async fn told(
    conn: &mut Conn,
    (site, member): (SiteId, MemberId),
    keys: &cover_found::Keys,
) -> Result<Vec<LetterState>, DeskError> {
    let rows = letters::of_member(conn, site, member, LetterKind::CoverFound).await?;
    let said = rows.iter().filter(|row| keys.is_of(row));
    Ok(said
        .filter_map(|row| LetterState::from_code(&row.state))
        .collect())
}

fn content(name: Option<&str>, turn: &TurnSaid, helper: Option<&str>, state: CallState) -> Content {
    let who = match helper {
        Some(helper) => turn.say("letter-cover-lost").with_text("name", helper),
        None => turn.say("letter-cover-lost-nameless"),
    };
    let then = match state {
        CallState::LeftEmpty => "letter-cover-lost-empty",
        CallState::Nobody => "letter-cover-lost-nobody",
        _ => "letter-cover-lost-open",
    };
    Content::of(
        turn.say("letter-cover-lost-subject"),
        vec![
            greeting(name),
            Part::Paragraph(vec![
                who,
                Phrase::of(then),
                turn.say("letter-cover-found-how"),
            ]),
        ],
    )
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    let turn = super::cover_ground::sample(now, true);
    vec![
        content(Some("Ana"), &turn, Some("Bo Li"), CallState::Open),
        content(None, &turn, None, CallState::LeftEmpty),
        content(None, &turn, Some("Bo Li"), CallState::Nobody),
    ]
}
