//! Who may come in somebody's stead, and who of them is asked first.

use super::manner::Manner;
use crate::ids::MemberId;
use crate::rota::change::{Change, judge};
use crate::rota::index::{MemberIndex, TurnIndex};
use crate::rota::{Plan, Snapshot};
use chrono::{DateTime, TimeDelta, Utc};

/// Days for which it counts that somebody was asked, in the order of who is asked first.
const LATELY: TimeDelta = TimeDelta::days(28);
/// Days for which it counts towards [`Manner::most_in_a_week`].
const WEEK: TimeDelta = TimeDelta::days(7);

/// Everybody who may come onto a turn under all hard rules, those of who is there already
/// included, by position. `plan` is who is on which turn without whoever is away.
#[must_use]
pub fn may_come(snapshot: &Snapshot, plan: &Plan, turn: TurnIndex) -> Vec<MemberIndex> {
    let may = |member: &MemberIndex| {
        let judgement = judge(snapshot, plan, Change::Assign((*member, turn)));
        judgement.is_ok_and(|judgement| judgement.is_allowed())
    };
    (0..snapshot.members().len())
        .map(MemberIndex)
        .filter(may)
        .collect()
}

/// Somebody who may come, with what decides when they are asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Candidate {
    /// Who.
    pub member: MemberId,
    /// What they bring along, in thousandths of effort: below zero for who owes.
    pub balance_milli: i64,
    /// Their wish for the weekday: 1 likes it, -1 would rather not.
    pub wish: i8,
    /// When they were asked before, in whichever call.
    pub asked_at: Vec<DateTime<Utc>>,
}

impl Candidate {
    /// The lower, the sooner they are asked: what they did beyond their part, a wish and the
    /// times they were asked in four weeks all turned into thousandths of effort.
    #[must_use]
    pub fn rank_milli(&self, manner: &Manner, now: DateTime<Utc>) -> i64 {
        let asked = i64::try_from(self.asked_since(now - LATELY).count()).unwrap_or(i64::MAX);
        self.balance_milli
            .saturating_sub(i64::from(self.wish).saturating_mul(manner.wish_milli))
            .saturating_add(asked.saturating_mul(manner.asked_milli))
    }

    /// From when on they may be asked once more without being asked too often in any 7 days; an
    /// instant that is past if they may be now, none if they are never to be asked.
    #[must_use]
    pub fn free_at(&self, manner: &Manner, now: DateTime<Utc>) -> Option<DateTime<Utc>> {
        let mut week: Vec<_> = self.asked_since(now - WEEK).collect();
        week.sort_unstable();
        let most = manner.most_in_a_week;
        let over = week.len().checked_sub(most);
        match over {
            None => Some(now),
            Some(_) if most == 0 => None,
            Some(at) => Some(week[at] + WEEK),
        }
    }

    fn asked_since(&self, after: DateTime<Utc>) -> impl Iterator<Item = DateTime<Utc>> + '_ {
        (self.asked_at.iter().copied()).filter(move |at| *at > after)
    }
}
