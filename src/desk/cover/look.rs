//! Looking after calls: who is asked next, when the caretaker is told, and what ends. What is due
//! follows from the tables and the time, so that any number of copies may look.
//!
//! Each call has a transaction of its own, behind the site's lock and that of its turn: one
//! call's trouble stops no other, and nobody is asked twice, or by two calls at once more often
//! than the site wants.

use super::bin_course::{BinCourse, KeptNeed};
use super::call_at_hand::{CallAtHand, refused};
use super::give_up::far_ahead;
use super::seekers::seekers;
use super::turn_calls::{asked_beside, of_settled_turn};
use super::unheld::look_for_unheld;
use crate::desk::at_hand::SiteAtHand;
use crate::desk::letters::{of_call, of_covered_again, of_uncovered};
use crate::desk::place_at_hand::TurnAtHand;
use crate::desk::sites::{self, Site};
use crate::desk::{Desk, DeskError, keepers};
use crate::store::letters::LetterRow;
use crate::store::{Conn, calls, letters, sites as site_rows};
use chrono::{DateTime, TimeDelta, Utc};
use futures_util::FutureExt;
use std::sync::Arc;
use wormrota_domain::cover::call::{Call, CallState};
use wormrota_domain::cover::event::Event;
use wormrota_domain::cover::manner::Manner;
use wormrota_domain::cover::need::Verdict;
use wormrota_domain::cover::rounds::{Next, Search};
use wormrota_domain::ids::{BinId, CallId, SiteId, TurnId};
use wormrota_domain::living_bin::settings::ModelSettings;

/// Calls of one site that are looked at in one go; the rest wait for the next.
const AT_ONCE: i64 = 200;
/// For how long a call that cannot be looked at stands back behind the others.
const PUT_OFF: TimeDelta = TimeDelta::minutes(10);
/// Rounds and words to the caretaker in one look: more follow at the next.
const STEPS: usize = 4;

/// The times by which a call is looked at.
#[derive(Debug, Clone, Copy)]
struct Times {
    now: DateTime<Utc>,
    wall: DateTime<Utc>,
}

/// Looks after every call of a site that is due, those among them that begin because it is time;
/// says how many.
pub(in crate::desk) async fn look_after_calls(
    desk: &Desk,
    site: SiteId,
    now: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> Result<usize, DeskError> {
    if let Err(error) = look_for_unheld(desk, site, now, wall).await {
        tracing::warn!(%site, code = error.code(), "free places are left for later");
    }
    let due = desk
        .store()
        .read("list calls that are due", (), move |conn, ()| {
            async move { Ok::<_, DeskError>(calls::to_look_at(conn, site, now, AT_ONCE).await?) }
                .boxed()
        })
        .await?;
    let mut looked = 0;
    for (call, turn) in due {
        match look_after(desk, (site, call, turn), Times { now, wall }).await {
            Ok(()) => looked += 1,
            Err(error) => {
                tracing::warn!(%site, %call, code = error.code(), "a call is left for later");
                put_off(desk, (site, call), now + PUT_OFF).await?;
            }
        }
    }
    Ok(looked)
}

async fn put_off(
    desk: &Desk,
    (site, call): (SiteId, CallId),
    until: DateTime<Utc>,
) -> Result<(), DeskError> {
    desk.store()
        .transact("put off a call", (), move |conn, ()| {
            async move { Ok::<_, DeskError>(calls::put_off(conn, site, call, until).await?) }
                .boxed()
        })
        .await
}

async fn look_after(
    desk: &Desk,
    (site, call, turn): (SiteId, CallId, TurnId),
    times: Times,
) -> Result<(), DeskError> {
    let model = desk.model();
    desk.store()
        .transact("look after a call", model, move |conn, model| {
            let model = Arc::clone(model);
            async move {
                site_rows::lock(conn, site).await?;
                let Ok(turn) = TurnAtHand::lock(conn, site, turn).await else {
                    return Ok(());
                };
                let call = CallAtHand::load(conn, site, call).await?;
                if call.row.look_at.is_none_or(|at| at > times.now) {
                    // Another copy was here before.
                    return Ok(());
                }
                let looking = Looking {
                    site: sites::load(conn, site).await?,
                    model,
                    turn,
                    times,
                };
                looking.look(conn, call).await
            }
            .boxed()
        })
        .await
}

/// One look at one call.
struct Looking {
    site: Site,
    model: Arc<ModelSettings>,
    turn: TurnAtHand,
    times: Times,
}

impl Looking {
    async fn look(&self, conn: &mut Conn, mut call: CallAtHand) -> Result<(), DeskError> {
        let Times { now, wall } = self.times;
        if now >= call.call.turn_at {
            call.happen(&Event::TurnOver, now).map_err(refused)?;
            return call.save(conn, now).await;
        }
        let mut owed = Vec::new();
        let was_open = call.call.state.is_open();
        // What became a class's by now is shared out there.
        if self.turn.row.called_off.is_some() || self.turn.row.class_id.is_some() {
            if call.call.state.is_open() {
                let need = Verdict::NotNeeded;
                let left = Event::LeftEmpty { need };
                call.happen(&left, now).map_err(refused)?;
            }
            call.look_by_state(now);
        } else if far_ahead(call.call.turn_at, now).is_some() {
            call.reckoned(None, now)?;
        } else {
            let course = self.course(conn).await?;
            let need = course.as_ref().and_then(|course| course.need(call.turn()));
            call.look_by_state(now);
            if call.call.state != CallState::Covered {
                call.reckoned(need.as_ref(), now)?;
            }
            if call.call.state.is_open() {
                owed.extend(self.search(conn, &mut call, need.as_ref()).await?);
            }
        }
        if was_open && !call.call.state.is_open() {
            owed.extend(of_settled_turn(conn, &call, now, wall).await?);
            owed.extend(of_covered_again(conn, &call, None, now, wall).await?);
        }
        letters::owe(conn, &owed).await?;
        call.save(conn, now).await
    }

    async fn course(&self, conn: &mut Conn) -> Result<Option<BinCourse>, DeskError> {
        let at_hand = SiteAtHand::load(conn, self.site.id).await?;
        let bin = BinId(self.turn.row.bin_id);
        BinCourse::load(conn, &self.model, &at_hand, bin, self.times.now).await
    }

    /// Goes on looking for somebody.
    async fn search(
        &self,
        conn: &mut Conn,
        call: &mut CallAtHand,
        need: Option<&KeptNeed>,
    ) -> Result<Vec<LetterRow>, DeskError> {
        let Times { now, wall } = self.times;
        let manner = Manner::default();
        let others = asked_beside(conn, call).await?;
        let candidates = seekers(conn, (call, &others), &self.turn, now).await?;
        let asked: Vec<Call> = others.into_iter().map(|other| other.call).collect();
        let deadline = need.and_then(KeptNeed::last_moment);
        let quiet = |at| {
            let over = self.site.quiet.not_before(at, self.site.zone);
            (over > at).then_some(over)
        };
        let mut owed = Vec::new();
        for _ in 0..STEPS {
            let next = Search {
                call: &call.call,
                others: &asked,
                candidates: &candidates,
                deadline,
                now,
            }
            .next(&manner, quiet);
            match next {
                Next::Ask { whom, answer_by } => {
                    owed.extend(of_call(call, &whom, answer_by, now, wall));
                    let asked = Event::Asked { whom, answer_by };
                    call.happen(&asked, now).map_err(refused)?;
                }
                Next::Escalate { .. } => {
                    call.happen(&Event::NobodyLeft, now).map_err(refused)?;
                    let keepers = keepers::hearing(conn, self.site.id).await?;
                    let bin = BinId(self.turn.row.bin_id);
                    owed.extend(of_uncovered(call, bin, &keepers, now, wall));
                }
                Next::Wait { until } => {
                    call.look_again(until, now);
                    return Ok(owed);
                }
                Next::Settled => return Ok(owed),
            }
        }
        Ok(owed)
    }
}

/// Days after a turn for which the caretaker is told how the bin fares if nobody comes.
pub(in crate::desk) const ALONE_DAYS: [i64; 4] = [0, 7, 14, 28];
