//! Whoever looks after a site is told that nobody comes to a turn, until when somebody must, and
//! what becomes of the bin if nobody does.

use super::content::{Content, Part};
use super::cover_ground::{TurnSaid, call_and_turn};
use super::receiver::{Receiver, greeting};
use super::{Found, Reading};
use crate::desk::DeskError;
use crate::desk::cover::{CallAtHand, KeptNeed, alone_said};
use crate::desk::post::{For, Owing};
use crate::store::Conn;
use crate::store::letters::LetterRow;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use wormrota_domain::cover::need::Reason;
use wormrota_domain::cover::recheck::Alone;
use wormrota_domain::ids::{CallId, MemberId};
use wormrota_domain::letters::LetterKind;
use wormrota_domain::phrase::{Phrase, Value};
use wormrota_domain::units::Fraction;

/// How a bin is at a moment to which nobody has come.
#[derive(Debug, Clone, Copy, Serialize, Deserialize)]
struct Moment {
    at: DateTime<Utc>,
    worms: f64,
    hungry: bool,
    drying: bool,
}

#[derive(Serialize, Deserialize)]
struct Keys {
    call: CallId,
    /// Why somebody must come, where somebody must, and until when.
    must: Option<(Reason, DateTime<Utc>)>,
    alone: Vec<Moment>,
}

/// The letters to those who look after the site.
pub(in crate::desk) fn of_uncovered(
    call: &CallAtHand,
    keepers: &[MemberId],
    need: Option<&KeptNeed>,
    alone: &[Alone],
    now: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> Vec<LetterRow> {
    let moment = |alone: &Alone| Moment {
        at: alone.at,
        worms: alone.worms.0,
        hungry: alone.hungry,
        drying: alone.drying,
    };
    let must = need.and_then(|need| need.last_moment().map(|at| (need.reason, at)));
    let keys = Keys {
        call: call.id(),
        must,
        alone: alone.iter().map(moment).collect(),
    };
    let letter = |member: &MemberId| {
        Owing {
            kind: LetterKind::Uncovered,
            // Once more when a helper gave the place back after the first time.
            purpose: format!("{}:{member}:{}", keys.call, now.timestamp_micros()),
            whom: For::Member(call.site(), *member),
            too_late_at: wall + (call.call.turn_at - now),
            links_until: None,
        }
        .row(&keys, wall)
    };
    keepers.iter().map(letter).collect()
}

pub(super) async fn read(conn: &mut Conn, at: &Reading) -> Result<Found, DeskError> {
    let receiver = match Receiver::of(at)? {
        Ok(receiver) => receiver,
        Err(nobody) => return Ok(nobody),
    };
    let keys: Keys = at.keys()?;
    let zone = receiver.speech.zone;
    let Some((call, turn)) = call_and_turn(conn, (receiver.site, keys.call), zone).await? else {
        return Ok(Found::Settled);
    };
    if !call.call.state.is_open() || at.now >= call.call.turn_at {
        return Ok(Found::Settled);
    }
    let content = content(receiver.name.as_deref(), &turn, &keys);
    Ok(receiver.letter(content))
}

fn content(name: Option<&str>, turn: &TurnSaid, keys: &Keys) -> Content {
    let mut parts = vec![
        greeting(name),
        Part::sentence(turn.say("letter-uncovered")),
        Part::sentence(match keys.must {
            Some((reason, at)) => Phrase::of("letter-uncovered-must")
                .with("reason", Value::Code(reason.code()))
                .with("date", Value::Date(at))
                .with("time", Value::Time(at)),
            None => Phrase::of("letter-uncovered-can-wait"),
        }),
    ];
    let alone = |moment: &Moment| {
        alone_said(&Alone {
            at: moment.at,
            worms: Fraction(moment.worms),
            hungry: moment.hungry,
            drying: moment.drying,
        })
    };
    if !keys.alone.is_empty() {
        parts.push(Part::Heading(Phrase::of("letter-uncovered-alone")));
        parts.push(Part::Points(keys.alone.iter().map(alone).collect()));
    }
    parts.push(Part::sentence(Phrase::of("letter-uncovered-next")));
    Content::of(turn.say("letter-uncovered-subject"), parts)
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    let day = |days| now + chrono::TimeDelta::days(days);
    let moment = |days, worms, hungry, drying| Moment {
        at: day(days),
        worms,
        hungry,
        drying,
    };
    let call = CallId(uuid::Uuid::nil());
    let must = Keys {
        call,
        must: Some((Reason::Drying, day(4))),
        alone: vec![
            moment(3, 1.0, false, false),
            moment(10, 0.982, true, true),
            moment(17, 0.71, false, true),
            moment(31, 0.004, true, true),
        ],
    };
    let can_wait = Keys {
        call,
        must: None,
        alone: Vec::new(),
    };
    vec![
        content(Some("Cy"), &super::cover_ground::sample(now, true), &must),
        content(None, &super::cover_ground::sample(now, false), &can_wait),
    ]
}
