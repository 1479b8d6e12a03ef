//! One food.

use super::class::{Class, Group, Why};
use super::composition::Composition;
use super::density::Density;
use super::source::Source;
use crate::units::{Fraction, Kg};

/// A food as the catalogue knows it.
///
/// Figures are typical ones: scraps vary, and the model's band covers that.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FoodItem {
    /// The stable name in kebab-case, such as `banana-peel`. Never changed or taken away,
    /// because stored feedings refer to it.
    pub key: &'static str,
    /// What it is of a kind with.
    pub group: Group,
    /// Whether it may go in, before a site tightens it.
    pub class: Class,
    /// Why not freely; nothing for a welcome food.
    pub why: Option<Why>,
    /// Where class and reason come from.
    pub class_source: Source,
    /// Whether pieces should be cut small, or shells crushed, first.
    pub cut: bool,
    /// Water as a part of the wet mass.
    pub moisture: Fraction,
    /// Nitrogen as a part of the dry mass; zero for grit and rubbish.
    pub nitrogen_dry: Fraction,
    /// Carbon to nitrogen by mass; zero for grit and rubbish.
    pub carbon_to_nitrogen: f64,
    /// Where moisture, nitrogen and ratio come from.
    pub numbers_source: Source,
    /// What a litre weighs, with its own source.
    pub density: Density,
}

impl FoodItem {
    /// What an amount of it is made of.
    #[must_use]
    pub fn composition(&self, mass: Kg) -> Composition {
        Composition::of(
            mass,
            self.moisture,
            self.nitrogen_dry,
            self.carbon_to_nitrogen,
        )
    }
}
