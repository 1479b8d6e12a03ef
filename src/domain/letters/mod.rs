//! Letters that are owed: which kinds there are, what may become of one, at what hour people
//! are written to, which turn they are reminded of, and when they are asked whether a bin was
//! fed.

mod kind;
mod life;
mod portions;
mod questions;
#[cfg(test)]
mod questions_tests;
mod quiet;
mod reminders;
#[cfg(test)]
mod reminders_tests;
mod turn_news;
mod week;

pub use kind::{LetterDeed, LetterGroup, LetterKind, Manner};
pub use life::{LetterState, Next, Reason, Tried};
pub use portions::portions;
pub use questions::{Ask, Course, Step, middle};
pub use quiet::{QuietHours, QuietRefusal};
pub use reminders::{HeldTurn, Reminder};
pub use turn_news::{TurnNews, TurnStanding};
pub use week::Week;
