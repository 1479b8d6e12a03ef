//! Measured values, by hand and by probe.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::page::{MomentPageQuery, PageOf, PageWanted, after_moment};
use super::probe_key::ProbeKey;
use super::problem::Problem;
use super::reader::reader;
use super::{AppState, rate, responses};
use crate::desk::FieldError;
use crate::desk::measure::{Taken, measure_by_hand, measure_by_probe};
use crate::desk::readings::{Reading, list_readings};
use crate::wording::Voice;
use actix_web::{HttpRequest, HttpResponse, get, post, web};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, SiteId};
use wormrota_domain::living_bin::reading::{Quantity, SetAside, Value};

/// Values, in any order; one sent twice counts once.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewReadings, example = json!({"values": [{"quantity": "bed_c", "value": 21.5}]}))]
pub struct NewReadingsBody {
    #[schema(min_items = 1, max_items = 500)]
    values: Vec<ValueBody>,
}

/// One value.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewReading, example = json!({"quantity": "bed_c", "value": 21.5}))]
pub struct ValueBody {
    /// What was measured: `bed_c` in degrees Celsius, `bed_moisture` from 0 to 1, or
    /// `air_c`, which is kept but never taken for the bed.
    #[schema(value_type = QuantityCode)]
    quantity: Quantity,
    /// How much. Values that cannot be true (85, -127) are kept and set aside.
    #[schema(minimum = -1000, maximum = 1000)]
    value: f64,
    /// When; now if absent, which only one value of a quantity can be. Within the past 60
    /// days.
    #[serde(default)]
    measured_at: Option<DateTime<Utc>>,
}

/// What was measured.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
enum QuantityCode {
    BedC,
    BedMoisture,
    AirC,
}

/// What became of values.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = TakenReadings)]
pub struct TakenBody {
    /// Kept for the first time.
    kept: usize,
    /// There already.
    repeated: usize,
    /// Kept, but counting for nothing.
    set_aside: Vec<SetAsideBody>,
    /// What they say about the bed, for people, with what to do.
    warnings: Vec<String>,
    /// Entries on the bin's spine that came of them; one that is wrong can be taken back.
    entries: Vec<Uuid>,
}

/// A value that counts for nothing.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = SetAsideReading)]
pub struct SetAsideBody {
    /// Its place in the request, from 0.
    index: usize,
    /// `power_on_value`, `no_probe`, `impossible` or `not_the_bed`.
    reason: &'static str,
}

/// A value as it came.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Reading)]
pub struct ReadingBody {
    id: Uuid,
    probe_id: Option<Uuid>,
    /// Who measured it: you, or anybody for who looks after the site.
    member_id: Option<Uuid>,
    measured_at: DateTime<Utc>,
    #[schema(value_type = QuantityCode)]
    quantity: &'static str,
    value: f64,
    /// Why it counts for nothing, if it does.
    set_aside: Option<&'static str>,
}

/// Values that somebody measured by hand.
#[utoipa::path(
    tag = "readings",
    request_body = NewReadingsBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("bin_id" = Uuid, Path, description = "The bin"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses((status = 201, description = "Taken", body = TakenBody), responses::Writing)
)]
#[post("/v1/sites/{site_id}/bins/{bin_id}/readings")]
pub(super) async fn create_readings(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    body: Body<NewReadingsBody>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, body.ticket).await?;
    let values = values(body.value, errand.now)?;
    let seeing = errand.clone();
    let taken = measure_by_hand(&state.desk, errand, SiteId(path.0), BinId(path.1), values).await?;
    let (voice, _) = reader(&state, &seeing, SiteId(path.0)).await?;
    Ok(HttpResponse::Created().json(taken_body(taken, &voice, seeing.now)))
}

/// Values of a bin, newest first, those set aside among them.
#[utoipa::path(
    tag = "readings",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("bin_id" = Uuid, Path, description = "The bin"),
        MomentPageQuery,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of values", body = PageOf<ReadingBody>),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/bins/{bin_id}/readings")]
pub(super) async fn index_readings(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    page: PageWanted,
) -> Result<web::Json<PageOf<ReadingBody>>, Problem> {
    let before = page.after_moment()?;
    let errand = who.errand(&state, None).await?;
    let (site, bin) = (SiteId(path.0), BinId(path.1));
    let readings = list_readings(&state.desk, errand, site, bin, before, page.limit).await?;
    Ok(web::Json(PageOf::of(
        readings,
        |reading| after_moment(reading.value.at, reading.id.0),
        ReadingBody::from,
    )))
}

/// Values from a probe, which signs in with its own key and so needs no site and no bin.
#[utoipa::path(
    tag = "readings",
    request_body = NewReadingsBody,
    security(("probe" = [])),
    responses(
        (status = 201, description = "Taken", body = TakenBody),
        responses::Probing,
    )
)]
#[post("/v1/probe/readings")]
pub(super) async fn create_probe_readings(
    state: web::Data<AppState>,
    request: HttpRequest,
    key: ProbeKey,
    body: Body<NewReadingsBody>,
) -> Result<HttpResponse, Problem> {
    rate::count_address(&state, &request).await?;
    let now = state.desk.now().await?;
    let values = values(body.value, now)?;
    let taken = measure_by_probe(&state.desk, now, key.hash, values).await?;
    Ok(HttpResponse::Created().json(taken_body(taken, &Voice::plain_english(), now)))
}

/// Values without a time are of now. Two of the same quantity would then pass for
/// repetitions of each other, so all but one must say when.
fn values(body: NewReadingsBody, now: DateTime<Utc>) -> Result<Vec<Value>, Problem> {
    let mut of_now = Vec::new();
    let mut errors = Vec::new();
    for (index, value) in body.values.iter().enumerate() {
        if value.measured_at.is_some() {
            continue;
        }
        if of_now.contains(&value.quantity) {
            let pointer = format!("/values/{index}/measured_at");
            errors.push(FieldError::new(
                pointer,
                "must say when, since another value of this quantity is of now",
            ));
        }
        of_now.push(value.quantity);
    }
    if !errors.is_empty() {
        return Err(Problem::conflicts(errors));
    }
    let value = |body: ValueBody| Value {
        at: body.measured_at.unwrap_or(now),
        quantity: body.quantity,
        value: body.value,
    };
    Ok(body.values.into_iter().map(value).collect())
}

fn taken_body(taken: Taken, voice: &Voice, now: DateTime<Utc>) -> TakenBody {
    let aside = |(index, reason): (usize, SetAside)| SetAsideBody {
        index,
        reason: reason.code(),
    };
    TakenBody {
        kept: taken.kept,
        repeated: taken.repeated,
        set_aside: taken.set_aside.into_iter().map(aside).collect(),
        warnings: taken
            .warnings
            .iter()
            .map(|w| voice.warning(w, now))
            .collect(),
        entries: taken.entries.iter().map(|entry| entry.0).collect(),
    }
}

impl From<Reading> for ReadingBody {
    fn from(reading: Reading) -> Self {
        Self {
            id: reading.id.0,
            probe_id: reading.probe.map(|probe| probe.0),
            member_id: reading.member.map(|member| member.0),
            measured_at: reading.value.at,
            quantity: reading.value.quantity.code(),
            value: reading.value.value,
            set_aside: reading.set_aside.map(SetAside::code),
        }
    }
}
