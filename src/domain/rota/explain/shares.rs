//! What is fair for each member, by the same reckoning as the aim of fairness, and what they
//! got.

use super::Fraction;
use crate::rota::index::{MemberIndex, TurnIndex};
use crate::rota::plan::Plan;
use crate::rota::score::given;
use crate::rota::snapshot::Snapshot;

/// One member's side of the reckoning.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Account {
    /// Whose.
    pub member: MemberIndex,
    /// Turns in this rota.
    pub turns: usize,
    /// Effort of these turns.
    pub effort: i64,
    /// Their share, in the unit of the input.
    pub share: u32,
    /// What earlier rotas left: above zero for who did more than their share.
    pub balance: i64,
    /// Their part of all work, that of earlier rotas included: `total · share / shares`.
    pub part: Fraction,
    /// What is fair in this rota: the part less the balance. Below zero for who did so much
    /// before that a fair rota would give something back.
    pub fair: Fraction,
    /// The effort less what is fair: above zero for who does more.
    pub difference: Fraction,
}

/// The reckoning for everybody.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shares {
    /// Effort of all places of the rota, held or not: the sum of all that is fair.
    pub work: i64,
    /// The sum of all balances.
    pub carried: i64,
    /// What is shared out: `work + carried`, the sum of all parts.
    pub total: i64,
    /// The sum of all shares, in the same unit.
    pub shares: i64,
    /// Effort of the places that nobody holds; turns with more people than places count
    /// against it. All differences and this make 0.
    pub empty: i64,
    /// Every member, by position.
    pub members: Vec<Account>,
}

/// Reckons what is fair for everybody and what the plan gives them.
#[must_use]
pub fn shares(snapshot: &Snapshot, plan: &Plan) -> Shares {
    let members = snapshot.members();
    let shares = (members.iter()).map(|member| i64::from(member.share)).sum();
    let carried = members.iter().map(|member| member.balance).sum();
    let (mut work, mut empty) = (0, 0);
    for (at, turn) in snapshot.turns().iter().enumerate() {
        let taken = i64::try_from(plan.members_on(TurnIndex(at)).len()).unwrap_or(i64::MAX);
        work += i64::from(turn.places) * i64::from(turn.effort);
        empty += (i64::from(turn.places) - taken) * i64::from(turn.effort);
    }
    let total = work + carried;
    let account = |member: MemberIndex| {
        let of_member = snapshot.member(member);
        let effort = given(snapshot, plan, member);
        let part = total * i64::from(of_member.share);
        let fair = part - of_member.balance * shares;
        let fraction = |parts| Fraction { parts, of: shares };
        Account {
            member,
            turns: plan.turns_of(member).len(),
            effort,
            share: of_member.share,
            balance: of_member.balance,
            part: fraction(part),
            fair: fraction(fair),
            difference: fraction(effort * shares - fair),
        }
    };
    Shares {
        work,
        carried,
        total,
        shares,
        empty,
        members: (0..members.len()).map(MemberIndex).map(account).collect(),
    }
}
