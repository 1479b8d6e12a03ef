//! What foods put into a bin, as far as the model cares.

use super::decision::Decision;
use super::state::Meal;
use crate::food::{Class, FoodItem, Group, SiteFoodList};
use crate::units::Grams;

/// What the allowed part of an accepted offer puts into the bin.
#[must_use]
pub fn allowed_meal(decision: &Decision, list: &SiteFoodList) -> Meal {
    let lines = decision.lines.iter().filter_map(|line| {
        let item = crate::food::find(&line.food)?;
        Some((item, line.allowed))
    });
    meal_of(lines, list)
}

/// What foods put into a bin, as far as the model cares.
#[must_use]
pub fn meal_of(
    lines: impl Iterator<Item = (&'static FoodItem, Grams)>,
    list: &SiteFoodList,
) -> Meal {
    let mut meal = Meal::default();
    for (item, amount) in lines {
        meal.composition += item.composition(amount.kg());
        if list.class_of(item).class == Class::Sparing {
            meal.sparing += amount.kg();
        }
        if item.group == Group::CoffeeAndTea {
            meal.coffee += amount.kg();
        }
    }
    meal
}
