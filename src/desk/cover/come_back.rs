//! Whoever was away comes after all: they have again what nobody took, as far as they may.

use super::call_at_hand::CallAtHand;
use crate::desk::DeskError;
use crate::desk::membership::Membership;
use crate::desk::place_at_hand::{Giving, TurnAtHand, rules_of};
use crate::store::places::How;
use crate::store::{Conn, calls};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use wormrota_domain::cover::call::CallState;
use wormrota_domain::ids::{AbsenceId, MemberId, TurnId};

/// What became of the places of somebody who comes back, the earliest first.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct CameBack {
    /// Turns that are theirs again.
    pub theirs_again: Vec<TurnId>,
    /// Turns that somebody else comes to.
    pub covered: Vec<TurnId>,
    /// Turns whose place is free, and that a rule of the rota keeps from them by now.
    pub kept_from_them: Vec<TurnId>,
}

/// Gives the member back the free places of an absence that is not theirs any more. The member is
/// locked.
pub(in crate::desk) async fn come_back(
    conn: &mut Conn,
    who: &Membership,
    member: MemberId,
    absence: AbsenceId,
    now: DateTime<Utc>,
) -> Result<CameBack, DeskError> {
    let site = who.site;
    let rows = calls::of_absence(conn, site, absence.0).await?;
    let ids: BTreeSet<TurnId> = rows.iter().map(|row| TurnId(row.turn_id)).collect();
    let ids: Vec<TurnId> = ids.into_iter().collect();
    let mut turns = TurnAtHand::lock_all(conn, site, &ids).await?;
    turns.sort_by_key(|turn| (turn.row.on_date, turn.row.id));
    // Behind the locks: somebody may have taken one meanwhile.
    let rows = calls::of_absence(conn, site, absence.0).await?;
    let calls = CallAtHand::with_answers(conn, site, rows).await?;
    let mut found = CameBack::default();
    for turn in &mut turns {
        let id = turn.id();
        let of_turn = |call: &&CallAtHand| call.turn() == id && call.call.turn_at > now;
        let Some(call) = calls.iter().find(of_turn) else {
            continue;
        };
        if call.call.state == CallState::Covered {
            found.covered.push(id);
            continue;
        }
        if takes_again(conn, who, member, turn, call, now).await? {
            found.theirs_again.push(id);
        } else {
            found.kept_from_them.push(id);
        }
    }
    Ok(found)
}

async fn takes_again(
    conn: &mut Conn,
    who: &Membership,
    member: MemberId,
    turn: &mut TurnAtHand,
    call: &CallAtHand,
    now: DateTime<Utc>,
) -> Result<bool, DeskError> {
    if turn.row.called_off.is_none() {
        let rules = rules_of(conn, who, &[turn], &[member]).await?;
        match rules.insist_on_coming(who, (member, turn.id())) {
            Ok(()) => {}
            Err(
                DeskError::RulesBroken(_)
                | DeskError::NoFreePlace
                | DeskError::HeldAlready
                | DeskError::TurnOver,
            ) => return Ok(false),
            Err(other) => return Err(other),
        }
    }
    let place = (turn.places.iter_mut())
        .find(|place| place.id == call.row.place_id && place.holder().is_none());
    let Some(place) = place else {
        return Ok(false);
    };
    let giving = Giving {
        to: member,
        how: How::Assigned,
        kept: None,
        booking: None,
    };
    giving.write(conn, place, now).await?;
    Ok(true)
}
