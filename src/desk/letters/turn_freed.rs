//! Whoever gave up turns themselves needs no news of it; but where a letter brought them into
//! their calendar, another takes them out again.

use super::content::{Content, Part};
use super::cover_ground::TurnSaid;
use super::in_calendar::InCalendar;
use super::receiver::{Receiver, greeting};
use super::{Appointment, Found, Reading};
use crate::desk::DeskError;
use crate::desk::post::{For, Owing};
use crate::store::letters::LetterRow;
use crate::store::{Conn, places, turns};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use wormrota_domain::ids::{MemberId, SiteId, TurnId};
use wormrota_domain::letters::LetterKind;
use wormrota_domain::phrase::{Phrase, Value};

#[derive(Serialize, Deserialize)]
struct Keys {
    turn: TurnId,
    /// What was given up with it; older rows have one letter for each.
    #[serde(default)]
    others: Vec<TurnId>,
}

/// The letter to a member who gave up turns at `now`; none for no turn.
pub(in crate::desk) fn of_freed_turns(
    (site, member): (SiteId, MemberId),
    turns: &[TurnId],
    now: DateTime<Utc>,
    too_late_at: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> Option<LetterRow> {
    let (turn, others) = turns.split_first()?;
    let keys = Keys {
        turn: *turn,
        others: others.to_vec(),
    };
    let row = Owing {
        kind: LetterKind::TurnFreed,
        purpose: format!("{turn}:{member}:{}", now.timestamp_micros()),
        whom: For::Member(site, member),
        too_late_at,
        links_until: None,
    }
    .row(&keys, wall);
    Some(row)
}

pub(super) async fn read(conn: &mut Conn, at: &Reading) -> Result<Found, DeskError> {
    let receiver = match Receiver::of(at)? {
        Ok(receiver) => receiver,
        Err(nobody) => return Ok(nobody),
    };
    let Keys { turn, others } = at.keys()?;
    let (site, member) = (receiver.site, receiver.member);
    let ids: Vec<TurnId> = [turn].into_iter().chain(others).collect();
    let held = places::of_turns(conn, site, &ids).await?;
    let comes = |turn: TurnId| {
        let mut held = held.iter().filter(|place| place.turn_id == turn.0);
        held.any(|place| place.member_id == Some(member.0))
    };
    let in_calendar = InCalendar::before(conn, at, (site, member)).await?;
    let mut freed = Vec::new();
    for turn in ids {
        if comes(turn) || !in_calendar.has(conn, turn).await? {
            continue;
        }
        let Some(row) = turns::by_id(conn, site, turn).await? else {
            continue;
        };
        if let Some(said) = TurnSaid::of(conn, &row, receiver.speech.zone).await? {
            freed.push((turn, said));
        }
    }
    if freed.is_empty() {
        return Ok(Found::Settled);
    }
    freed.sort_by_key(|(_, said)| said.on_date);
    let said: Vec<&TurnSaid> = freed.iter().map(|(_, said)| said).collect();
    let mut content = content(receiver.name.as_deref(), &receiver.site_name, &said);
    let off = |(turn, said): &(TurnId, TurnSaid)| Appointment {
        is_off: true,
        ..(said.told()).appointment(*turn, member, &receiver.site_name)
    };
    content.calendar = freed.iter().map(off).collect();
    Ok(receiver.letter(content))
}

fn content(name: Option<&str>, site: &str, turns: &[&TurnSaid]) -> Content {
    let thanks = Phrase::of("letter-turn-freed-thanks");
    if let [turn] = turns {
        let said = vec![turn.say("letter-turn-freed"), thanks];
        let parts = vec![greeting(name), Part::Paragraph(said)];
        return Content::of(turn.say("letter-turn-freed-subject"), parts);
    }
    let about = |code| Phrase::of(code).with_text("site", site);
    let points = turns.iter().map(|turn| turn.told().point());
    let parts = vec![
        greeting(name),
        Part::sentence(about("letter-turns-freed")),
        Part::Points(points.collect()),
        in_files(turns.len()),
        Part::sentence(thanks),
    ];
    Content::of(about("letter-turns-freed-subject"), parts)
}

/// What the attached files of a letter are that says something of several turns to a calendar.
pub(super) fn in_files(count: usize) -> Part {
    let count = Value::Count(u64::try_from(count).unwrap_or(u64::MAX));
    Part::Aside(vec![Phrase::of("letter-turns-files").with("count", count)])
}

/// Letters of this kind, for reading them all.
#[cfg(test)]
pub(super) fn samples(now: DateTime<Utc>) -> Vec<Content> {
    let turn = super::cover_ground::sample(now, true);
    let later = TurnSaid {
        on_date: turn.on_date + chrono::Days::new(7),
        hours: None,
        ..turn.clone()
    };
    vec![
        content(Some("Bo"), "Elm Court", &[&turn]),
        content(Some("Bo"), "Elm Court", &[&turn, &later]),
    ]
}
