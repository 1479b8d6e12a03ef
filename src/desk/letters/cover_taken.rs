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
use wormrota_domain::ids::{CallId, MemberId, TurnId};
use wormrota_domain::letters::{LetterDeed, LetterKind};
use wormrota_domain::phrase::{Phrase, Value};

#[derive(Serialize, Deserialize)]
struct Keys {
    call: CallId,
    /// For the link by which the reader says that they cannot come; an older program did not keep
    /// it.
    #[serde(default)]
    turn: Option<TurnId>,
}

/// The letter to a helper who said yes at `now`.
pub(in crate::desk) fn of_cover_taken(
    call: &CallAtHand,
    helper: MemberId,
    now: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> LetterRow {
    let keys = Keys {
        call: call.id(),
        turn: Some(call.turn()),
    };
    let until = wall + (call.call.turn_at - now);
    Owing {
        kind: LetterKind::CoverTaken,
        purpose: format!("{}:{helper}:{}", keys.call, now.timestamp_micros()),
        whom: For::Member(call.site(), helper),
        too_late_at: until,
        links_until: Some(until),
    }
    .row(&keys, wall)
}

pub(super) async fn read(conn: &mut Conn, at: &Reading) -> Result<Found, DeskError> {
    let receiver = match Receiver::of(at)? {
        Ok(receiver) => receiver,
        Err(nobody) => return Ok(nobody),
    };
    let Keys { call, .. } = at.keys()?;
    let zone = receiver.speech.zone;
    let Some((call, turn)) = call_and_turn(conn, (receiver.site, call), zone).await? else {
        return Ok(Found::Settled);
    };
    if call.call.helper != Some(receiver.member) || at.by.now >= call.call.turn_at {
        return Ok(Found::Settled);
    }
    let settled_at = call.call.settled_at;
    let in_time = (at.by.now < settled_at).then_some(settled_at);
    let deed = match in_time {
        Some(_) => LetterDeed::CoverBack,
        None => LetterDeed::CannotCome,
    };
    let taken = Taken {
        stands_in: call.away().is_some(),
        back_until: in_time,
        token: at.credentials.links.token(LinkFor::Letter(deed), at.row.id),
    };
    let mut content = content(receiver.name.as_deref(), &turn, taken);
    content.calendar = Some(Appointment {
        turn: call.turn(),
        member: receiver.member,
        on_date: turn.on_date,
        hours: turn.hours,
        title: turn.say("letter-cover-taken-title"),
        description: vec![turn.say("letter-cover-bring")],
        location: None,
        is_off: false,
    });
    Ok(receiver.letter(content))
}

/// What was taken.
struct Taken {
    /// Whether it is in somebody's stead; else nobody ever held the place.
    stands_in: bool,
    /// Until when it can be given back, as long as it can.
    back_until: Option<DateTime<Utc>>,
    /// Of the link that does so, or by which they say that they cannot come.
    token: String,
}

fn content(name: Option<&str>, turn: &TurnSaid, taken: Taken) -> Content {
    let thanks = if taken.stands_in {
        "letter-cover-taken"
    } else {
        "letter-cover-taken-free"
    };
    let (how, label, deed) = match taken.back_until {
        Some(until) => (
            Phrase::of("letter-cover-taken-back").with("until", Value::Until(until)),
            "letter-cover-taken-back-label",
            LetterDeed::CoverBack,
        ),
        None => (
            Phrase::of("letter-cover-taken-settled"),
            "page-cannot-come-button",
            LetterDeed::CannotCome,
        ),
    };
    let parts = vec![
        greeting(name),
        Part::sentence(turn.say(thanks)),
        Part::Paragraph(vec![
            turn.say("letter-cover-bring"),
            Phrase::of("letter-cover-care"),
        ]),
        Part::sentence(how),
        Part::Answers(vec![Answer {
            label: Phrase::of(label),
            deed,
            token: taken.token,
        }]),
    ];
    Content::of(turn.say("letter-cover-taken-subject"), parts)
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    let turn = super::cover_ground::sample(now, true);
    let taken = |stands_in, back_until| Taken {
        stands_in,
        back_until,
        token: "SECRET".to_owned(),
    };
    let until = now + chrono::TimeDelta::days(2);
    // A midnight where these letters are read.
    let midnight = until
        .date_naive()
        .and_time(chrono::NaiveTime::MIN)
        .and_utc();
    let midnight = midnight + chrono::TimeDelta::hours(5);
    vec![
        content(Some("Bo"), &turn, taken(true, Some(until))),
        content(None, &turn, taken(true, None)),
        content(Some("Bo"), &turn, taken(false, Some(midnight))),
    ]
}
