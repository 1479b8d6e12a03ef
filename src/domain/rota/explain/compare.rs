//! Why one member has more effort than another.

use super::Fraction;
use super::limits::{Limits, limits};
use super::shares::Shares;
use crate::rota::index::MemberIndex;
use crate::rota::plan::Plan;
use crate::rota::snapshot::Snapshot;

/// The difference of two members' effort, taken apart:
/// `effort = by_share + by_balance + rest`, exactly.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Comparison {
    /// Who is asked about.
    pub one: MemberIndex,
    /// Beside whom.
    pub other: MemberIndex,
    /// How much more effort the first has in this rota; below zero for less.
    pub effort: i64,
    /// What of it comes from the shares.
    pub by_share: Fraction,
    /// What of it comes from earlier rotas: what the other did more than the first.
    pub by_balance: i64,
    /// What is left: how much further the first is above what is fair for them.
    pub rest: Fraction,
    /// The limits of the first, which say something about the rest.
    pub limits_of_one: Limits,
    /// The limits of the other.
    pub limits_of_other: Limits,
}

/// Compares two members, for who looks after the site.
///
/// # Panics
///
/// When a member is not one of this snapshot's.
#[must_use]
pub fn compare(
    snapshot: &Snapshot,
    plan: &Plan,
    shares: &Shares,
    (one, other): (MemberIndex, MemberIndex),
) -> Comparison {
    let (mine, theirs) = (&shares.members[one.0], &shares.members[other.0]);
    let less = |mine: Fraction, theirs: Fraction| Fraction {
        parts: mine.parts - theirs.parts,
        of: shares.shares,
    };
    Comparison {
        one,
        other,
        effort: mine.effort - theirs.effort,
        by_share: less(mine.part, theirs.part),
        by_balance: theirs.balance - mine.balance,
        rest: less(mine.difference, theirs.difference),
        limits_of_one: limits(snapshot, plan, one),
        limits_of_other: limits(snapshot, plan, other),
    }
}
