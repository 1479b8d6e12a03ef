//! Letters that are owed: which kinds there are, what may become of one, at what hour people
//! are written to, and which turn they are reminded of.

mod kind;
mod life;
mod quiet;
mod reminders;
#[cfg(test)]
mod reminders_tests;

pub use kind::{LetterDeed, LetterGroup, LetterKind, Manner};
pub use life::{LetterState, Next, Reason, Tried};
pub use quiet::{QuietHours, QuietRefusal};
pub use reminders::{HeldTurn, Reminder};
