//! The living bin: how a bin eats, what it can take, and the decision on an offer.
//!
//! Worms eat at a speed that is known only as a band ([`speed`]); what lies uneaten
//! shrinks ([`state`]); after every feeding, all that lies in the bin must be eaten within
//! a week at the cautious speed, now and at every booking kept ([`outlook`]). Each event
//! moves the state on ([`event`]). Every constant is a documented setting ([`settings`]).

pub mod aftermath;
pub mod ailment;
pub mod care;
pub mod check;
pub mod climate;
mod curve;
pub mod decide;
pub mod decision;
mod dried;
pub mod event;
pub mod facts;
pub mod forecast;
pub mod gate;
pub mod habitat;
pub mod limit;
pub mod meal;
pub mod mix;
pub mod outlook;
pub mod reading;
pub mod rhythm;
pub mod settings;
pub mod speed;
pub mod state;
pub(crate) mod time;
pub mod vitals;
pub mod warning;

#[cfg(test)]
mod calibration_tests;
#[cfg(test)]
mod check_values;
#[cfg(test)]
mod decision_tests;
#[cfg(test)]
mod properties;
