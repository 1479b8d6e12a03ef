//! Who may see what of the reasons.
//!
//! Who looks after the site sees everything. A member sees their own reasons, of everybody
//! else only what they did and what would have been fair, and nothing that tells whether
//! there are pairs kept apart: what a member is shown of a plan is reckoned without that
//! list, so that it is the same with the list and without. Turns that only company stands in
//! the way of (somebody else has them, somebody experienced is missing, a pair would meet) are
//! never told apart.

use super::compare::{Comparison, compare};
use super::empty::{EmptyTurn, empty_places, empty_turn, not_on};
use super::limits::{Limits, OWN, limits, own_limits, shut_by};
use super::shares::{Account, Shares, shares};
use crate::coded::coded;
use crate::rota::change::Judgement;
use crate::rota::index::{MemberIndex, Place, TurnIndex};
use crate::rota::plan::Plan;
use crate::rota::rules::{Broken, HardRule};
use crate::rota::snapshot::Snapshot;
use std::collections::{BTreeMap, BTreeSet};

/// Who asks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Viewer {
    /// Who looks after the site: a caretaker, teacher or educator.
    Keeper,
    /// A member of the rota. One that is not in the snapshot sees nobody's reasons.
    Member(MemberIndex),
}

coded! {
    /// Why somebody else is not on a turn, as far as it is anybody's business.
    Reason {
        /// The day is closed to change.
        Closed = "closed",
        /// Not on that day: an absence or a weekday, not told apart.
        Day = "day",
        /// Not for that bin.
        Training = "training",
        /// They have enough turns near it: rest, or the most in 28 days, not told apart.
        Enough = "enough",
        /// None of their own limits: it hangs on who else is there, or they could come.
        Others = "others",
    }
}

/// With fewer others than this a count of reasons would tell whose they are. Common practice,
/// no source.
pub const FEWEST: usize = 5;

/// What a viewer sees of one member.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MemberSeen {
    /// Everything a keeper sees, or one's own reasons: the second without the rules that look
    /// at other people.
    Reasons {
        /// What is fair and what they got.
        account: Account,
        /// What their limits cost.
        limits: Box<Limits>,
    },
    /// Somebody else's figures.
    Figures {
        /// Whose.
        member: MemberIndex,
        /// Turns in this rota.
        turns: usize,
        /// Their effort.
        effort: i64,
        /// What would be fair, to the nearest whole effort.
        fair: i64,
    },
}

/// What a viewer sees of a turn with empty places.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum EmptySeen {
    /// Everybody and every rule, for a keeper.
    Reasons(EmptyTurn),
    /// Counts without names, for a member.
    Counts {
        /// Which turn.
        turn: TurnIndex,
        /// How many of its places nobody holds.
        places: usize,
        /// Of the members that are neither on the turn nor the viewer how many have which
        /// reason, each counted once; none where there are fewer than [`FEWEST`], or where a
        /// limit of their own keeps all of them away.
        reasons: Option<BTreeMap<Reason, usize>>,
    },
}

/// What a viewer sees of two members beside each other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ComparisonSeen {
    /// Everything, for a keeper.
    Reasons(Box<Comparison>),
    /// Whole figures, for a member: `effort = fair + rest`.
    Figures {
        /// How much more effort the first has.
        effort: i64,
        /// How much more would be fair, to the nearest whole effort for each.
        fair: i64,
        /// The rest.
        rest: i64,
    },
}

/// What a viewer sees of a change that somebody would like to make.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum JudgementSeen {
    /// Everything, for a keeper.
    Reasons(Judgement),
    /// For a member. Whether a change may be made depends on the pairs kept apart, so this
    /// does; but not for which reason others stand in the way, nor who.
    Figures {
        /// The viewer's own limits that would break.
        own: Vec<(TurnIndex, Broken)>,
        /// Turns where something else would break, by position: somebody else's limits, or
        /// that the people on it do not go together.
        others: Vec<TurnIndex>,
        /// Kept places that would be given up.
        kept: Vec<Place>,
        /// The viewer's own places that would be against a wish.
        against: Vec<TurnIndex>,
        /// How many more places would be empty.
        uncovered: i64,
    },
}

/// A plan in the eyes of somebody.
#[derive(Debug, Clone, Copy)]
pub struct Sight<'a> {
    /// What the planner knew.
    pub snapshot: &'a Snapshot,
    /// The plan.
    pub plan: &'a Plan,
    /// Who looks at it.
    pub viewer: Viewer,
}

impl Sight<'_> {
    /// One member, with the reckoning that [`shares`] gave for the same snapshot and plan; for
    /// large rotas, where a page shows only some. None for somebody unknown.
    #[must_use]
    pub fn member(&self, shares: &Shares, member: MemberIndex) -> Option<MemberSeen> {
        let account = *shares.members.get(member.0)?;
        let look = match self.viewer {
            Viewer::Keeper => limits,
            Viewer::Member(viewer) if viewer == member => own_limits,
            Viewer::Member(_) => {
                return Some(MemberSeen::Figures {
                    member,
                    turns: account.turns,
                    effort: account.effort,
                    fair: account.fair.rounded(),
                });
            }
        };
        Some(MemberSeen::Reasons {
            account,
            limits: Box::new(look(self.snapshot, self.plan, member)),
        })
    }

    /// Every member, by position.
    #[must_use]
    pub fn members(&self) -> Vec<MemberSeen> {
        let shares = shares(self.snapshot, self.plan);
        (0..shares.members.len())
            .filter_map(|member| self.member(&shares, MemberIndex(member)))
            .collect()
    }

    /// Every turn with empty places from one position on, reckoned one after the other: who
    /// needs a page takes a page.
    pub fn empty_from(&self, first: TurnIndex) -> impl Iterator<Item = EmptySeen> + '_ {
        empty_places(self.snapshot, self.plan)
            .filter(move |(turn, _)| *turn >= first)
            .map(|(turn, places)| match self.viewer {
                Viewer::Keeper => {
                    EmptySeen::Reasons(empty_turn(self.snapshot, self.plan, turn, places))
                }
                Viewer::Member(viewer) => EmptySeen::Counts {
                    turn,
                    places,
                    reasons: self.reasons(viewer, turn),
                },
            })
    }

    fn reasons(&self, viewer: MemberIndex, turn: TurnIndex) -> Option<BTreeMap<Reason, usize>> {
        let mut counts: BTreeMap<_, _> = Reason::ALL.iter().map(|reason| (*reason, 0)).collect();
        for member in not_on(self.snapshot, self.plan, turn).filter(|member| *member != viewer) {
            let shut = shut_by(OWN, self.snapshot, self.plan, (member, turn));
            let reason = shut.first().map_or(Reason::Others, |rule| reason(*rule));
            counts.entry(reason).and_modify(|count| *count += 1);
        }
        let all = counts.values().sum::<usize>();
        // Where one limit is everybody's, a count tells whose it is.
        let of_all =
            |(reason, count): (&Reason, &usize)| *reason != Reason::Others && *count == all;
        (all >= FEWEST && !counts.iter().any(of_all)).then_some(counts)
    }

    /// Two members beside each other. None when one of them is unknown.
    #[must_use]
    pub fn comparison(
        &self,
        shares: &Shares,
        (one, other): (MemberIndex, MemberIndex),
    ) -> Option<ComparisonSeen> {
        let (mine, theirs) = (shares.members.get(one.0)?, shares.members.get(other.0)?);
        if self.viewer == Viewer::Keeper {
            let all = compare(self.snapshot, self.plan, shares, (one, other));
            return Some(ComparisonSeen::Reasons(Box::new(all)));
        }
        let effort = mine.effort - theirs.effort;
        let fair = mine.fair.rounded() - theirs.fair.rounded();
        Some(ComparisonSeen::Figures {
            effort,
            fair,
            rest: effort - fair,
        })
    }

    /// A judgement on a change of this plan.
    #[must_use]
    pub fn judgement(&self, judgement: &Judgement) -> JudgementSeen {
        let Viewer::Member(viewer) = self.viewer else {
            return JudgementSeen::Reasons(judgement.clone());
        };
        let mut own = Vec::new();
        let mut others = BTreeSet::new();
        for (member, turn, broken) in &judgement.hard {
            if *member == viewer && reason(broken.rule()) != Reason::Others {
                own.push((*turn, *broken));
            } else {
                others.insert(*turn);
            }
        }
        let against = judgement.against.iter();
        JudgementSeen::Figures {
            own,
            others: others.into_iter().collect(),
            kept: judgement.kept.clone(),
            against: (against.filter(|(member, _)| *member == viewer))
                .map(|(_, turn)| *turn)
                .collect(),
            uncovered: judgement.difference.empty_places,
        }
    }
}

/// How a rule is told to others. A new rule has to be given its reason here.
const fn reason(rule: HardRule) -> Reason {
    match rule {
        HardRule::Open => Reason::Closed,
        HardRule::Weekday | HardRule::Absence => Reason::Day,
        HardRule::Trained => Reason::Training,
        HardRule::Rest | HardRule::MostIn28Days => Reason::Enough,
        HardRule::Places | HardRule::NotAlone | HardRule::Apart => Reason::Others,
    }
}
