//! Whoever cannot come is told that somebody else does.

use super::content::{Content, Part};
use super::cover_ground::{TurnSaid, call_and_turn};
use super::receiver::{Receiver, greeting};
use super::{Found, Reading};
use crate::desk::DeskError;
use crate::desk::cover::CallAtHand;
use crate::desk::people::names_seen;
use crate::desk::post::{For, Owing};
use crate::store::Conn;
use crate::store::letters::LetterRow;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use wormrota_domain::ids::{CallId, MemberId};
use wormrota_domain::letters::LetterKind;

/// What these letters are owed with.
#[derive(Serialize, Deserialize)]
pub(super) struct Keys {
    /// The call.
    pub call: CallId,
    /// Who comes.
    pub helper: MemberId,
}

impl Keys {
    /// Whether a letter is about the same helper in the same call.
    pub(super) fn is_of(&self, row: &LetterRow) -> bool {
        let of_row = Self::deserialize(&row.payload);
        of_row.is_ok_and(|of_row| of_row.call == self.call && of_row.helper == self.helper)
    }
}

/// The letter to whoever cannot come, if somebody held the place, about a helper who said yes at
/// `now`.
pub(in crate::desk) fn of_cover_found(
    call: &CallAtHand,
    helper: MemberId,
    now: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> Option<LetterRow> {
    let away = call.away()?;
    let keys = Keys {
        call: call.id(),
        helper,
    };
    let owing = Owing {
        kind: LetterKind::CoverFound,
        // The same helper may have given the place back before.
        purpose: format!("{}:{helper}:{}", keys.call, now.timestamp_micros()),
        whom: For::Member(call.site(), away),
        too_late_at: wall + (call.call.turn_at - now),
        links_until: None,
    };
    (now < call.call.turn_at).then(|| owing.row(&keys, wall))
}

pub(super) async fn read(conn: &mut Conn, at: &Reading) -> Result<Found, DeskError> {
    let receiver = match Receiver::of(at)? {
        Ok(receiver) => receiver,
        Err(nobody) => return Ok(nobody),
    };
    let Keys { call, helper } = at.keys()?;
    let zone = receiver.speech.zone;
    let Some((call, turn)) = call_and_turn(conn, (receiver.site, call), zone).await? else {
        return Ok(Found::Settled);
    };
    if call.call.helper != Some(helper) {
        return Ok(Found::Settled);
    }
    let helper = name_seen(conn, &receiver, helper).await?;
    let content = content(receiver.name.as_deref(), &turn, helper.as_deref());
    Ok(receiver.letter(content))
}

/// What a helper is called, as far as the reader may know it.
pub(super) async fn name_seen(
    conn: &mut Conn,
    receiver: &Receiver,
    helper: MemberId,
) -> Result<Option<String>, DeskError> {
    let who = receiver.membership(conn).await?;
    let seen = names_seen(conn, &who, &[helper]).await?;
    Ok(seen.into_values().flatten().next())
}

fn content(name: Option<&str>, turn: &TurnSaid, helper: Option<&str>) -> Content {
    let who_comes = match helper {
        Some(helper) => turn.say("letter-cover-found").with_text("name", helper),
        None => turn.say("letter-cover-found-nameless"),
    };
    Content::of(
        turn.say("letter-cover-found-subject"),
        vec![
            greeting(name),
            Part::Paragraph(vec![who_comes, turn.say("letter-cover-found-how")]),
        ],
    )
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    let turn = super::cover_ground::sample(now, true);
    vec![
        content(Some("Ana"), &turn, Some("Bo Li")),
        content(None, &turn, None),
    ]
}
