//! Whoever looks after a site is told that nobody comes to turns of a bin, until when somebody
//! must, and what becomes of the bin if nobody does.

use super::cover_ground::TurnSaid;
use super::receiver::Receiver;
use super::told_together::{AboutCall, Together, until_looked_at};
use super::uncovered_words::{Asked, Day, Fate, Told};
use super::{Found, Reading};
use crate::desk::DeskError;
use crate::desk::at_hand::SiteAtHand;
use crate::desk::cover::{ALONE_DAYS, BinCourse, CallAtHand, KeptNeed, asked_beside, calls_of_bin};
use crate::desk::post::{For, Owing};
use crate::store::letters::LetterRow;
use crate::store::{Conn, turns, visits};
use chrono::{DateTime, Utc};
use wormrota_domain::cover::answer::AnswerState;
use wormrota_domain::cover::call::CallState;
use wormrota_domain::ids::{BinId, CallId, MemberId, SiteId, TurnId};
use wormrota_domain::letters::LetterKind;

/// The letters to those who look after the site, about a call that nobody was found for.
pub(in crate::desk) fn of_uncovered(
    call: &CallAtHand,
    bin: BinId,
    keepers: &[MemberId],
    now: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> Vec<LetterRow> {
    let keys = AboutCall {
        call: call.id(),
        bin,
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
    let AboutCall { call, bin } = at.keys()?;
    let (site, now) = (receiver.site, at.by.now);
    let to = (site, receiver.member);
    // Before the calls: those of all rows that are found stand among them.
    let together = Together::of(conn, to, LetterKind::Uncovered, bin).await?;
    let mut calls = calls_of_bin(conn, site, bin, now).await?;
    // They are looked at one after the other.
    let others_are_due = calls.iter().any(|call| call.is_due(now));
    calls.retain(|call| call.call.state == CallState::Nobody);
    if together.is_said(at) || !calls.iter().any(|one| one.id() == call) {
        return Ok(Found::Settled);
    }
    if let Some(until) = together.waits(at) {
        return Ok(Found::Waits(until));
    }
    if let Some(until) = until_looked_at(at, others_are_due) {
        return Ok(Found::Waits(until));
    }
    let mut days = days(conn, site, &calls, &receiver).await?;
    // Its bin is gone.
    let Some(first) = days.first() else {
        return Ok(Found::Settled);
    };
    let bin_name = first.1.turn.bin.clone();
    let turns: Vec<TurnId> = days.iter().map(|(turn, _)| *turn).collect();
    let at_hand = SiteAtHand::load(conn, site).await?;
    let course = BinCourse::load(conn, &at.by.model, &at_hand, bin, now).await?;
    let told = Told {
        name: receiver.name.as_deref(),
        site: &receiver.site_name,
        bin: &bin_name,
        days: days.drain(..).map(|(_, day)| day).collect(),
        asked: asked(conn, &calls).await?,
        fate: course.map_or_else(Fate::default, |course| fate(&course, &turns)),
    };
    let content = told.content().about(bin.0);
    let ids: Vec<CallId> = calls.iter().map(CallAtHand::id).collect();
    let speaks_for = together.spoken_for(at, &ids);
    Ok(receiver.letter_for(speaks_for, content))
}

/// The turns of calls, each once, in their order.
async fn days(
    conn: &mut Conn,
    site: SiteId,
    calls: &[CallAtHand],
    receiver: &Receiver,
) -> Result<Vec<(TurnId, Day)>, DeskError> {
    let mut ids: Vec<TurnId> = calls.iter().map(CallAtHand::turn).collect();
    // Calls come in the order of their turns.
    ids.dedup();
    let visits = visits::among(conn, site, &ids).await?;
    let mut days = Vec::with_capacity(ids.len());
    for id in ids {
        let Some(row) = turns::by_id(conn, site, id).await? else {
            continue;
        };
        let said = TurnSaid::of(conn, &row, receiver.speech.zone).await?;
        let is_shut = visits.contains_key(&id.0);
        days.extend(said.map(|turn| (id, Day { turn, is_shut })));
    }
    Ok(days)
}

async fn asked(conn: &mut Conn, calls: &[CallAtHand]) -> Result<Asked, DeskError> {
    let answers = calls.iter().flat_map(|call| call.call.answers.values());
    let gave_back = (answers.clone()).any(|answer| answer.state == AnswerState::GivenBack);
    let mut anybody = answers.count() > 0;
    for call in calls {
        if anybody {
            break;
        }
        let beside = asked_beside(conn, call).await?;
        anybody = beside.iter().any(|call| !call.call.answers.is_empty());
    }
    Ok(Asked { gave_back, anybody })
}

/// What becomes of the bin if nobody comes to these turns.
fn fate(course: &BinCourse, turns: &[TurnId]) -> Fate {
    let needs: Vec<Option<KeptNeed>> = turns.iter().map(|turn| course.need(*turn)).collect();
    let last_moment = |at: &usize| needs[*at].as_ref().and_then(KeptNeed::last_moment);
    let needed = (0..turns.len()).filter(|at| last_moment(at).is_some());
    let first = needed.min_by_key(last_moment).unwrap_or(0);
    let (Some(turn), Some(need)) = (turns.get(first), needs.get(first).and_then(Option::as_ref))
    else {
        return Fate::default();
    };
    // Asked one after the other, those that are needed count as held.
    let together = course.given_up(turns);
    let needed = |at: &usize| {
        let need = turns.get(*at).and_then(|turn| together.get(turn));
        need.is_some_and(|need| need.last_moment().is_some())
    };
    let mut enough = (0..turns.len()).filter(needed);
    let enough = (turns.len() > 1).then(|| enough.next().filter(|_| enough.next().is_none()));
    Fate {
        must: need.last_moment().map(|at| (need.reason, at)),
        welcome: need.last_moment().is_none().then_some(need.reason),
        is_dry: need.is_dry,
        enough: enough.flatten(),
        // Where nobody must come, what becomes of the bin is none of the turn's doing.
        alone: (need.last_moment())
            .map_or_else(Vec::new, |_| course.left_alone(*turn, &ALONE_DAYS)),
        next: need.next_care_at,
    }
}
