//! Cover: whether a turn is needed when somebody is away or nobody holds it, and who is asked to
//! come.
//!
//! [`need`] asks the living bin whether a turn may stay empty, and until when somebody must have
//! come; [`recheck`] what an empty turn does to the later ones; [`unheld`] which free places nobody
//! gave up and somebody is looked for all the same. [`call`] is the life of one search
//! for somebody, [`answer`] that of what one of those asked says. Who may come at all is told by
//! [`candidates`]; who of them is asked next, and until when they have, by [`rounds`] in the
//! [`manner`] of the site. The calls of one turn are one [`question`]. What a covered place counts
//! stands where all efforts are counted, in [`owing`](crate::rota::owing).

pub mod answer;
pub mod call;
pub mod candidates;
mod course;
pub mod event;
pub mod manner;
pub mod need;
pub mod question;
pub mod recheck;
pub mod rounds;
pub mod unheld;

pub use course::{Bin, ComingTurn};

#[cfg(test)]
mod call_tests;
#[cfg(test)]
mod need_properties;
#[cfg(test)]
mod need_tests;
#[cfg(test)]
mod recheck_tests;
#[cfg(test)]
mod rounds_properties;
#[cfg(test)]
mod rounds_tests;
#[cfg(test)]
mod story;
#[cfg(test)]
mod story_tests;
#[cfg(test)]
mod story_world;
#[cfg(test)]
mod unheld_tests;
