//! What to do: the conditions of a yes, and what helps after a feeding that was told.

use super::amounts::Rounding;
use super::measures::densest;
use super::voice::Voice;
use chrono::{DateTime, Utc};
use wormrota_domain::food::{Density, sheets};
use wormrota_domain::living_bin::aftermath::Deed;
use wormrota_domain::living_bin::decision::Condition;
use wormrota_domain::living_bin::limit::Limit;
use wormrota_domain::units::Grams;

impl Voice {
    /// A condition of a yes, with its reason, as a sentence of its own. A line to stop at is
    /// told in the measure of ordinary scraps.
    #[must_use]
    pub fn condition(&self, condition: &Condition) -> String {
        self.condition_of(condition, densest(std::iter::empty()))
    }

    /// The same for foods of which a litre weighs so much.
    pub(super) fn condition_of(&self, condition: &Condition, density: Density) -> String {
        let part = match condition {
            Condition::LeaveOut { foods } => {
                let foods = self.foods_because(foods);
                self.say("do-leave-out", [("foods", foods.into())])
            }
            Condition::LessOf {
                foods,
                limit,
                at_most,
            } => {
                let id = match limit {
                    Limit::CoffeeShare => "do-less-of-coffee",
                    _ => "do-less-of-sparing",
                };
                self.less_of(id, self.foods(foods), foods, *at_most)
            }
            Condition::StopAt { amount } => {
                let portion = self.portion(*amount, density);
                self.say("do-stop-at-why", [("portion", portion.into())])
            }
            Condition::CutSmall { foods } => self.cut_small(self.foods(foods)),
            Condition::AddBedding { dry } => self.add_bedding(*dry),
            Condition::AddWater { millilitres } => self.add_water(*millilitres),
        };
        self.sentence(&part)
    }

    /// The same, short and as a part of a sentence. Nothing for a line to stop at, which
    /// the sentence itself names.
    pub(super) fn step(&self, condition: &Condition) -> Option<String> {
        let step = match condition {
            Condition::LeaveOut { foods } => {
                let foods = self.few_foods(foods);
                self.say("do-leave-out", [("foods", foods.into())])
            }
            Condition::LessOf { foods, at_most, .. } => {
                self.less_of("do-less-of", self.few_foods(foods), foods, *at_most)
            }
            Condition::StopAt { .. } => return None,
            Condition::CutSmall { foods } => self.cut_small(self.few_foods(foods)),
            Condition::AddBedding { dry } => self.add_bedding(*dry),
            Condition::AddWater { millilitres } => self.add_water(*millilitres),
        };
        Some(step)
    }

    /// Something to do after a feeding that was told, with its reason, as a sentence of its
    /// own.
    #[must_use]
    pub fn deed(&self, deed: &Deed, now: DateTime<Utc>) -> String {
        let part = match deed {
            Deed::TakeOutFoods { foods } => {
                let foods = self.foods_because(foods);
                self.say("deed-take-out-foods-why", [("foods", foods.into())])
            }
            _ => self.deed_step(deed, now),
        };
        self.sentence(&part)
    }

    /// The same, short and as a part of a sentence.
    pub(super) fn deed_step(&self, deed: &Deed, now: DateTime<Utc>) -> String {
        match deed {
            Deed::TakeOutFoods { foods } => {
                let foods = self.few_foods(foods);
                self.say("deed-take-out-foods", [("foods", foods.into())])
            }
            Deed::TakeOutAmount { amount } => {
                let portion = self.portion_up(*amount, Density::KITCHEN_SCRAPS);
                self.say("deed-take-out-amount", [("portion", portion.into())])
            }
            Deed::AddBedding { dry } => self.add_bedding(*dry),
            Deed::AddWater { millilitres } => self.add_water(*millilitres),
            Deed::FeedNothingUntil { at: Some(at) } => {
                let day = self.day(*at, now);
                self.say("deed-feed-nothing-until", [("day", day.into())])
            }
            Deed::FeedNothingUntil { at: None } => self.say("deed-feed-nothing", []),
            Deed::Cover => self.say("deed-cover", []),
            Deed::Cool => self.say("deed-cool", []),
            Deed::SayWhenOut => self.say("deed-say-when-out", []),
        }
    }

    fn less_of(&self, id: &str, named: String, foods: &[String], at_most: Grams) -> String {
        if at_most <= Grams::ZERO {
            return self.say("do-leave-out", [("foods", named.into())]);
        }
        let amount = self.portion(at_most, densest(foods.iter().map(String::as_str)));
        self.say(id, [("amount", amount.into()), ("foods", named.into())])
    }

    fn cut_small(&self, foods: String) -> String {
        self.say("do-cut-small", [("foods", foods.into())])
    }

    pub(super) fn add_bedding(&self, dry: Grams) -> String {
        let amount = self.amount(dry, Rounding::Up);
        let sheets = sheets(dry, self.paper);
        self.say(
            "do-add-bedding",
            [("sheets", sheets.into()), ("amount", amount.into())],
        )
    }

    fn add_water(&self, millilitres: i64) -> String {
        let water = self.water(millilitres);
        self.say("do-add-water", [("water", water.into())])
    }
}
