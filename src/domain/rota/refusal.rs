//! Why a snapshot cannot be planned.

use super::index::{BinIndex, Day, MemberIndex, TurnIndex};
use super::rules::Broken;
use thiserror::Error;

/// The entry that is wrong, by its position, and what is wrong with it.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum Refusal {
    /// More of something than the planner takes.
    #[error("{found} {what}: at most {most}")]
    TooMany {
        /// What there are too many of.
        what: &'static str,
        /// How many.
        found: u64,
        /// The most that are taken.
        most: u64,
    },
    /// A member's number outside its limits.
    #[error("member {member}: {what} is {found}, not within {low} to {high}")]
    Member {
        /// Whose.
        member: MemberIndex,
        /// Which number.
        what: &'static str,
        /// The number.
        found: i64,
        /// The least allowed.
        low: i64,
        /// The most allowed.
        high: i64,
    },
    /// An absence that ends before it begins.
    #[error("member {member}: an absence ends on day {last} before it begins on day {first}")]
    AbsenceBackwards {
        /// Whose.
        member: MemberIndex,
        /// Its first day.
        first: Day,
        /// Its last day.
        last: Day,
    },
    /// A turn's number outside its limits.
    #[error("turn {turn}: {what} is {found}, not within {low} to {high}")]
    Turn {
        /// Which turn.
        turn: TurnIndex,
        /// Which number.
        what: &'static str,
        /// The number.
        found: i64,
        /// The least allowed.
        low: i64,
        /// The most allowed.
        high: i64,
    },
    /// A member that is not in the snapshot.
    #[error("{list} {entry}: there is no member {member}")]
    UnknownMember {
        /// The list that names the member.
        list: &'static str,
        /// The position in that list.
        entry: usize,
        /// The member named.
        member: MemberIndex,
    },
    /// A turn that is not in the snapshot.
    #[error("{list} {entry}: there is no turn {turn}")]
    UnknownTurn {
        /// The list that names the turn.
        list: &'static str,
        /// The position in that list.
        entry: usize,
        /// The turn named.
        turn: TurnIndex,
    },
    /// A bin that is not in the snapshot.
    #[error("{list} {entry}: there is no bin {bin}")]
    UnknownBin {
        /// The list that names the bin: `members` or `turns`.
        list: &'static str,
        /// The position in that list.
        entry: usize,
        /// The bin named.
        bin: BinIndex,
    },
    /// The same place twice in one list.
    #[error("{list} {entry}: member {member} on turn {turn} stands there twice")]
    Twice {
        /// The list.
        list: &'static str,
        /// The second position.
        entry: usize,
        /// The member named.
        member: MemberIndex,
        /// The turn named.
        turn: TurnIndex,
    },
    /// Somebody kept apart from themselves.
    #[error("apart {entry}: member {member} cannot be kept apart from themselves")]
    ApartFromSelf {
        /// The position in the list of pairs.
        entry: usize,
        /// Who.
        member: MemberIndex,
    },
    /// A kept place that breaks a hard rule.
    #[error("kept place of member {member} on turn {turn} breaks a rule: {broken}")]
    KeptBreaks {
        /// Whose place.
        member: MemberIndex,
        /// On which turn.
        turn: TurnIndex,
        /// The rule with its numbers.
        broken: Broken,
    },
    /// Somebody kept on a turn is not to be alone, and no way was found to have somebody
    /// experienced beside everybody who needs it.
    #[error("kept place of member {member} on turn {turn}: nobody experienced can be beside them")]
    NoCompany {
        /// Whose place.
        member: MemberIndex,
        /// On which turn.
        turn: TurnIndex,
    },
    /// The shares have no common measure small enough to reckon fairness exactly.
    #[error("the shares have the least common multiple {found}: at most {most}")]
    Shares {
        /// Their least common multiple, or the product at which the count stopped.
        found: u64,
        /// The most that is taken.
        most: u64,
    },
    /// Fairness could leave the range of whole numbers it is reckoned in.
    #[error("balances and effort are too large to reckon fairness exactly")]
    Effort,
}
