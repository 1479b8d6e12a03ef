//! Series: a place on every Tuesday, or every second one, in one go.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::exact::{AmountKg, Whole};
use super::problem::Problem;
use super::{AppState, responses};
use crate::desk::take_series::{Series, SeriesDay, SeriesOutcome, take_series};
use actix_web::{HttpResponse, post, web};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, SiteId};
use wormrota_domain::rota::rules::HardRule;

/// On which days you want a place.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewSeries, example = json!({
    "bin_id": "0198f2c0-5f5e-7000-8000-9a2b7c1d4e6f", "weekday": 2, "every_weeks": 2,
    "to": "2027-06-30",
}))]
pub struct NewSeriesBody {
    /// Of which bin.
    bin_id: Uuid,
    /// 1 is Monday, 7 is Sunday.
    #[schema(value_type = u32, minimum = 1, maximum = 7)]
    weekday: Whole,
    /// 1 is every week, 2 every second one.
    #[schema(value_type = u32, minimum = 1, maximum = 8)]
    every_weeks: Whole,
    /// The first day; today without. Weeks are counted from the first such weekday.
    from: Option<NaiveDate>,
    /// The last day, within 366 days of the first.
    to: NaiveDate,
    /// What you mean to bring each time: room for it is booked on feedings within 28 days. More
    /// than 0, with at most three decimals.
    #[schema(value_type = Option<f64>, exclusive_minimum = 0, maximum = 50, multiple_of = 0.001, example = 0.3)]
    amount_kg: Option<AmountKg>,
}

/// What came of a series.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Series)]
pub struct SeriesBody {
    /// Every such day, in order.
    items: Vec<SeriesDayBody>,
}

/// What came of one day.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = SeriesDay)]
pub struct SeriesDayBody {
    on_date: NaiveDate,
    /// Whether you got a place.
    taken: bool,
    /// The turn; absent when the bin has none for members on that day.
    turn_id: Option<Uuid>,
    /// Your place.
    place_id: Option<Uuid>,
    /// The booking of what you bring, where room could be booked.
    booking_id: Option<Uuid>,
    /// Why you got none: `no_turn`, or the code of a problem such as `no_free_place`.
    code: Option<String>,
    /// The rules that would break, where the code is `rules_broken`.
    rules: Vec<&'static str>,
}

/// Takes a place on each of the days that has a free one for you. Days are answered one by one:
/// those that cannot be had stop none of the others.
#[utoipa::path(
    tag = "turns",
    request_body = NewSeriesBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "What came of each day", body = SeriesBody),
        responses::Writing,
    )
)]
#[post("/v1/sites/{site_id}/series")]
pub(super) async fn create_series(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    body: Body<NewSeriesBody>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, body.ticket).await?;
    let series = Series {
        bin: BinId(body.value.bin_id),
        weekday: body.value.weekday.0,
        every_weeks: body.value.every_weeks.0,
        from: body.value.from,
        to: body.value.to,
        amount: body.value.amount_kg.map(|amount| amount.0),
    };
    let days = take_series(&state.desk, errand, SiteId(*site), series).await?;
    Ok(HttpResponse::Ok().json(SeriesBody {
        items: days.into_iter().map(SeriesDayBody::from).collect(),
    }))
}

impl From<SeriesDay> for SeriesDayBody {
    fn from(day: SeriesDay) -> Self {
        let mut body = Self {
            on_date: day.on_date,
            taken: false,
            turn_id: None,
            place_id: None,
            booking_id: None,
            code: None,
            rules: Vec::new(),
        };
        match day.outcome {
            SeriesOutcome::NoTurn => body.code = Some("no_turn".to_owned()),
            SeriesOutcome::Taken {
                turn,
                place,
                booking,
            } => {
                body.taken = true;
                body.turn_id = Some(turn.0);
                body.place_id = Some(place.0);
                body.booking_id = booking.map(|booking| booking.0);
            }
            SeriesOutcome::NotTaken { turn, code, rules } => {
                body.turn_id = Some(turn.0);
                body.code = Some(code);
                body.rules = rules.into_iter().map(HardRule::code).collect();
            }
        }
        body
    }
}
