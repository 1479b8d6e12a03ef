//! From what people say they bring to an offer that the domain can decide on.

use super::DeskError;
use super::at_hand::SiteAtHand;
use super::fields::Check;
use crate::store::{Conn, sites};
use uuid::Uuid;
use wormrota_domain::food::{
    Container, FoodItem, KitchenMeasure, Measure, Offer, OfferError, OfferLine, Quarters, Vessel,
    estimate, find, nearest,
};
use wormrota_domain::units::{Grams, Litres};

/// How many foods of a similar name an unknown one is answered with.
const SUGGESTIONS: usize = 3;
/// The most quarters of a measure in one item: fifty full ones.
const MOST_QUARTERS: u32 = 200;
/// The longest measure name worth looking for, bytes.
const LONGEST_MEASURE: usize = 200;

/// One food as somebody brings it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Item {
    /// Its key in the catalogue.
    pub food: String,
    /// How much.
    pub amount: Amount,
}

/// How much, as people say it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Amount {
    /// Put on scales.
    Weighed(Grams),
    /// Something filled so far.
    Filled {
        /// The code of a kitchen measure, or the id or name of one of the site's
        /// containers.
        measure: String,
        /// In quarters: 2 is half of it, 6 one and a half.
        quarters: u32,
    },
}

/// Makes an offer of items; all that is wrong is told at once. Nobody guesses what an
/// unknown food might be.
pub(super) async fn offer_of(
    conn: &mut Conn,
    site: &SiteAtHand,
    items: &[Item],
) -> Result<Offer, DeskError> {
    let fills = items
        .iter()
        .any(|item| matches!(item.amount, Amount::Filled { .. }));
    let own = if fills {
        own_vessels(conn, site).await?
    } else {
        Vec::new()
    };
    let mut check = Check::default();
    let mut lines = Vec::with_capacity(items.len());
    for (index, item) in items.iter().enumerate() {
        let food = find(&item.food);
        if food.is_none() {
            check.wrong(format!("/items/{index}/food"), unknown(&item.food));
        }
        if let Some(measure) = measure(&mut check, &item.amount, &own, index) {
            lines.extend(food.map(|food| line(food, measure)));
        }
    }
    check.done()?;
    Offer::parse(lines).map_err(|error| what_is_wrong(&error))
}

fn line(food: &'static FoodItem, measure: Measure) -> OfferLine {
    OfferLine::new(food, estimate(measure, food))
}

/// A vessel with what it goes by.
struct OwnVessel {
    id: Uuid,
    name: String,
    vessel: Vessel,
}

async fn own_vessels(conn: &mut Conn, site: &SiteAtHand) -> Result<Vec<OwnVessel>, DeskError> {
    let rows = sites::containers(conn, site.id).await?;
    let vessel = |row: sites::ContainerRow| {
        let litres = Litres(f64::from(row.volume_ml) / 1000.0);
        let container = Container::new(&row.name, litres).ok()?;
        Some(OwnVessel {
            id: row.id,
            vessel: container.vessel(),
            name: row.name,
        })
    };
    Ok(rows.into_iter().filter_map(vessel).collect())
}

/// Which measures there are only the site's records know; how full one can be does not
/// depend on them.
fn measure(check: &mut Check, amount: &Amount, own: &[OwnVessel], index: usize) -> Option<Measure> {
    let (name, quarters) = match amount {
        Amount::Weighed(grams) => return Some(Measure::Weighed(*grams)),
        Amount::Filled { measure, quarters } => (measure.as_str(), *quarters),
    };
    if !(1..=MOST_QUARTERS).contains(&quarters) {
        let detail = format!("must be 1 to {MOST_QUARTERS} quarters");
        check.wrong(format!("/items/{index}/quarters"), detail);
        return None;
    }
    let named = |vessel: &&OwnVessel| {
        name.len() <= LONGEST_MEASURE
            && (vessel.name.to_lowercase() == name.to_lowercase()
                || Uuid::try_parse(name).is_ok_and(|id| id == vessel.id))
    };
    let vessel = own
        .iter()
        .find(named)
        .map(|own| own.vessel)
        .or_else(|| KitchenMeasure::from_code(name).map(KitchenMeasure::vessel));
    if vessel.is_none() {
        let codes: Vec<&str> = KitchenMeasure::ALL
            .iter()
            .map(|measure| measure.code())
            .collect();
        let detail = format!(
            "must be one of the site's containers, or {}",
            codes.join(", ")
        );
        check.conflict(format!("/items/{index}/measure"), detail);
    }
    vessel.map(|vessel| Measure::Filled(vessel, Quarters(quarters)))
}

fn unknown(food: &str) -> String {
    let similar = nearest(food, SUGGESTIONS);
    let end = "GET /v1/foods lists them; `usual-mix` is ordinary mixed scraps";
    if similar.is_empty() {
        format!("must be a food of the catalogue: {end}")
    } else {
        format!(
            "must be a food of the catalogue, perhaps {}: {end}",
            similar.join(", ")
        )
    }
}

fn what_is_wrong(error: &OfferError) -> DeskError {
    let pointer = error
        .line()
        .map_or_else(|| "/items".to_owned(), |line| format!("/items/{line}"));
    let detail = match error {
        OfferError::Empty => "must have at least one item",
        OfferError::TooManyLines { .. } => "must have at most 40 items",
        OfferError::NotPositive { .. } | OfferError::Spread { .. } => "must be an amount above 0",
        OfferError::TooMuch { .. } => "must come to at most 50 kilograms in all",
    };
    match error {
        OfferError::Empty | OfferError::TooManyLines { .. } => DeskError::field(pointer, detail),
        OfferError::NotPositive { .. } | OfferError::Spread { .. } | OfferError::TooMuch { .. } => {
            DeskError::conflict(pointer, detail)
        }
    }
}
