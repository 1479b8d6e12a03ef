//! Whoever looks after a site is told that nobody comes to a turn, until when somebody must, and
//! what becomes of the bin if nobody does.

use super::content::{Content, Part};
use super::cover_ground::{TurnSaid, call_and_turn};
use super::receiver::{Receiver, greeting};
use super::{Found, Reading};
use crate::desk::DeskError;
use crate::desk::cover::{CallAtHand, KeptNeed, alone_said, asked_beside};
use crate::desk::post::{For, Owing};
use crate::store::Conn;
use crate::store::letters::LetterRow;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use wormrota_domain::cover::answer::AnswerState;
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
    /// Whether the bed is dry already.
    #[serde(default)]
    is_dry: bool,
    /// When somebody is sure to come the next time, if somebody is.
    #[serde(default)]
    next: Option<DateTime<Utc>>,
    /// Why somebody would be welcome all the same, where nobody must come.
    #[serde(default)]
    welcome: Option<Reason>,
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
        is_dry: need.is_some_and(|need| need.is_dry),
        next: need.and_then(|need| need.next_care_at),
        welcome: need.map(|need| need.reason),
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
    if !call.call.state.is_open() || at.by.now >= call.call.turn_at {
        return Ok(Found::Settled);
    }
    let others = asked_beside(conn, &call).await?;
    let mut answers = (others.iter().chain([&call])).flat_map(|call| call.call.answers.values());
    let asked = Asked {
        gave_back: (call.call.answers.values()).any(|own| own.state == AnswerState::GivenBack),
        anybody: answers.next().is_some(),
    };
    let content = content(receiver.name.as_deref(), &turn, asked, &keys);
    Ok(receiver.letter(content))
}

/// What came of asking.
#[derive(Clone, Copy)]
struct Asked {
    /// Somebody said yes, and gave the place back.
    gave_back: bool,
    /// Anybody was asked.
    anybody: bool,
}

impl Asked {
    const fn so_far(self) -> &'static str {
        match self {
            Self {
                gave_back: true, ..
            } => "letter-uncovered-back",
            Self { anybody: true, .. } => "letter-uncovered",
            Self { anybody: false, .. } => "letter-uncovered-unasked",
        }
    }
}

fn content(name: Option<&str>, turn: &TurnSaid, asked: Asked, keys: &Keys) -> Content {
    let mut parts = vec![
        greeting(name),
        Part::sentence(turn.say(asked.so_far())),
        Part::sentence(match keys.must {
            Some(_) if keys.is_dry => Phrase::of("letter-uncovered-dry"),
            Some((reason, at)) => Phrase::of("letter-uncovered-must")
                .with("reason", Value::Code(reason.code()))
                .with("until", Value::Until(at)),
            None => Phrase::of("letter-uncovered-can-wait").with(
                "reason",
                Value::Code(keys.welcome.map_or("unknown", Reason::code)),
            ),
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
        parts.push(Part::Heading(match keys.next {
            Some(next) => Phrase::of("letter-uncovered-until").with("date", Value::Date(next)),
            None => Phrase::of("letter-uncovered-alone"),
        }));
        parts.push(Part::Points(keys.alone.iter().map(alone).collect()));
    }
    let still = Phrase::of("letter-uncovered-still");
    let still = asked.anybody.then_some(still);
    let next = [Phrase::of("letter-uncovered-next")]
        .into_iter()
        .chain(still);
    parts.push(Part::Paragraph(next.collect()));
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
        is_dry: false,
        next: None,
        welcome: None,
    };
    let dry = Keys {
        alone: vec![moment(3, 1.0, true, true), moment(5, 0.98, true, true)],
        is_dry: true,
        next: Some(day(5)),
        call,
        must: must.must,
        welcome: None,
    };
    let can_wait = Keys {
        call,
        must: None,
        alone: Vec::new(),
        is_dry: false,
        next: None,
        welcome: Some(Reason::Hungry),
    };
    let asked = |gave_back, anybody| Asked { gave_back, anybody };
    let turn = |with_hours| super::cover_ground::sample(now, with_hours);
    vec![
        content(Some("Cy"), &turn(true), asked(false, true), &must),
        content(None, &turn(false), asked(false, false), &can_wait),
        content(None, &turn(false), asked(true, true), &dry),
    ]
}
