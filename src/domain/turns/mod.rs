//! Turns: on which days a bin is fed, and from when to when.
//!
//! A bin's rhythm is a recurrence rule as RFC 5545 writes it, read as local days of a site. A
//! [`Pattern`] is such a rule with all its days, made through one door that refuses what the
//! standard forbids, what never ends and what is too much ([`Refusal`] says what is wrong). A
//! [`Window`] turns a day into instants. [`regenerate`] says what changes when the pattern, the
//! closures or the calendar do. [`occurrences`] gives the days of rules in others' calendars.

mod combinations;
mod duty;
mod expansion;
mod occurrences;
mod part;
pub mod pattern;
pub mod refusal;
pub mod regenerate;
mod rule;
pub mod seats;
mod values;
pub mod window;

pub use duty::Duty;
pub use occurrences::occurrences;
pub use part::{Frequency, Part};
pub use pattern::Pattern;
pub use refusal::Refusal;
pub use regenerate::CalledOffBy;
pub use window::Window;

#[cfg(test)]
mod brute_force_tests;
#[cfg(test)]
mod dateutil_tests;
#[cfg(test)]
mod refusal_tests;
#[cfg(test)]
mod regenerate_tests;
