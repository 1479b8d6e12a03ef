//! What a bin needs while its site is shut: the plan for a span of closed days.
//!
//! What goes in at the last turn before, the fewest visits during the span and the latest day
//! for each, what to begin with afterwards; or that no plan works and the bin needs a host
//! ([`plan`]). The worms are reckoned by [`crate::living_bin`], in a building as warm and as
//! dry as the closed one is; the search for the visits is exact.

mod band;
mod bound;
pub mod closing;
pub mod drying;
mod ground;
pub mod host;
pub mod plan;
mod search;
pub mod serving;
pub mod settings;
pub mod standing;
mod visit_days;

#[cfg(test)]
mod brute_force_tests;
#[cfg(test)]
mod check_values;
#[cfg(test)]
mod dry_bed_tests;
#[cfg(test)]
mod properties;
#[cfg(test)]
mod trials;
