//! What may go in, how much it weighs, and what the mix needs.
//!
//! - [`FoodItem`] and its [`catalogue()`]: each food with its [`Class`] and its make-up,
//!   each with the [`Source`] it was taken from
//! - [`SiteFoodList`]: what one site keeps out besides
//! - [`Measure`]: from a caddy or a handful to grams, and back
//! - [`Offer`]: the one door through which an amount of food enters the model
//! - [`Composition`], [`Bedding`] and [`bedding_for`]: water, carbon and nitrogen of a mix,
//!   and the bedding and water that put it right

mod bedding;
mod catalogue;
#[cfg(test)]
mod check_values;
mod class;
mod composition;
mod density;
mod item;
mod measure;
mod mix;
mod nearest;
mod offer;
mod site_list;
mod source;

pub use bedding::{Bedding, Paper, beddings, find_bedding, sheets, starting_bedding};
pub use catalogue::{catalogue, find, nearest};
pub use class::{Class, Group, Why};
pub use composition::Composition;
pub use density::Density;
pub use item::FoodItem;
pub use measure::{
    Container, ContainerError, Estimate, KitchenMeasure, Measure, Quarters, Vessel, estimate,
    in_measure,
};
pub use mix::{
    BeddingAdvice, MixTarget, MixTargetError, bedding_for, mass_for_carbon, mass_for_moisture,
    sample_moisture, water_to_add,
};
pub use offer::{MAX_LINES, MAX_OFFER, Offer, OfferError, OfferLine};
pub use site_list::{FoodSubject, SiteFoodEntry, SiteFoodError, SiteFoodList, Standing};
pub use source::Source;
