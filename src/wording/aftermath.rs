//! "It is in already": thanks, and what helps now.

use super::amounts::Rounding;
use super::decision::Spoken;
use super::voice::Voice;
use chrono::{DateTime, Utc};
use wormrota_domain::food::{Why, find};
use wormrota_domain::living_bin::aftermath::{Aftermath, Deed};
use wormrota_domain::units::Grams;

impl Voice {
    /// The answer to a feeding that was told afterwards, as it reads at `now`.
    #[must_use]
    pub fn aftermath(&self, after: &Aftermath, now: DateTime<Utc>) -> Spoken {
        let deeds = after.deeds.iter();
        let steps: Vec<String> = deeds
            .clone()
            .map(|deed| self.deed_step(deed, now))
            .collect();
        let unsuitable = deeds.clone().find_map(|deed| match deed {
            Deed::TakeOutFoods { foods } => Some(foods),
            _ => None,
        });
        let id = if after.over_by > Grams::ZERO {
            "told-over"
        } else if unsuitable.is_some() {
            "told-unsuitable"
        } else {
            "told-fine"
        };
        let answer = self.say(
            id,
            [
                ("amount", self.amount(after.recorded, Rounding::Up).into()),
                ("over", self.amount(after.over_by, Rounding::Up).into()),
                ("steps", self.steps(&steps).into()),
            ],
        );

        let mut todo: Vec<String> = deeds.clone().map(|deed| self.deed(deed, now)).collect();
        let takes_out = |deed: &Deed| matches!(deed, Deed::TakeOutAmount { .. });
        if unsuitable.is_some() || after.deeds.iter().any(takes_out) {
            todo.push(self.todo("care-hands", []));
            todo.push(self.todo("care-health", []));
        }
        if unsuitable.is_some_and(|foods| foods.iter().any(|key| is_pet_waste(key))) {
            todo.push(self.todo("care-pet-waste", []));
        }
        if !after.troubles.is_empty() {
            todo.push(self.todo("told-caretaker", []));
        }
        Spoken {
            sentence: self.sentence(&answer),
            todo,
        }
    }
}

fn is_pet_waste(key: &str) -> bool {
    find(key).is_some_and(|item| item.why == Some(Why::PetWaste))
}
