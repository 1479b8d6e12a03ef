//! The life of a letter that is owed: what may become of it, and when it is tried again.
//!
//! ```text
//! owed --claim--> leased --> sent, refused, too_late, not_wanted or given_up
//!  ^                |
//!  +---- again -----+
//!                   (a lease that ran out is claimed again)
//! ```

use crate::coded::coded;
use chrono::{DateTime, TimeDelta, Utc};

coded! {
    /// Where a letter is in its life.
    LetterState {
        /// It waits to be sent.
        Owed = "owed",
        /// Somebody is sending it.
        Leased = "leased",
        /// It was handed over.
        Sent = "sent",
        /// It was refused for good.
        Refused = "refused",
        /// It could not be handed over while it would have helped.
        TooLate = "too_late",
        /// What it is about was settled before it was sent.
        NotWanted = "not_wanted",
        /// It cannot be written.
        GivenUp = "given_up",
    }
}

coded! {
    /// Why a letter was not handed over, or not yet.
    Reason {
        /// The receiver's address was refused.
        AddressRefused = "address_refused",
        /// The address cannot be written to by this mail server, or not at all.
        AddressUnusable = "address_unusable",
        /// The mail server's rules forbid it.
        PolicyRefused = "policy_refused",
        /// The letter itself was refused.
        MessageRefused = "message_refused",
        /// The mail server asked for another try later.
        PutOff = "put_off",
        /// No connection to the mail server.
        Unreachable = "unreachable",
        /// The mail server greeted with a refusal, or with what makes no sense.
        TurnedAway = "turned_away",
        /// The connection broke.
        ConnectionLost = "connection_lost",
        /// No answer in time.
        TimedOut = "timed_out",
        /// An answer that ended early or made no sense.
        BadAnswer = "bad_answer",
        /// The mail server offers no encryption.
        NoTls = "no_tls",
        /// Encryption could not be agreed on, or the certificate is not trusted.
        TlsFailed = "tls_failed",
        /// The mail server does not take the service's user and password.
        SignInRefused = "sign_in_refused",
        /// The mail server does not take letters from this sender.
        SenderRefused = "sender_refused",
        /// The folder for letters cannot be written to.
        FolderNotWritten = "folder_not_written",
        /// The receiver got as many letters in this hour as anybody gets.
        ManyThisHour = "many_this_hour",
        /// What the letter is about cannot be read.
        Unreadable = "unreadable",
        /// The letter cannot be put together.
        NotBuilt = "not_built",
        /// Nobody is written to at this hour.
        QuietHours = "quiet_hours",
        /// Letters to this address came back before.
        AddressPaused = "address_paused",
        /// The receiver wants no letters of this sort.
        TurnedOff = "turned_off",
        /// Another letter to the same receiver tells it too.
        ToldTogether = "told_together",
    }
}

impl LetterState {
    /// Whether nothing more becomes of it.
    #[must_use]
    pub const fn is_closed(self) -> bool {
        !matches!(self, Self::Owed | Self::Leased)
    }
}

impl Reason {
    /// Whether letters to this address come back.
    #[must_use]
    pub const fn is_bounce(self) -> bool {
        matches!(self, Self::AddressRefused | Self::AddressUnusable)
    }

    /// Whether any other letter would have failed just the same: there is no use in trying the
    /// next one at once.
    #[must_use]
    pub const fn holds_for_all(self) -> bool {
        matches!(
            self,
            Self::Unreachable
                | Self::TurnedAway
                | Self::NoTls
                | Self::TlsFailed
                | Self::SignInRefused
                | Self::SenderRefused
                | Self::FolderNotWritten
        )
    }
}

/// How an attempt to send a letter ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tried {
    /// It was handed over.
    Sent,
    /// What it is about is settled.
    NotWanted,
    /// Nobody wants it, for a reason of the receiver's.
    Unwanted(Reason),
    /// It would help nobody any more.
    TooLate,
    /// Trying again would not help: whoever takes letters has said no.
    Refused(Reason),
    /// Trying again would not help: it cannot be written.
    Unfit(Reason),
    /// Trying again may help.
    Failed(Reason),
    /// It may go from an instant on.
    Waits(Reason, DateTime<Utc>),
}

/// What becomes of a letter after an attempt.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Next {
    /// Nothing more.
    Closed(LetterState),
    /// It is owed again, from an instant on.
    Owed(DateTime<Utc>),
}

/// Pause before the second attempt; each later one doubles. Common practice, no source: short,
/// since a sign-in link ends after ten minutes.
const FIRST_PAUSE: TimeDelta = TimeDelta::seconds(15);
/// No pause is longer. Common practice, no source.
const LONGEST_PAUSE: TimeDelta = TimeDelta::hours(1);

impl Tried {
    /// Why it was not handed over, if there is a why.
    #[must_use]
    pub const fn reason(self) -> Option<Reason> {
        match self {
            Self::Sent | Self::NotWanted | Self::TooLate => None,
            Self::Refused(reason)
            | Self::Unfit(reason)
            | Self::Unwanted(reason)
            | Self::Failed(reason)
            | Self::Waits(reason, _) => Some(reason),
        }
    }

    /// What becomes of a letter whose `attempt`th attempt, counted from 1, ended like this.
    /// `chance` from 0 to 1 spreads letters that failed together.
    #[must_use]
    pub fn next(
        self,
        attempt: u32,
        now: DateTime<Utc>,
        too_late_at: DateTime<Utc>,
        chance: f64,
    ) -> Next {
        let again = match self {
            Self::Sent => return Next::Closed(LetterState::Sent),
            Self::NotWanted | Self::Unwanted(_) => {
                return Next::Closed(LetterState::NotWanted);
            }
            Self::TooLate => return Next::Closed(LetterState::TooLate),
            Self::Refused(_) => return Next::Closed(LetterState::Refused),
            Self::Unfit(_) => return Next::Closed(LetterState::GivenUp),
            Self::Failed(_) => now + pause(attempt, chance),
            Self::Waits(_, until) => until,
        };
        if again < too_late_at {
            Next::Owed(again)
        } else {
            Next::Closed(LetterState::TooLate)
        }
    }
}

/// From three quarters of the doubled pause to five quarters.
fn pause(attempt: u32, chance: f64) -> TimeDelta {
    let doublings = attempt.saturating_sub(1).min(16);
    let whole = (FIRST_PAUSE * (1 << doublings)).min(LONGEST_PAUSE);
    #[expect(clippy::cast_possible_truncation, reason = "from 0 to half a million")]
    let share = (chance.clamp(0.0, 1.0) * 500_000.0) as i32;
    whole * 3 / 4 + whole / 1_000_000 * share
}

#[cfg(test)]
mod tests {
    use super::*;

    const NOW: DateTime<Utc> = DateTime::UNIX_EPOCH;

    fn seconds(attempt: u32, chance: f64) -> i64 {
        pause(attempt, chance).num_seconds()
    }

    /// Protects the mail server from being asked without end, and the hour from being missed.
    #[test]
    fn pauses_double_up_to_an_hour() {
        let usual: Vec<i64> = (1..=10).map(|attempt| seconds(attempt, 0.5)).collect();
        assert_eq!(usual, [15, 30, 60, 120, 240, 480, 960, 1_920, 3_600, 3_600]);
        assert_eq!(seconds(u32::MAX, 0.5), 3_600);
    }

    /// Protects the mail server from all letters of an outage coming back at one moment.
    #[test]
    fn letters_that_failed_together_come_back_apart() {
        assert_eq!((seconds(5, 0.0), seconds(5, 1.0)), (180, 300));
        assert_eq!(seconds(5, f64::NAN), 180);
    }

    /// Protects people from links that are dead when they arrive.
    #[test]
    fn what_could_only_go_too_late_is_closed() {
        let failed = Tried::Failed(Reason::PutOff);
        let next = |end: i64| failed.next(1, NOW, NOW + TimeDelta::seconds(end), 0.5);
        assert_eq!(next(16), Next::Owed(NOW + TimeDelta::seconds(15)));
        assert_eq!(next(15), Next::Closed(LetterState::TooLate));
        let until = NOW + TimeDelta::hours(1);
        let waits = Tried::Waits(Reason::ManyThisHour, until);
        assert_eq!(
            waits.next(9, NOW, until, 0.5),
            Next::Closed(LetterState::TooLate)
        );
    }

    /// Protects receivers from being written to again after a no.
    #[test]
    fn what_is_settled_is_not_tried_again() {
        let end = NOW + TimeDelta::days(1);
        for (tried, state) in [
            (Tried::Sent, LetterState::Sent),
            (Tried::NotWanted, LetterState::NotWanted),
            (Tried::Unwanted(Reason::TurnedOff), LetterState::NotWanted),
            (Tried::TooLate, LetterState::TooLate),
            (Tried::Refused(Reason::AddressRefused), LetterState::Refused),
            (Tried::Unfit(Reason::NotBuilt), LetterState::GivenUp),
        ] {
            assert!(state.is_closed());
            assert_eq!(tried.next(1, NOW, end, 0.5), Next::Closed(state));
        }
    }
}
