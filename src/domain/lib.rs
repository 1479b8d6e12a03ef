//! The pure heart of Wormrota.
//!
//! Everything here is a function of its arguments: no clock, no input or output, no
//! async, no randomness. Times are passed in as UTC instants or as local dates. The
//! package's own `Cargo.toml` is the wall: what could reach the outside world is not
//! among its dependencies.
//!
//! What stands lower in this list may use what stands above it, never the other way:
//!
//! - [`units`], [`ids`], [`calendar`], [`site`]
//! - [`phrase`]: what is to be said, before it is words
//! - [`food`]: what may go in, how much a container holds, what a mix needs
//! - [`speech`]: how a reader wants things said
//! - [`living_bin`]: how a bin eats, what it can take, and the decision on an offer
//! - [`closure`]: what a bin needs while its site is shut, or that it must move
//! - [`rota`]: who feeds when: hard rules, drafting and re-planning, with proofs
//! - [`turns`]: on which days a bin is fed, and what changes when its rhythm does
//! - [`cover`]: whether a turn is needed when somebody is away, and who is asked to come instead
//! - [`letters`]: the kinds of letters, what may become of one, and at what hour
//! - [`access`]: who may do what

pub mod access;
pub mod calendar;
pub mod closure;
mod coded;
pub mod cover;
pub mod food;
pub mod ids;
pub mod letters;
pub mod living_bin;
pub mod phrase;
pub mod rota;
pub mod site;
pub mod speech;
pub mod turns;
pub mod units;
