//! The rota: who is on which turn, as fair as can be, and the proof of it.

mod anneal;
mod board;
mod balance;
mod checks;
mod exact;
pub mod fairness;
pub mod format;
pub mod index;
pub mod input;
pub mod limits;
pub mod plan;
mod linear;
mod problem;
mod random;
mod reach;
pub mod refusal;
pub mod rules;
pub mod score;
pub mod snapshot;
mod steps;
pub mod try_it;

pub use input::Input;
pub use plan::Plan;
pub use refusal::Refusal;
pub use snapshot::Snapshot;
