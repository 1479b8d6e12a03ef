//! The calls of one turn, which are one question to those who are asked: see
//! [`wormrota_domain::cover::question`].

use super::call_at_hand::{CallAtHand, refused};
use crate::desk::DeskError;
use crate::desk::letters::of_closed_call;
use crate::store::letters::LetterRow;
use crate::store::{Conn, calls, places, turns};
use chrono::{DateTime, Utc};
use std::collections::BTreeSet;
use wormrota_domain::cover::call::Call;
use wormrota_domain::cover::event::Event;
use wormrota_domain::cover::question::{need_not_come, yes_counts_for};
use wormrota_domain::ids::{BinId, MemberId};

/// The other calls of the turn of one, whether they are over or not, the oldest first.
pub(super) async fn beside(
    conn: &mut Conn,
    call: &CallAtHand,
) -> Result<Vec<CallAtHand>, DeskError> {
    let mut rows = calls::all_of_turn(conn, call.site(), call.turn()).await?;
    rows.retain(|row| row.id != call.row.id);
    CallAtHand::with_answers(conn, call.site(), rows).await
}

/// The other calls in which people were asked about the turn while one went on.
pub(in crate::desk) async fn asked_beside(
    conn: &mut Conn,
    call: &CallAtHand,
) -> Result<Vec<CallAtHand>, DeskError> {
    let since = call.row.created_at;
    let mut others = beside(conn, call).await?;
    others.retain(|other| other.row.closed_at.is_none_or(|at| at > since));
    Ok(others)
}

/// The call that a member's yes to one counts for: one in which they come to the turn already, or
/// else one whose place is free; that one itself where there is none.
pub(in crate::desk) async fn answered_call(
    conn: &mut Conn,
    call: CallAtHand,
    by: MemberId,
) -> Result<CallAtHand, DeskError> {
    let mut others = beside(conn, &call).await?;
    others.retain(|other| other.row.closed_at.is_none());
    let mut all: Vec<CallAtHand> = [call].into_iter().chain(others).collect();
    let comes = all.iter().position(|one| one.call.helper == Some(by));
    let calls: Vec<&Call> = all.iter().map(|one| &one.call).collect();
    let at = comes.or_else(|| yes_counts_for(&calls, 0)).unwrap_or(0);
    Ok(all.swap_remove(at))
}

/// Whether somebody is looked for in any call of the turn of one.
pub(in crate::desk) async fn is_asked_for(
    conn: &mut Conn,
    call: &CallAtHand,
) -> Result<bool, DeskError> {
    let others = beside(conn, call).await?;
    let open = |call: &CallAtHand| call.call.state.is_open();
    Ok(open(call) || others.iter().any(open))
}

/// The letters to those who need not answer any more now that a call stands as it does. Who was
/// told before is not told again.
pub(super) async fn of_settled_turn(
    conn: &mut Conn,
    call: &CallAtHand,
    now: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> Result<Vec<LetterRow>, DeskError> {
    let others = beside(conn, call).await?;
    let all: Vec<&CallAtHand> = [call].into_iter().chain(&others).collect();
    let held = places::of_turns(conn, call.site(), &[call.turn()]).await?;
    let come: BTreeSet<MemberId> = (held.iter())
        .filter_map(|place| place.member_id.map(MemberId))
        .collect();
    let calls: Vec<&Call> = all.iter().map(|one| &one.call).collect();
    let told = need_not_come(&calls, &come);
    let letters = told
        .into_iter()
        .flat_map(|(at, member)| of_closed_call(all[at], &[member], now, wall));
    Ok(letters.collect())
}

/// The other calls of the turn hear who comes, or comes no more, by one of them; and whether they
/// and the other turns of the bin are needed is asked again, since whoever comes looks after it.
pub(super) async fn tell_beside(
    conn: &mut Conn,
    call: &CallAtHand,
    event: Option<&Event>,
    now: DateTime<Utc>,
) -> Result<(), DeskError> {
    if let Some(event) = event {
        for mut other in beside(conn, call).await? {
            if other.row.closed_at.is_none() && now < other.call.turn_at {
                other.happen(event, now).map_err(refused)?;
                other.save(conn, now).await?;
            }
        }
    }
    if let Some(turn) = turns::by_id(conn, call.site(), call.turn()).await? {
        calls::look_at_bin(conn, call.site(), BinId(turn.bin_id), now).await?;
    }
    Ok(())
}
