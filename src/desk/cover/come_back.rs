//! Whoever was away comes after all: they have again what nobody took, as they had it before and
//! as far as they may. Whoever came in their stead keeps the place, and nobody need hear of it.

use super::call_at_hand::CallAtHand;
use super::hand_over::given;
use crate::desk::DeskError;
use crate::desk::membership::Membership;
use crate::desk::place_at_hand::{TurnAtHand, rules_of};
use crate::desk::turn_news::TurnNews;
use crate::store::places::{self, Holder, How};
use crate::store::{Conn, calls};
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use wormrota_domain::cover::call::CallState;
use wormrota_domain::ids::{AbsenceId, MemberId, PlaceId, TurnId};

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

/// Gives the member back the free places of an absence on days that are not of it any more. The
/// member is locked.
pub(in crate::desk) async fn come_back(
    conn: &mut Conn,
    who: &Membership,
    (member, absence): (MemberId, AbsenceId),
    is_there: impl Fn(NaiveDate) -> bool,
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
    let mut news = TurnNews::of(who);
    turns.retain(|turn| is_there(turn.row.on_date));
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
            news.came(member, &turn.row)?;
        } else {
            found.kept_from_them.push(id);
        }
    }
    news.owe(conn, absence.0, now).await?;
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
    let how = call.row.held_how.as_deref().and_then(How::from_code);
    let how = how.unwrap_or(How::Assigned);
    place.give(Holder::Member(member), how, now);
    // As if they had never been away: it was in their part of a rota, or it was not.
    place.held_since = call.row.held_since;
    place.kept = call.row.held_kept.unwrap_or(false);
    places::update(conn, place).await?;
    let on = (who.site, PlaceId(place.id));
    given(conn, on, (member, how), now).await?;
    Ok(true)
}
