//! The catalogue of foods, and the measures that every kitchen has.

use super::AppState;
use super::bearer::SignedIn;
use super::problem::Problem;
use super::responses;
use crate::wording::Voice;
use actix_web::{get, web};
use serde::Serialize;
use utoipa::ToSchema;
use wormrota_domain::food::{FoodItem, KitchenMeasure, Why, catalogue};

/// Everything that can be offered.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Catalogue)]
pub struct CatalogueBody {
    items: Vec<FoodBody>,
    /// Measures that can stand in an offer besides the site's own containers.
    measures: Vec<MeasureBody>,
}

/// A food.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Food)]
pub struct FoodBody {
    /// What stands in offers.
    key: &'static str,
    /// What it is called in English.
    name: String,
    /// Its group, which a site's list may name.
    group: &'static str,
    /// `welcome`, `sparing` or `never`; a site may be stricter.
    class: &'static str,
    /// Why it is not welcome, as a code.
    why: Option<&'static str>,
    /// The same in half a sentence.
    because: Option<String>,
    /// Water in it, percent.
    moisture_percent: f64,
    /// Nitrogen in its dry part, percent.
    nitrogen_dry_percent: f64,
    carbon_to_nitrogen: f64,
    kg_per_litre: f64,
    /// Where its class comes from.
    class_source: String,
    /// Where its figures come from.
    figures_source: String,
}

/// A measure.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Measure)]
pub struct MeasureBody {
    /// What stands in offers.
    code: &'static str,
    litres: f64,
}

/// The catalogue of foods with where every figure comes from.
#[utoipa::path(
    tag = "foods",
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The catalogue", body = CatalogueBody),
        responses::Reading,
    )
)]
#[get("/v1/foods")]
pub(super) async fn index_foods(
    _state: web::Data<AppState>,
    _who: SignedIn,
) -> Result<web::Json<CatalogueBody>, Problem> {
    let voice = Voice::plain_english();
    let measure = |measure: &KitchenMeasure| MeasureBody {
        code: measure.code(),
        litres: measure.vessel().volume().0,
    };
    Ok(web::Json(CatalogueBody {
        items: catalogue()
            .iter()
            .map(|item| food_body(&voice, item))
            .collect(),
        measures: KitchenMeasure::ALL.iter().map(measure).collect(),
    }))
}

fn food_body(voice: &Voice, item: &FoodItem) -> FoodBody {
    let percent = |share: f64| (share * 1000.0).round() / 10.0;
    FoodBody {
        key: item.key,
        name: voice.food(item.key),
        group: item.group.code(),
        class: item.class.code(),
        why: item.why.map(Why::code),
        because: item.why.map(|why| voice.why(why)),
        moisture_percent: percent(item.moisture.0),
        nitrogen_dry_percent: percent(item.nitrogen_dry.0),
        carbon_to_nitrogen: item.carbon_to_nitrogen,
        kg_per_litre: (item.density.kg_per_litre() * 1000.0).round() / 1000.0,
        class_source: item.class_source.to_string(),
        figures_source: item.numbers_source.to_string(),
    }
}
