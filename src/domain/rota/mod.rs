//! The rota: who is on which turn, as fair as can be, and the proof of it.

mod anneal;
mod board;
mod balance;
mod begin;
mod checks;
mod exact;
pub mod fairness;
pub mod format;
pub mod index;
pub mod input;
pub mod limits;
pub mod plan;
pub mod planner;
mod linear;
mod problem;
mod random;
mod reach;
pub mod refusal;
pub mod rules;
mod schedule;
pub mod score;
pub mod snapshot;
mod steps;

pub use input::Input;
pub use plan::Plan;
pub use planner::Planner;
pub use refusal::Refusal;
pub use snapshot::Snapshot;
