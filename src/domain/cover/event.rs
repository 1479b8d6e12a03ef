//! What may happen to a call, and why it may not.

use super::need::Verdict;
use crate::ids::MemberId;
use chrono::{DateTime, Utc};
use thiserror::Error;

/// Something that happens to a call. `may_hold` is whether every hard rule of the rota lets the
/// member hold the place as things stand at that moment, their own absences among them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Event {
    /// These are asked.
    Asked {
        /// Whom; nobody who was asked before.
        whom: Vec<MemberId>,
        /// See [`Answer::answer_by`](super::answer::Answer::answer_by).
        answer_by: DateTime<Utc>,
    },
    /// Somebody says yes, asked or not.
    Yes {
        /// Who.
        by: MemberId,
        /// Whether they may hold it.
        may_hold: bool,
    },
    /// Somebody who was asked says no.
    No {
        /// Who.
        by: MemberId,
    },
    /// A caretaker or teacher gives the place to somebody.
    Assigned {
        /// To whom.
        to: MemberId,
        /// Whether they may hold it.
        may_hold: bool,
    },
    /// Somebody comes to another place of the turn, whether they were asked in this call or not.
    ComesElsewhere {
        /// Who.
        by: MemberId,
        /// Whether somebody else gave it to them.
        assigned: bool,
    },
    /// They gave that other place back.
    GivenBackElsewhere {
        /// Who.
        by: MemberId,
    },
    /// The helper gives the place back.
    GivenBack,
    /// The helper is away themselves: it goes back, however late.
    HelperAway,
    /// The place is to stay empty.
    LeftEmpty {
        /// Whether the bin needs the turn.
        need: Verdict,
    },
    /// A place that was to stay empty is needed after all.
    NeededAgain,
    /// Whoever was away comes.
    CameBack {
        /// Whether they may hold it: they may have taken on another turn since.
        may_hold: bool,
    },
    /// The caretaker is told that nobody was found.
    NobodyLeft,
    /// The turn is over.
    TurnOver,
}

/// Why something cannot happen to a call.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum CallRefusal {
    /// Somebody comes already.
    #[error("somebody comes already")]
    Taken,
    /// The call has ended.
    #[error("the call has ended")]
    Over,
    /// A hard rule of the rota forbids it.
    #[error("they may not hold the place")]
    MayNotHold,
    /// They were asked before in this call.
    #[error("{0} was asked before")]
    AskedBefore(MemberId),
    /// They were not asked, or hold the place.
    #[error("they have nothing to say no to")]
    NotAsked,
    /// Nobody holds the place by this call.
    #[error("nobody has the place to give back")]
    NotCovered,
    /// So shortly before the turn nobody else would be found.
    #[error("it is too late to give the place back")]
    TooLate,
    /// The bin needs the turn.
    #[error("the bin needs the turn")]
    Needed,
    /// The place is not one that stays empty.
    #[error("the place does not stay empty")]
    NotLeftEmpty,
    /// The caretaker was told before.
    #[error("the caretaker knows already")]
    ToldBefore,
    /// The turn is yet to come.
    #[error("the turn is not over")]
    NotOver,
}
