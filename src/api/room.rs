//! What a bin can take, now and in the coming weeks.

use super::bearer::SignedIn;
use super::decisions::ForecastUsedBody;
use super::exact::kg;
use super::problem::Problem;
use super::reader::reader;
use super::{AppState, responses};
use crate::desk::outlooks::{Day, RoomNow, see_forecast, see_room};
use actix_web::{get, web};
use chrono::{DateTime, NaiveDate, Utc};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, SiteId};
use wormrota_domain::living_bin::climate::BedTemperature;
use wormrota_domain::living_bin::forecast::Band;

/// What a bin can take now.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Room)]
pub struct RoomBody {
    /// The same for people.
    sentence: String,
    at: DateTime<Utc>,
    /// The most that may be fed now, every booking kept.
    room_kg: f64,
    /// The rule that leaves the least.
    bound_by: &'static str,
    /// What each rule alone would leave, least first.
    rules: Vec<RuleBody>,
    /// What the bin eats in a day.
    appetite_kg_per_day: BandBody,
    /// Food not eaten yet.
    uneaten_kg: BandBody,
    /// Live worms, as reckoned.
    worms_kg: f64,
    bed: BedBody,
    forecast: ForecastUsedBody,
}

/// What one rule would let in.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = RuleLeaves)]
pub struct RuleBody {
    /// The rule's code.
    code: &'static str,
    leaves_kg: f64,
    /// When more would break it: later than now if it guards a booking.
    at: DateTime<Utc>,
}

/// A figure with the band in which it lies nine times out of ten.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Band)]
pub struct BandBody {
    low: f64,
    median: f64,
    high: f64,
}

/// The bed's temperature.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Bed)]
pub struct BedBody {
    temperature_c: f64,
    /// One standard deviation of what is not known.
    uncertainty_c: f64,
    /// Nobody measured lately: the figure comes from spot and month.
    assumed: bool,
}

/// The coming days of a bin.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Forecast)]
pub struct ForecastBody {
    /// Today (now) and the 27 days after it, each at its first moment.
    days: Vec<ForecastDayBody>,
}

/// One day of a forecast.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ForecastDay)]
pub struct ForecastDayBody {
    date: NaiveDate,
    at: DateTime<Utc>,
    appetite_kg_per_day: BandBody,
    uneaten_kg: BandBody,
    /// What the bin can take, bookings kept.
    room_kg: f64,
    /// What is kept for bookings of that day.
    booked_kg: f64,
    bed: BedBody,
}

/// What a bin can take now.
#[utoipa::path(
    tag = "bins",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("bin_id" = Uuid, Path, description = "The bin"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The room", body = RoomBody),
        responses::ReadingBin,
    )
)]
#[get("/v1/sites/{site_id}/bins/{bin_id}/room")]
pub(super) async fn show_room(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<web::Json<RoomBody>, Problem> {
    let (site, bin) = (SiteId(path.0), BinId(path.1));
    let errand = who.errand(&state, None).await?;
    let now = see_room(&state.desk, errand.clone(), site, bin).await?;
    let (voice, names) = reader(&state, &errand, site).await?;
    let sentence = voice.room(&now.room, names.bin(bin), now.bed.assumed, now.at, now.at);
    Ok(web::Json(room_body(now, sentence)))
}

/// The coming 28 days of a bin, with the band of what is not known.
#[utoipa::path(
    tag = "bins",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("bin_id" = Uuid, Path, description = "The bin"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The forecast", body = ForecastBody),
        responses::ReadingBin,
    )
)]
#[get("/v1/sites/{site_id}/bins/{bin_id}/forecast")]
pub(super) async fn show_forecast(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<web::Json<ForecastBody>, Problem> {
    let (site, bin) = (SiteId(path.0), BinId(path.1));
    let errand = who.errand(&state, None).await?;
    let days = see_forecast(&state.desk, errand, site, bin).await?;
    Ok(web::Json(ForecastBody {
        days: days.into_iter().map(ForecastDayBody::from).collect(),
    }))
}

fn room_body(now: RoomNow, sentence: String) -> RoomBody {
    RoomBody {
        sentence,
        at: now.at,
        room_kg: kg(now.room.amount),
        bound_by: now.room.bound_by().code(),
        rules: now
            .room
            .rules
            .iter()
            .map(|rule| RuleBody {
                code: rule.limit.code(),
                leaves_kg: kg(rule.leaves),
                at: rule.at,
            })
            .collect(),
        appetite_kg_per_day: now.appetite.into(),
        uneaten_kg: now.uneaten.into(),
        worms_kg: to_gram(now.worms.0),
        bed: now.bed.into(),
        forecast: ForecastUsedBody {
            made_at: now.at,
            model_version: now.model_version,
            settings_revision: now.settings_revision,
            temperature_assumed: now.bed.assumed,
        },
    }
}

impl From<Day> for ForecastDayBody {
    fn from(day: Day) -> Self {
        Self {
            date: day.date,
            at: day.forecast.at,
            appetite_kg_per_day: day.forecast.appetite.into(),
            uneaten_kg: day.forecast.uneaten.into(),
            room_kg: kg(day.forecast.room),
            booked_kg: kg(day.forecast.kept),
            bed: day.forecast.bed.into(),
        }
    }
}

impl BandBody {
    /// Of three figures.
    pub(super) const fn new(low: f64, median: f64, high: f64) -> Self {
        Self { low, median, high }
    }
}

impl From<Band> for BandBody {
    fn from(band: Band) -> Self {
        Self {
            low: to_gram(band.low.0),
            median: to_gram(band.middle.0),
            high: to_gram(band.high.0),
        }
    }
}

impl From<BedTemperature> for BedBody {
    fn from(bed: BedTemperature) -> Self {
        let tenth = |x: f64| (x * 10.0).round() / 10.0;
        Self {
            temperature_c: tenth(bed.bed.0),
            uncertainty_c: tenth(bed.sd),
            assumed: bed.assumed,
        }
    }
}

/// The model's figure as it is shown: to the gram.
pub(super) fn to_gram(kg: f64) -> f64 {
    (kg * 1000.0).round() / 1000.0
}
