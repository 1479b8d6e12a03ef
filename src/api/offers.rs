//! What people bring, as JSON.

use super::exact::{AmountKg, Whole};
use super::problem::Problem;
use super::schemas::FoodKey;
use crate::desk::FieldError;
use crate::desk::offers::{Amount, Item};
use serde::Deserialize;
use utoipa::ToSchema;

/// Food that somebody brings.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = Offer, example = json!({"items": [{"food": "usual-mix", "amount_kg": 0.4}]}))]
pub struct OfferBody {
    /// Food by food; `usual-mix` when nobody wants to tell them apart.
    #[schema(min_items = 1, max_items = 40)]
    pub(super) items: Vec<ItemBody>,
}

/// One food: weighed (`amount_kg`), or by a measure (`measure` and `quarters`).
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = OfferItem, example = json!({"food": "banana-peel", "measure": "caddy-5l", "quarters": 2}))]
pub struct ItemBody {
    /// Its key in the catalogue (GET /v1/foods).
    #[schema(value_type = FoodKey)]
    food: String,
    /// Put on scales; more than 0, with at most three decimals.
    #[serde(default)]
    #[schema(value_type = Option<f64>, exclusive_minimum = 0, maximum = 50, multiple_of = 0.001, example = 0.4)]
    amount_kg: Option<AmountKg>,
    /// A kitchen measure's code, or the id or name of one of the site's containers.
    #[serde(default)]
    #[schema(max_length = 60)]
    measure: Option<String>,
    /// How full, in quarters: 2 is half of it, 6 one and a half.
    #[serde(default)]
    #[schema(value_type = Option<u32>, minimum = 1, maximum = 200)]
    quarters: Option<Whole>,
}

/// The items of a body, each with its amount said in one way.
pub(super) fn items(bodies: Vec<ItemBody>) -> Result<Vec<Item>, Problem> {
    let mut errors = Vec::new();
    let mut items = Vec::with_capacity(bodies.len());
    for (index, body) in bodies.into_iter().enumerate() {
        let amount = match (body.amount_kg, body.measure, body.quarters) {
            (Some(AmountKg(grams)), None, None) => Amount::Weighed(grams),
            (None, Some(measure), Some(Whole(quarters))) => Amount::Filled { measure, quarters },
            _ => {
                let detail = "must have either amount_kg, or measure and quarters";
                errors.push(FieldError::new(format!("/items/{index}"), detail));
                continue;
            }
        };
        items.push(Item {
            food: body.food,
            amount,
        });
    }
    if errors.is_empty() {
        Ok(items)
    } else {
        Err(Problem::fields(errors))
    }
}
