//! Who is written to when a rota is put up.

use super::DeskError;
use super::asked_rota::Asked;
use super::at_hand::unreadable;
use super::letters::{LostTurn, RotaChanges, not_told_of, of_rota, over_at};
use super::seating::Seat;
use super::turns::zone_of_site;
use crate::clock;
use crate::store::rotas::RotaRow;
use crate::store::turns::TurnRow;
use crate::store::{Conn, letters};
use chrono::{DateTime, Utc};
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;
use wormrota_domain::ids::{BinId, BookingId, MemberId, RotaId, SiteId, TurnId};
use wormrota_domain::turns::Duty;

/// What a rota means for one member.
#[derive(Default)]
struct Part {
    /// Whether they have a place of one of its turns.
    holds: bool,
    changes: RotaChanges,
}

impl Part {
    fn is_changed(&self) -> bool {
        !self.changes.gained.is_empty() || !self.changes.lost.is_empty()
    }
}

/// Owes a letter to everybody who has a place by the rota or lost one, all in one statement.
/// Where it changes one that is in force, those whose turns stay hear nothing, unless they did
/// not hear of that one either.
pub(super) async fn owe_word(
    conn: &mut Conn,
    row: &RotaRow,
    asked: &Asked,
    (turns, seats): (&[TurnRow], &[Seat]),
    given_back: &BTreeSet<BookingId>,
    now: DateTime<Utc>,
) -> Result<(), DeskError> {
    let site = SiteId(row.site_id);
    let mut parts = parts(row, turns, seats, given_back)?;
    parts.retain(|member, part| part.is_changed() || part.holds && asked.member(*member).is_some());
    if let Some(old) = row.replans_id {
        let members: Vec<MemberId> = parts.keys().copied().collect();
        let not_told = not_told_of(conn, RotaId(old), &members).await?;
        parts.retain(|member, part| part.is_changed() || not_told.contains(member));
    }
    // Letters go by the machine's clock, which the demo does not move.
    let wall = clock::wall();
    let zone = zone_of_site(conn, site).await?;
    let too_late_at = over_at(zone, row.last_day, now, wall);
    let letter = |(member, part): (MemberId, Part)| {
        let whom = (site, member);
        of_rota(whom, RotaId(row.id), part.changes, too_late_at, wall)
    };
    let rows: Vec<_> = parts.into_iter().map(letter).collect();
    Ok(letters::owe(conn, &rows).await?)
}

fn parts(
    row: &RotaRow,
    turns: &[TurnRow],
    seats: &[Seat],
    given_back: &BTreeSet<BookingId>,
) -> Result<BTreeMap<MemberId, Part>, DeskError> {
    let turns: BTreeMap<Uuid, &TurnRow> = turns.iter().map(|turn| (turn.id, turn)).collect();
    let from = row.replan_from.unwrap_or(row.first_day);
    let mut parts: BTreeMap<MemberId, Part> = BTreeMap::new();
    for seat in seats {
        let turn = turns.get(&seat.place.turn_id);
        let Some(turn) = turn.filter(|turn| turn.on_date >= from) else {
            continue;
        };
        let turn_id = TurnId(turn.id);
        if let Some(member) = seat.then_member() {
            let part = parts.entry(member).or_default();
            part.holds = true;
            if seat.changes() {
                part.changes.gained.push(turn_id);
            }
        }
        let before = seat.place.member_id.map(MemberId);
        if let Some(member) = before.filter(|_| seat.changes()) {
            let booking = seat.place.booking_id.map(BookingId);
            let lost = LostTurn {
                turn_id,
                bin_id: BinId(turn.bin_id),
                on_date: turn.on_date,
                duty: Duty::from_code(&turn.duty).ok_or_else(|| unreadable("turns.duty"))?,
                room_gone: booking.is_some_and(|booking| given_back.contains(&booking)),
            };
            parts.entry(member).or_default().changes.lost.push(lost);
        }
    }
    Ok(parts)
}
