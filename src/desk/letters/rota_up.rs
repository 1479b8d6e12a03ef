//! A rota that was put up: the turns that somebody has in it, or what became of them where it
//! changes one that they know.

use super::content::Appointment;
use super::in_calendar::InCalendar;
use super::receiver::Receiver;
use super::rota_told::RotaTold;
use super::turn_ground::TurnGround;
use super::turn_words::TurnTold;
use super::{Found, Reading};
use crate::desk::DeskError;
use crate::desk::post::{For, Owing};
use crate::store::letters::{self, LetterRow};
use crate::store::rotas::{self, RotaRow, RotaState};
use crate::store::{Conn, places};
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use wormrota_domain::ids::{BinId, MemberId, RotaId, SiteId, TurnId};
use wormrota_domain::letters::{LetterKind, LetterState};
use wormrota_domain::turns::Duty;

/// What a rota changed for one member.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(in crate::desk) struct RotaChanges {
    /// Turns of which they got a place.
    pub gained: Vec<TurnId>,
    /// Turns of which they lost one.
    pub lost: Vec<LostTurn>,
}

/// A turn that somebody has no more. It may be gone when that is told, so its day stands here
/// too.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub(in crate::desk) struct LostTurn {
    /// The turn.
    pub turn_id: TurnId,
    /// The bin.
    pub bin_id: BinId,
    /// The local day.
    pub on_date: NaiveDate,
    /// What is to be done.
    pub duty: Duty,
    /// Whether room that was booked for it is given back.
    pub room_gone: bool,
}

#[derive(Serialize, Deserialize)]
struct Keys {
    rota: RotaId,
    #[serde(flatten)]
    changes: RotaChanges,
}

/// The letter to a member about a rota that is put up; one for each.
pub(in crate::desk) fn of_rota(
    (site, member): (SiteId, MemberId),
    rota: RotaId,
    changes: RotaChanges,
    too_late_at: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> LetterRow {
    Owing {
        kind: LetterKind::RotaUp,
        purpose: purpose(rota, member),
        whom: For::Member(site, member),
        too_late_at,
        links_until: None,
    }
    .row(&Keys { rota, changes }, wall)
}

fn purpose(rota: RotaId, member: MemberId) -> String {
    format!("{rota}:{member}")
}

/// Those of some members whom no letter told of a rota.
pub(in crate::desk) async fn not_told_of(
    conn: &mut Conn,
    rota: RotaId,
    members: &[MemberId],
) -> Result<BTreeSet<MemberId>, DeskError> {
    let purposes: Vec<String> = members.iter().map(|one| purpose(rota, *one)).collect();
    let rows = letters::of_purposes(conn, LetterKind::RotaUp, &purposes).await?;
    let unsent = rows.iter().filter(|row| !is_sent(row));
    Ok(unsent
        .filter_map(|row| row.member_id.map(MemberId))
        .collect())
}

fn is_sent(row: &LetterRow) -> bool {
    row.state == LetterState::Sent.code()
}

pub(super) async fn read(conn: &mut Conn, at: &Reading) -> Result<Found, DeskError> {
    let receiver = match Receiver::of(at)? {
        Ok(receiver) => receiver,
        Err(nobody) => return Ok(nobody),
    };
    let (site, member) = (receiver.site, receiver.member);
    let Keys { rota, changes } = at.keys()?;
    let row = rotas::by_id(conn, site, rota).await?;
    let Some(row) = row.filter(|row| row.state == RotaState::PutUp.code()) else {
        return Ok(Found::Settled);
    };
    let ground = TurnGround::load(conn, at, &receiver).await?;
    let from = row.replan_from.unwrap_or(row.first_day).max(ground.today);
    let held = places::of_member(conn, site, member, from, row.last_day).await?;
    let held: Vec<TurnId> = held
        .iter()
        .map(|(_, place)| TurnId(place.turn_id))
        .collect();
    let told = told_before(conn, &row, member).await?;
    let turns: Vec<(TurnId, TurnTold)> = (ground.turns(conn, &held).await?.iter())
        .map(|turn| (turn.id, ground.told(turn)))
        .collect();
    let is_lost = |lost: &&LostTurn| {
        lost.on_date >= from && !held.contains(&lost.turn_id) && !told.never_known(lost.turn_id)
    };
    let lost: Vec<&LostTurn> = changes.lost.iter().filter(is_lost).collect();
    let lost = lost_turns(conn, &ground, &lost).await?;
    let in_calendar = InCalendar::before(conn, at, (site, member)).await?;
    let mut off = Vec::new();
    for (one, told) in &lost {
        if in_calendar.has(conn, one.turn_id).await? {
            off.push(Appointment {
                is_off: true,
                ..told.appointment(one.turn_id, member, &receiver.site_name)
            });
        }
    }
    let up = RotaTold {
        name: receiver.name.clone(),
        site: receiver.site_name.clone(),
        span: (row.first_day, row.last_day),
        knows_the_rest: matches!(told, ToldBefore::OfAll),
        turns: match told {
            ToldBefore::OfAll => only(turns, &changes.gained),
            _ => turns.into_iter().map(|(_, turn)| turn).collect(),
        },
        rooms_gone: lost.iter().filter(|(one, _)| one.room_gone).count(),
        lost: lost.into_iter().map(|(_, told)| told).collect(),
        off,
        help: ground.help.clone(),
    };
    if up.turns.is_empty() && up.lost.is_empty() {
        return Ok(Found::Settled);
    }
    Ok(receiver.letter(up.content()))
}

/// What a member heard of the rota that another one changes.
enum ToldBefore {
    /// There was none.
    Nothing,
    /// What they have in it.
    OfAll,
    /// Nothing, although there was a letter: of what it would have told of.
    NotOf(Vec<TurnId>),
}

impl ToldBefore {
    /// Whether the reader never heard that they had a turn.
    fn never_known(&self, turn: TurnId) -> bool {
        matches!(self, Self::NotOf(turns) if turns.contains(&turn))
    }
}

async fn told_before(
    conn: &mut Conn,
    row: &RotaRow,
    member: MemberId,
) -> Result<ToldBefore, DeskError> {
    let Some(old) = row.replans_id else {
        return Ok(ToldBefore::Nothing);
    };
    let purpose = purpose(RotaId(old), member);
    let rows = letters::of_purposes(conn, LetterKind::RotaUp, &[purpose]).await?;
    Ok(match rows.first() {
        // Their turns were as they had them themselves, or it is so long ago that it is forgotten.
        None => ToldBefore::OfAll,
        Some(row) if is_sent(row) => ToldBefore::OfAll,
        Some(row) => {
            let keys = Keys::deserialize(&row.payload).ok();
            ToldBefore::NotOf(keys.map(|keys| keys.changes.gained).unwrap_or_default())
        }
    })
}

fn only(turns: Vec<(TurnId, TurnTold)>, of: &[TurnId]) -> Vec<TurnTold> {
    let gained = turns.into_iter().filter(|(id, _)| of.contains(id));
    gained.map(|(_, turn)| turn).collect()
}

/// The turns that somebody has no more, with their hours where they are still there.
async fn lost_turns(
    conn: &mut Conn,
    ground: &TurnGround,
    lost: &[&LostTurn],
) -> Result<Vec<(LostTurn, TurnTold)>, DeskError> {
    let ids: Vec<TurnId> = lost.iter().map(|one| one.turn_id).collect();
    let there = ground.turns(conn, &ids).await?;
    let told = |one: &&LostTurn| {
        let hours = there.iter().find(|turn| turn.id == one.turn_id);
        let hours = hours.and_then(|turn| turn.hours);
        let told = TurnTold {
            bin: ground.bin(one.bin_id),
            on_date: one.on_date,
            duty: one.duty,
            hours: hours.map(|hours| (hours.opens_at, hours.closes_at)),
            with: Vec::new(),
        };
        (**one, told)
    };
    Ok(lost.iter().map(told).collect())
}
