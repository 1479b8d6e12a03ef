//! What letters are about: one row for each kind.

use crate::coded::coded;

coded! {
    /// What a letter is about.
    LetterKind {
        /// An invitation to a site.
        Invitation = "invitation",
        /// A link that sets a new password.
        Reset = "reset",
        /// A link that signs in.
        SignIn = "sign_in",
        /// A booking that a bin can no longer take in full.
        BookingShrunk = "booking_shrunk",
        /// A turn is coming.
        TurnComing = "turn_coming",
        /// Whether a bin was fed on a turn of which nothing was written down.
        TurnUnlogged = "turn_unlogged",
        /// A turn on which nobody fed, or nobody says so.
        TurnMissed = "turn_missed",
        /// A rota that was put up, with the turns that somebody has in it.
        RotaUp = "rota_up",
        /// What others changed about somebody's turns.
        TurnChanged = "turn_changed",
        /// A turn that its reader gave up leaves their calendar.
        TurnFreed = "turn_freed",
        /// Somebody waits to be let in.
        NewcomerWaits = "newcomer_waits",
        /// The receiver was let in.
        LetIn = "let_in",
        /// A bin needs somebody who looks after it.
        BinTrouble = "bin_trouble",
        /// Letters to a member come back.
        LettersComeBack = "letters_come_back",
        /// What whoever looks after sites has to know, once a week.
        Digest = "digest",
        /// What the bins need because the site is shut for long.
        ClosurePlan = "closure_plan",
        /// Whether the reader comes to a turn in the stead of who cannot.
        CoverCall = "cover_call",
        /// Somebody comes in the reader's stead.
        CoverFound = "cover_found",
        /// Whoever was to come in the reader's stead cannot after all.
        CoverLost = "cover_lost",
        /// The reader said that they come in somebody's stead.
        CoverTaken = "cover_taken",
        /// The reader was asked to come, and need not answer any more.
        CoverClosed = "cover_closed",
        /// Nobody was found who comes to a turn.
        Uncovered = "uncovered",
        /// The turns that nobody came to are settled: all clear for whoever heard of them.
        CoveredAgain = "covered_again",
    }
}

coded! {
    /// Sorts of letters that a receiver can do without.
    LetterGroup {
        /// A turn is coming.
        Reminders = "reminders",
        /// Whether somebody fed a bin.
        Questions = "questions",
        /// What changed about one's own turns.
        Changes = "changes",
        /// Somebody is looked for who takes a turn.
        Calls = "calls",
        /// What a caretaker or teacher has to know.
        Keeping = "keeping",
        /// The week, once a week.
        Digest = "digest",
    }
}

coded! {
    /// What a link in a letter does.
    LetterDeed {
        /// Ends letters of the same sort.
        Stop = "stop",
        /// Says that the reader fed the bin, and about how much.
        Fed = "fed",
        /// Says that it was not fed.
        NotFed = "not_fed",
        /// Says that somebody else fed it.
        FedByOther = "fed_by_other",
        /// Comes to a turn in the stead of who cannot.
        CoverYes = "cover_yes",
        /// Does not.
        CoverNo = "cover_no",
        /// Gives back a place that was taken in somebody's stead.
        CoverBack = "cover_back",
        /// Says that its receiver cannot come to their turn.
        CannotCome = "cannot_come",
    }
}

/// How letters of a kind are handled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Manner {
    /// Somebody waits for it, or its link ends soon: it goes before the others, of which a list
    /// of people owes thousands.
    pub goes_first: bool,
    /// It waits until the site's quiet hours are over.
    pub keeps_quiet: bool,
    /// It also goes to an address from which letters came back.
    pub goes_anyhow: bool,
    /// With which others a receiver can end it; none when nobody can.
    pub group: Option<LetterGroup>,
}

/// Asked for by whoever gets it, a moment ago.
const ASKED_FOR: Manner = Manner {
    goes_first: true,
    keeps_quiet: false,
    goes_anyhow: true,
    group: None,
};

/// What people get unasked.
const fn unasked(group: LetterGroup) -> Manner {
    Manner {
        goes_first: false,
        keeps_quiet: true,
        goes_anyhow: false,
        group: Some(group),
    }
}

impl LetterKind {
    /// How letters of this kind are handled.
    #[must_use]
    pub const fn manner(self) -> Manner {
        match self {
            Self::Invitation => Manner {
                goes_first: false,
                ..ASKED_FOR
            },
            Self::Reset | Self::SignIn => ASKED_FOR,
            Self::TurnComing => unasked(LetterGroup::Reminders),
            Self::TurnUnlogged => unasked(LetterGroup::Questions),
            Self::BookingShrunk
            | Self::RotaUp
            | Self::TurnChanged
            | Self::TurnFreed
            | Self::CoverFound
            | Self::CoverLost
            | Self::CoverTaken => unasked(LetterGroup::Changes),
            Self::CoverCall | Self::CoverClosed => unasked(LetterGroup::Calls),
            Self::TurnMissed
            | Self::NewcomerWaits
            | Self::BinTrouble
            | Self::LettersComeBack
            | Self::ClosurePlan
            | Self::Uncovered
            | Self::CoveredAgain => unasked(LetterGroup::Keeping),
            Self::LetIn => Manner {
                goes_anyhow: false,
                keeps_quiet: true,
                goes_first: false,
                group: None,
            },
            Self::Digest => unasked(LetterGroup::Digest),
        }
    }
}
