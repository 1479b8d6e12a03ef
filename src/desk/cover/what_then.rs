//! What becomes of a place that was just given back or given up, for whoever did it.

use super::bin_course::BinCourse;
use super::call_at_hand::CallAtHand;
use super::give_up::far_ahead;
use super::seekers::seekers;
use super::turn_calls::asked_beside;
use crate::desk::DeskError;
use crate::desk::at_hand::SiteAtHand;
use crate::desk::place_at_hand::TurnAtHand;
use crate::store::Conn;
use chrono::{DateTime, Utc};
use wormrota_domain::cover::call::CallState;
use wormrota_domain::cover::need::Verdict;
use wormrota_domain::ids::{BinId, CallId, SiteId};
use wormrota_domain::living_bin::settings::ModelSettings;

/// What becomes of a place that its holder does not come to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::desk) enum WhatThen {
    /// Somebody else comes already.
    Covered,
    /// Somebody else is looked for.
    LookedFor,
    /// Nobody is left who could be asked: whoever looks after the site hears of it.
    NobodyLeft,
    /// The bin can do without, or the turn does not take place.
    Empty,
}

/// What becomes of the place of a call, as the next look at it will find.
pub(in crate::desk) async fn what_then(
    conn: &mut Conn,
    (model, now): (&ModelSettings, DateTime<Utc>),
    (site, call): (SiteId, CallId),
) -> Result<WhatThen, DeskError> {
    let call = CallAtHand::load(conn, site, call).await?;
    match call.call.state {
        CallState::Covered | CallState::Withdrawn => return Ok(WhatThen::Covered),
        CallState::LeftEmpty | CallState::Missed => return Ok(WhatThen::Empty),
        CallState::Open | CallState::Nobody => {}
    }
    let turn = TurnAtHand::lock(conn, site, call.turn()).await?;
    if turn.row.called_off.is_some() {
        return Ok(WhatThen::Empty);
    }
    if far_ahead(call.call.turn_at, now).is_some() {
        return Ok(WhatThen::LookedFor);
    }
    let at_hand = SiteAtHand::load(conn, site).await?;
    let course = BinCourse::load(conn, model, &at_hand, BinId(turn.row.bin_id), now).await?;
    let need = course.and_then(|course| course.need(turn.id()));
    let can_wait = need.is_some_and(|need| need.verdict == Verdict::NotNeeded);
    if can_wait && !call.row.wanted {
        return Ok(WhatThen::Empty);
    }
    let others = asked_beside(conn, &call).await?;
    let was_asked = |member| {
        let mut calls = others.iter().chain([&call]);
        calls.any(|call| call.call.answers.contains_key(&member))
    };
    let mut answers = (others.iter().chain([&call])).flat_map(|call| call.call.answers.values());
    if answers.any(|answer| answer.is_awaited(now)) {
        return Ok(WhatThen::LookedFor);
    }
    let candidates = seekers(conn, (&call, &others), &turn, now).await?;
    let is_left = candidates.iter().any(|one| !was_asked(one.member));
    Ok(if is_left {
        WhatThen::LookedFor
    } else {
        WhatThen::NobodyLeft
    })
}

impl WhatThen {
    /// The code of the sentence that says it.
    pub(in crate::desk) const fn said(self) -> &'static str {
        match self {
            Self::Covered => "page-cover-then-covered",
            Self::LookedFor => "page-cover-then-looked-for",
            Self::NobodyLeft => "page-cover-then-nobody-left",
            Self::Empty => "page-cover-then-empty",
        }
    }
}
