//! Whoever heard that nobody comes to turns of a bin hears that they are settled, once all are.

use super::content::{Content, Part};
use super::cover_ground::TurnSaid;
use super::receiver::{Receiver, greeting};
use super::told_together::{AboutCall, Together, soon};
use super::{Found, Reading};
use crate::desk::DeskError;
use crate::desk::cover::{CallAtHand, calls_of_bin};
use crate::desk::post::{For, Owing};
use crate::store::letters::LetterRow;
use crate::store::{Conn, letters_together, turns};
use chrono::{DateTime, Utc};
use std::collections::BTreeSet;
use wormrota_domain::cover::call::CallState;
use wormrota_domain::ids::{BinId, CallId, MemberId, TurnId};
use wormrota_domain::letters::LetterKind;
use wormrota_domain::phrase::Phrase;

/// The letters to those who were owed word that nobody comes to the turn of a call, now that nobody
/// is looked for any more; `but` knows it, who comes or did it themselves.
pub(in crate::desk) async fn of_covered_again(
    conn: &mut Conn,
    call: &CallAtHand,
    but: Option<MemberId>,
    now: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> Result<Vec<LetterRow>, DeskError> {
    let Some(turn) = turns::by_id(conn, call.site(), call.turn()).await? else {
        return Ok(Vec::new());
    };
    let keys = AboutCall {
        call: call.id(),
        bin: BinId(turn.bin_id),
    };
    let kind = LetterKind::Uncovered;
    let warned = letters_together::about_bin(conn, call.site(), kind, keys.bin).await?;
    let is_own = |row: &&LetterRow| {
        let about = AboutCall::of(row);
        about.is_some_and(|about| about.call == keys.call)
    };
    let whom: BTreeSet<MemberId> = (warned.iter().filter(is_own))
        .filter_map(|row| row.member_id.map(MemberId))
        .filter(|member| but != Some(*member))
        .collect();
    let letter = |member: MemberId| {
        Owing {
            kind: LetterKind::CoveredAgain,
            // Once more when nobody came again in between.
            purpose: format!("{}:{member}:{}", keys.call, now.timestamp_micros()),
            whom: For::Member(call.site(), member),
            too_late_at: wall + (call.call.turn_at - now),
            links_until: None,
        }
        .row(&keys, wall)
    };
    Ok(whom.into_iter().map(letter).collect())
}

pub(super) async fn read(conn: &mut Conn, at: &Reading) -> Result<Found, DeskError> {
    let receiver = match Receiver::of(at)? {
        Ok(receiver) => receiver,
        Err(nobody) => return Ok(nobody),
    };
    let AboutCall { bin, .. } = at.keys()?;
    let to = (receiver.site, receiver.member);
    let own = Together::of(conn, to, LetterKind::CoveredAgain, bin).await?;
    let warned = Together::of(conn, to, LetterKind::Uncovered, bin).await?;
    let calls = calls_of_bin(conn, receiver.site, bin, at.by.now).await?;
    if own.is_said(at) {
        return Ok(Found::Settled);
    }
    if let Some(until) = own.waits(at) {
        return Ok(Found::Waits(until));
    }
    // What was said before the last such letter is over with it.
    let cleared_at = own.told().filter_map(|row| row.closed_at).max();
    let since = |row: &&LetterRow| row.closed_at > cleared_at;
    let told: BTreeSet<CallId> = (warned.told().filter(since))
        .filter_map(|row| Some(AboutCall::of(row)?.call))
        .collect();
    let is_told = |call: &&CallAtHand| told.contains(&call.id());
    let is_missing = |call: &CallAtHand| {
        call.call.state == CallState::Nobody || (call.call.state.is_open() && is_told(&call))
    };
    // When somebody is found for it, another such letter is owed.
    if calls.iter().any(is_missing) {
        return Ok(Found::Settled);
    }
    let settled: Vec<&CallAtHand> = calls.iter().filter(is_told).collect();
    if settled.is_empty() {
        return Ok(if warned.any_under_way() {
            Found::Waits(soon(at))
        } else {
            Found::Settled
        });
    }
    let days = days(conn, &receiver, &settled).await?;
    if days.is_empty() {
        return Ok(Found::Settled);
    }
    let content = content(receiver.name.as_deref(), &days).about(bin.0);
    let owed: Vec<CallId> = own
        .0
        .iter()
        .filter_map(|row| Some(AboutCall::of(row)?.call))
        .collect();
    let speaks_for = own.spoken_for(at, &owed);
    Ok(receiver.letter_for(speaks_for, content))
}

/// The turns of calls, each once, with whether somebody comes.
async fn days(
    conn: &mut Conn,
    receiver: &Receiver,
    calls: &[&CallAtHand],
) -> Result<Vec<(TurnSaid, bool)>, DeskError> {
    let comes = |call: &&&CallAtHand| call.call.state != CallState::LeftEmpty;
    let with_somebody: BTreeSet<TurnId> =
        calls.iter().filter(comes).map(|call| call.turn()).collect();
    let mut ids: Vec<TurnId> = calls.iter().map(|call| call.turn()).collect();
    // Calls come in the order of their turns.
    ids.dedup();
    let mut days = Vec::with_capacity(ids.len());
    for id in ids {
        let Some(row) = turns::by_id(conn, receiver.site, id).await? else {
            continue;
        };
        let said = TurnSaid::of(conn, &row, receiver.speech.zone).await?;
        days.extend(said.map(|said| (said, with_somebody.contains(&id))));
    }
    Ok(days)
}

fn content(name: Option<&str>, days: &[(TurnSaid, bool)]) -> Content {
    let mut parts = vec![greeting(name)];
    let done = Phrase::of("letter-covered-again-done");
    let say = |(turn, comes): &(TurnSaid, bool), codes: [&'static str; 2]| {
        turn.say(if *comes { codes[0] } else { codes[1] })
    };
    let one = ["letter-covered-again", "letter-covered-again-empty"];
    let point = ["letter-covered-again-day", "letter-covered-again-day-empty"];
    let about = |code| days.first().map(|(turn, _)| turn.say(code));
    if let [day] = days {
        parts.push(Part::Paragraph(vec![say(day, one), done]));
    } else {
        parts.extend(about("letter-covered-again-days").map(Part::sentence));
        let points = days.iter().map(|day| say(day, point));
        parts.push(Part::Points(points.collect()));
        parts.push(Part::sentence(done));
    }
    let subject = about("letter-covered-again-subject");
    Content::of(
        subject.unwrap_or(Phrase::of("letter-covered-again-done")),
        parts,
    )
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    let day = |later, comes| {
        let now = now + chrono::TimeDelta::days(later);
        (super::cover_ground::sample(now, later == 0), comes)
    };
    vec![
        content(Some("Cy"), &[day(0, true)]),
        content(None, &[day(1, false)]),
        content(Some("Cy"), &[day(0, true), day(3, false)]),
    ]
}
