//! What becomes of one person's being asked.
//!
//! ```text
//! asked --yes--> yes --given back, or away--> given_back
//!   |                                              ^
//!   |--somebody gives them the place--> assigned --+
//!   |--no--> no
//!   +--the call found somebody, or ended--> closed --no--> no
//! ```
//!
//! Nobody is asked a second time in one call, or in another call of the same turn, whatever they
//! said. But while the place is free
//! again, whoever was asked may still say yes, from any of these.

use crate::coded::coded;
use chrono::{DateTime, Utc};

coded! {
    /// Where somebody's answer is.
    AnswerState {
        /// They were asked and have said nothing.
        Asked = "asked",
        /// They said yes, and the place is theirs, or another one of the same turn.
        Yes = "yes",
        /// The place is theirs, or another one of the same turn, and it was not they who said so:
        /// whoever looks after the site gave it to them.
        Assigned = "assigned",
        /// They said no.
        No = "no",
        /// They had the place, and it is theirs no more.
        GivenBack = "given_back",
        /// They need not answer any more: somebody was found, or nobody is needed.
        Closed = "closed",
    }
}

impl AnswerState {
    /// Whether they come to the turn.
    #[must_use]
    pub const fn comes(self) -> bool {
        matches!(self, Self::Yes | Self::Assigned)
    }
}

/// Somebody's being asked, and what came of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Answer {
    /// Where it is.
    pub state: AnswerState,
    /// When they were asked.
    pub asked_at: DateTime<Utc>,
    /// Until when the next are not asked for want of this answer. A yes after it counts as well
    /// while the place is free.
    pub answer_by: DateTime<Utc>,
}

impl Answer {
    /// Whether the next are not asked yet because this answer may still come.
    #[must_use]
    pub fn is_awaited(&self, now: DateTime<Utc>) -> bool {
        self.state == AnswerState::Asked && now < self.answer_by
    }

    /// The same for another call of the turn: their yes would go to it, even where this one has
    /// found somebody meanwhile.
    #[must_use]
    pub fn is_awaited_elsewhere(&self, now: DateTime<Utc>) -> bool {
        matches!(self.state, AnswerState::Asked | AnswerState::Closed) && now < self.answer_by
    }
}
