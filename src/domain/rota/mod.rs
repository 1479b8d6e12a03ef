//! The rota: who is on which turn, as fair as can be, and the proof of it.
//!
//! An [`Input`] becomes a [`Snapshot`] through one door that checks every limit and every
//! kept place ([`refusal`] says what is wrong). A [`Planner`] then fills the places. What no
//! plan breaks stands in one table ([`rules`]); what makes one plan better than another, and
//! in which order, stands in [`score`]. The planner counts steps, not time: the same snapshot,
//! seed and steps give the same plan. Why a plan is as it is says [`explain`]; what a change
//! by hand would break says [`change`]. Classes that simply take turns do so [`in_order`].
//!
//! Behind the planner stand a first plan (`fill`), a local search (`anneal`, by a `chain` of
//! changes on a `board`), a balancing of loads that bounds fairness (`balance`), and branch and
//! bound (`exact`) over a linear program (`linear`), which proves one aim after the other.

mod anneal;
mod balance;
mod begin;
mod best;
mod board;
mod chain;
pub mod change;
mod checks;
mod diary;
mod exact;
pub mod explain;
pub mod fairness;
mod fill;
pub mod format;
pub mod in_order;
pub mod index;
pub mod input;
mod least_changes;
pub mod limits;
mod linear;
pub mod owing;
pub mod plan;
pub mod planner;
mod problem;
mod random;
mod reach;
pub mod refusal;
pub mod rules;
mod schedule;
pub mod score;
pub mod share;
pub mod snapshot;
mod steps;

pub use input::Input;
pub use plan::Plan;
pub use planner::Planner;
pub use refusal::Refusal;
pub use snapshot::Snapshot;

#[cfg(test)]
pub(crate) use random::Random;

#[cfg(test)]
mod begin_tests;
#[cfg(test)]
mod brute_force_tests;
#[cfg(test)]
mod change_tests;
#[cfg(test)]
mod in_order_properties;
#[cfg(test)]
mod in_order_tests;
#[cfg(test)]
mod making;
#[cfg(test)]
mod planner_tests;
#[cfg(test)]
mod replanning_tests;
#[cfg(test)]
mod rules_tests;
#[cfg(test)]
mod trials;
#[cfg(test)]
mod year_flow;
#[cfg(test)]
mod year_tests;
