//! What may go in, how much it weighs, and what the mix needs.
//!
//! - [`FoodItem`] and its [`catalogue()`]: each food with its [`Class`] and its make-up,
//!   each with the [`Source`] it was taken from

mod catalogue;
mod class;
mod coded;
mod composition;
mod density;
mod item;
mod nearest;
mod source;

pub use catalogue::{catalogue, find, nearest};
pub use class::{Class, Group, Why};
pub use composition::Composition;
pub use density::Density;
pub use item::FoodItem;
pub use source::Source;
