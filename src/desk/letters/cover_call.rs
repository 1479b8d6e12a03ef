//! Somebody is asked to come to a turn, in the stead of who cannot or where nobody does.

use super::content::{Answer, Content, Part};
use super::cover_ground::{TurnSaid, call_and_turn};
use super::receiver::{Receiver, greeting};
use super::{Found, Reading};
use crate::desk::DeskError;
use crate::desk::cover::{CallAtHand, asked_beside, is_asked_for};
use crate::desk::credentials::LinkFor;
use crate::desk::post::{For, Owing};
use crate::store::Conn;
use crate::store::letters::LetterRow;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use wormrota_domain::cover::answer::AnswerState;
use wormrota_domain::ids::{CallId, MemberId};
use wormrota_domain::letters::{LetterDeed, LetterKind};
use wormrota_domain::phrase::{Phrase, Value};

#[derive(Serialize, Deserialize)]
struct Keys {
    call: CallId,
    answer_by: DateTime<Utc>,
}

/// The letters to those who are asked.
pub(in crate::desk) fn of_call(
    call: &CallAtHand,
    whom: &[MemberId],
    answer_by: DateTime<Utc>,
    now: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> Vec<LetterRow> {
    // Until it is too late to come: a late yes counts as well while nobody else has said it.
    let until = wall + (call.call.turn_at - now);
    let keys = Keys {
        call: call.id(),
        answer_by,
    };
    let letter = |member: &MemberId| {
        Owing {
            kind: LetterKind::CoverCall,
            purpose: format!("{}:{member}", keys.call),
            whom: For::Member(call.site(), *member),
            too_late_at: until,
            links_until: Some(until),
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
    let Keys { call, answer_by } = at.keys()?;
    let zone = receiver.speech.zone;
    let Some((call, turn)) = call_and_turn(conn, (receiver.site, call), zone).await? else {
        return Ok(Found::Settled);
    };
    let own = call.call.answers.get(&receiver.member);
    let asked =
        own.is_some_and(|answer| matches!(answer.state, AnswerState::Asked | AnswerState::Closed));
    let asks = asked && at.by.now < call.call.turn_at && is_asked_for(conn, &call).await?;
    if !asks {
        return Ok(Found::Settled);
    }
    let others = asked_beside(conn, &call).await?;
    let others: BTreeSet<MemberId> = (others.iter())
        .chain([&call])
        .flat_map(|call| call.call.answers.keys().copied())
        .filter(|member| *member != receiver.member)
        .collect();
    let token = |deed| at.credentials.links.token(LinkFor::Letter(deed), at.row.id);
    let answers = [LetterDeed::CoverYes, LetterDeed::CoverNo].map(|deed| (deed, token(deed)));
    let content = content(
        receiver.name.as_deref(),
        &turn,
        Asking {
            stands_in: call.away().is_some(),
            answer_by,
            others: others.len(),
        },
        answers,
    );
    Ok(receiver.letter(content))
}

/// How somebody is asked.
#[derive(Clone, Copy)]
struct Asking {
    /// Whether it is for somebody who cannot come; else nobody ever held the place.
    stands_in: bool,
    answer_by: DateTime<Utc>,
    /// How many others were asked.
    others: usize,
}

fn content(
    name: Option<&str>,
    turn: &TurnSaid,
    asking: Asking,
    answers: [(LetterDeed, String); 2],
) -> Content {
    let Asking {
        stands_in,
        answer_by,
        others,
    } = asking;
    let answer = |(deed, token)| Answer {
        label: Phrase::of(match deed {
            LetterDeed::CoverYes => "letter-call-yes",
            _ => "letter-call-no",
        }),
        deed,
        token,
    };
    let others = u64::try_from(others).unwrap_or(u64::MAX);
    let others = Phrase::of("letter-call-others").with("count", Value::Count(others));
    let by = Phrase::of("letter-call-by").with("until", Value::Until(answer_by));
    Content::of(
        turn.say("letter-call-subject"),
        vec![
            greeting(name),
            Part::Paragraph(vec![
                turn.say(if stands_in {
                    "letter-call"
                } else {
                    "letter-call-free"
                }),
                turn.say("letter-call-counts"),
            ]),
            Part::Paragraph(vec![
                turn.say("letter-cover-bring"),
                Phrase::of("letter-cover-care"),
            ]),
            Part::sentence(by),
            Part::Answers(answers.map(answer).into()),
            Part::Aside(vec![others]),
        ],
    )
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    let by = now + chrono::TimeDelta::hours(30);
    let links =
        || [LetterDeed::CoverYes, LetterDeed::CoverNo].map(|deed| (deed, "SECRET".to_owned()));
    let mut turn = super::cover_ground::sample(now, true);
    let asking = |stands_in, others| Asking {
        stands_in,
        answer_by: by,
        others,
    };
    let first = content(Some("Ana"), &turn, asking(true, 2), links());
    let free = content(Some("Ana"), &turn, asking(false, 1), links());
    turn = super::cover_ground::sample(now, false);
    turn.duty = wormrota_domain::turns::Duty::Watering;
    turn.effort = 2;
    let second = content(None, &turn, asking(true, 0), links());
    vec![first, second, free]
}
