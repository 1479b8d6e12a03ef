//! A helper who said yes is thanked, and told what to do and how to give the place back.

use super::content::{Answer, Appointment, Content, Part};
use super::cover_ground::{TurnSaid, call_and_turn};
use super::receiver::{Receiver, greeting};
use super::{Found, Reading};
use crate::desk::DeskError;
use crate::desk::cover::CallAtHand;
use crate::desk::credentials::LinkFor;
use crate::desk::post::{For, Owing};
use crate::store::Conn;
use crate::store::letters::LetterRow;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use wormrota_domain::ids::{CallId, MemberId};
use wormrota_domain::letters::{LetterDeed, LetterKind};
use wormrota_domain::phrase::{Phrase, Value};

#[derive(Serialize, Deserialize)]
struct Keys {
    call: CallId,
}

/// The letter to a helper who said yes at `now`.
pub(in crate::desk) fn of_cover_taken(
    call: &CallAtHand,
    helper: MemberId,
    now: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> LetterRow {
    let keys = Keys { call: call.id() };
    let settled = wall + (call.call.settled_at - now);
    Owing {
        kind: LetterKind::CoverTaken,
        purpose: format!("{}:{helper}:{}", keys.call, now.timestamp_micros()),
        whom: For::Member(call.site(), helper),
        too_late_at: wall + (call.call.turn_at - now),
        links_until: (settled > wall).then_some(settled),
    }
    .row(&keys, wall)
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
    if call.call.helper != Some(receiver.member) || at.by.now >= call.call.turn_at {
        return Ok(Found::Settled);
    }
    let settled_at = call.call.settled_at;
    let deed = LetterDeed::CoverBack;
    let back = (at.by.now < settled_at).then(|| {
        let token = at.credentials.links.token(LinkFor::Letter(deed), at.row.id);
        (settled_at, token)
    });
    let mut content = content(receiver.name.as_deref(), &turn, back);
    let (site, told) = (&receiver.site_name, turn.told());
    content.calendar = vec![Appointment {
        description: vec![turn.say("letter-cover-bring")],
        ..told.appointment(call.turn(), receiver.member, site)
    }];
    Ok(receiver.letter(content))
}

fn content(name: Option<&str>, turn: &TurnSaid, back: Option<(DateTime<Utc>, String)>) -> Content {
    let mut parts = vec![
        greeting(name),
        Part::sentence(turn.say("letter-cover-taken")),
        Part::Paragraph(vec![
            turn.say("letter-cover-bring"),
            Phrase::of("letter-cover-care"),
        ]),
    ];
    if let Some((until, token)) = back {
        let until = Phrase::of("letter-cover-taken-back")
            .with("date", Value::Date(until))
            .with("time", Value::Time(until));
        parts.push(Part::sentence(until));
        parts.push(Part::Answers(vec![Answer {
            label: Phrase::of("letter-cover-taken-back-label"),
            deed: LetterDeed::CoverBack,
            token,
        }]));
    } else {
        parts.push(Part::sentence(Phrase::of("letter-cover-taken-settled")));
    }
    Content::of(turn.say("letter-cover-taken-subject"), parts)
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    let turn = super::cover_ground::sample(now, true);
    let back = (now + chrono::TimeDelta::days(2), "SECRET".to_owned());
    vec![
        content(Some("Bo"), &turn, Some(back)),
        content(None, &turn, None),
    ]
}
