//! Why a rota is as it is: "why always me", as codes and numbers.
//!
//! [`shares`] says what is fair for everybody and what they got, [`limits`] which of their own
//! limits cost somebody how many turns, [`empty`] why nobody holds a place, and [`compare`]
//! why one has more than another. Nothing is rounded: what should add up adds up exactly.
//!
//! All of that is for who looks after the site. Whatever anybody else is shown goes through
//! [`Sight`], which knows who may see what.

pub mod compare;
pub mod empty;
mod fraction;
pub mod limits;
pub mod shares;
pub mod sight;

pub use fraction::Fraction;
pub use sight::{Sight, Viewer};

#[cfg(test)]
mod empty_tests;
#[cfg(test)]
mod limits_tests;
#[cfg(test)]
mod shares_tests;
#[cfg(test)]
mod sight_tests;
