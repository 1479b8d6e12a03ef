//! Those who were asked and have not answered hear that they need not any more.

use super::content::{Content, Part};
use super::cover_ground::{TurnSaid, call_and_turn};
use super::receiver::{Receiver, greeting};
use super::{Found, Reading};
use crate::desk::DeskError;
use crate::desk::cover::{CallAtHand, is_asked_for};
use crate::desk::post::{For, Owing};
use crate::store::letters::LetterRow;
use crate::store::{Conn, places};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use wormrota_domain::ids::{CallId, MemberId};
use wormrota_domain::letters::LetterKind;
use wormrota_domain::phrase::Phrase;

#[derive(Serialize, Deserialize)]
struct Keys {
    call: CallId,
}

/// The letters to those who need not answer any more.
pub(in crate::desk) fn of_closed_call(
    call: &CallAtHand,
    whom: &[MemberId],
    now: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> Vec<LetterRow> {
    let keys = Keys { call: call.id() };
    let letter = |member: &MemberId| {
        Owing {
            kind: LetterKind::CoverClosed,
            purpose: format!("{}:{member}", keys.call),
            whom: For::Member(call.site(), *member),
            too_late_at: wall + (call.call.turn_at - now),
            links_until: None,
        }
        .row(&keys, wall)
    };
    whom.iter().map(letter).collect()
}

pub(super) async fn read(conn: &mut Conn, at: &Reading) -> Result<Found, DeskError> {
    let receiver = match Receiver::of(at)? {
        Ok(receiver) => receiver,
        Err(nobody) => return Ok(nobody),
    };
    let Keys { call } = at.keys()?;
    let zone = receiver.speech.zone;
    let Some((call, turn)) = call_and_turn(conn, (receiver.site, call), zone).await? else {
        return Ok(Found::Settled);
    };
    let held = places::of_turns(conn, receiver.site, &[call.turn()]).await?;
    let comes = (held.iter()).any(|place| place.member_id == Some(receiver.member.0));
    if comes || is_asked_for(conn, &call).await? {
        return Ok(Found::Settled);
    }
    let covered = held.iter().any(|place| place.holder().is_some());
    let content = content(receiver.name.as_deref(), &turn, covered);
    Ok(receiver.letter(content))
}

fn content(name: Option<&str>, turn: &TurnSaid, covered: bool) -> Content {
    let why = if covered {
        "letter-cover-closed"
    } else {
        "letter-cover-closed-empty"
    };
    Content::of(
        turn.say("letter-cover-closed-subject"),
        vec![
            greeting(name),
            Part::Paragraph(vec![
                turn.say(why),
                Phrase::of("letter-cover-closed-thanks"),
            ]),
        ],
    )
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    let turn = super::cover_ground::sample(now, false);
    vec![
        content(Some("Ana"), &turn, true),
        content(None, &turn, false),
    ]
}
