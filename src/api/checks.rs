//! Looking into a bin, tending its bed, and taking entries back.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::exact::{AmountKg, kg};
use super::problem::Problem;
use super::reader::reader;
use super::{AppState, responses};
use crate::desk::check_bin::{Look, check_bin};
use crate::desk::take_back::take_back;
use crate::desk::tend_bed::{add_bedding, feed_side, take_out};
use actix_web::{HttpResponse, delete, post, web};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, EventId, SiteId};
use wormrota_domain::living_bin::check::{Check, Dampness, Left, Smell, Visitor};
use wormrota_domain::living_bin::gate::Gate;
use wormrota_domain::units::Fraction;

/// What somebody saw in a bin. One answer is enough.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewCheck, example = json!({"left": "little", "smell": "earthy"}))]
pub struct NewCheckBody {
    /// How much of the last meal is left, all that lies there counted: `none`, `little` (up
    /// to a quarter), `half`, `most`, or `all` (or more).
    #[serde(default)]
    #[schema(value_type = Option<LeftCode>)]
    left: Option<Left>,
    /// There is food that nobody logged.
    #[serde(default)]
    unlogged: bool,
    /// `earthy` is good; `sour` and `ammonia` make the bin rest.
    #[serde(default)]
    #[schema(value_type = Option<SmellCode>)]
    smell: Option<Smell>,
    /// Squeeze a handful: it crumbles (`dry`), gives a drop or two (`right`), or runs
    /// (`wet`).
    #[serde(default)]
    #[schema(value_type = Option<DampnessCode>)]
    dampness: Option<Dampness>,
    /// What else was seen.
    #[serde(default)]
    #[schema(value_type = Vec<VisitorCode>, max_items = 6)]
    visitors: Vec<Visitor>,
    /// When; now if absent. Within the past 7 days.
    #[serde(default)]
    checked_at: Option<DateTime<Utc>>,
    /// A guest saw it: their word never makes a bin rest.
    #[serde(default)]
    by_visitor: bool,
}

/// How much of the last meal is left.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
enum LeftCode {
    None,
    Little,
    Half,
    Most,
    All,
}

/// How the bin smells.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
enum SmellCode {
    Earthy,
    Sour,
    Ammonia,
}

/// How wet the bed is.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
enum DampnessCode {
    Dry,
    Right,
    Wet,
}

/// What else was seen.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
enum VisitorCode {
    FruitFlies,
    Ants,
    Mites,
    WormsClimbing,
    Liquid,
    Rodents,
}

/// What came of a check.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Check)]
pub struct CheckBody {
    /// The entry on the bin's spine.
    id: Uuid,
    /// The same for people.
    sentence: String,
    /// What to do about what was seen, each a sentence.
    todo: Vec<String>,
    /// The same as codes.
    care: Vec<&'static str>,
    /// `open`, `held` (rests) or `half`.
    gate: &'static str,
    /// Food that is there and that nobody had logged.
    found_kg: Option<f64>,
    /// What the bin can take now.
    room_kg: f64,
}

/// Dry bedding that went in without food.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewBedding, example = json!({"dry_kg": 0.1}))]
pub struct NewBeddingBody {
    #[schema(value_type = f64, exclusive_minimum = 0, maximum = 10, multiple_of = 0.001, example = 0.1)]
    dry_kg: AmountKg,
}

/// Food that was taken out again.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewRemoval, example = json!({"amount_kg": 0.5}))]
pub struct NewRemovalBody {
    #[schema(value_type = f64, exclusive_minimum = 0, maximum = 50, multiple_of = 0.001, example = 0.5)]
    amount_kg: AmountKg,
}

/// Which part of a bin is fed from now on.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewSide, example = json!({"share": 0.5}))]
pub struct NewSideBody {
    /// Share of the surface; 1 is all of it, 0.5 one side, as before a harvest.
    #[schema(minimum = 0.1, maximum = 1, example = 0.5)]
    share: f64,
}

/// An entry on the bin's spine.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Entry)]
pub struct EntryBody {
    id: Uuid,
}

/// The gate as the API names it.
pub(super) const fn gate_code(gate: Gate) -> &'static str {
    match gate {
        Gate::Open => "open",
        Gate::Held { .. } => "held",
        Gate::Half { .. } => "half",
    }
}

/// Somebody looked into the bin and says what they saw.
#[utoipa::path(
    tag = "checks",
    request_body = NewCheckBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("bin_id" = Uuid, Path, description = "The bin"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses((status = 201, description = "Recorded", body = CheckBody), responses::Writing)
)]
#[post("/v1/sites/{site_id}/bins/{bin_id}/checks")]
pub(super) async fn create_check(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    body: Body<NewCheckBody>,
) -> Result<HttpResponse, Problem> {
    let (site, bin) = (SiteId(path.0), BinId(path.1));
    let said = body.value;
    let look = Look {
        check: Check {
            left: said.left,
            unlogged: said.unlogged,
            smell: said.smell,
            dampness: said.dampness,
            visitors: said.visitors,
        },
        checked_at: said.checked_at,
        by_visitor: said.by_visitor,
    };
    let errand = who.errand(&state, body.ticket).await?;
    let checked = check_bin(&state.desk, errand.clone(), site, bin, look).await?;
    let (voice, _) = reader(&state, &errand, site).await?;
    let (before, gate) = (checked.gate_before, checked.gate);
    Ok(HttpResponse::Created().json(CheckBody {
        id: checked.id.0,
        sentence: voice.checked(
            before,
            gate,
            checked.found,
            checked.room,
            checked.recorded_at,
        ),
        todo: checked.care.iter().map(|care| voice.care(*care)).collect(),
        care: checked.care.iter().map(|care| care.code()).collect(),
        gate: gate_code(gate),
        found_kg: checked.found.map(kg),
        room_kg: kg(checked.room),
    }))
}

/// Dry bedding went in without food.
#[utoipa::path(
    tag = "checks",
    request_body = NewBeddingBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("bin_id" = Uuid, Path, description = "The bin"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses((status = 201, description = "Recorded", body = EntryBody), responses::Writing)
)]
#[post("/v1/sites/{site_id}/bins/{bin_id}/beddings")]
pub(super) async fn create_bedding(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    body: Body<NewBeddingBody>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, body.ticket).await?;
    let dry = body.value.dry_kg.0;
    let id = add_bedding(&state.desk, errand, SiteId(path.0), BinId(path.1), dry).await?;
    Ok(HttpResponse::Created().json(EntryBody { id: id.0 }))
}

/// Food was taken out again, as after "it is in already".
#[utoipa::path(
    tag = "checks",
    request_body = NewRemovalBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("bin_id" = Uuid, Path, description = "The bin"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses((status = 201, description = "Recorded", body = EntryBody), responses::Writing)
)]
#[post("/v1/sites/{site_id}/bins/{bin_id}/removals")]
pub(super) async fn create_removal(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    body: Body<NewRemovalBody>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, body.ticket).await?;
    let amount = body.value.amount_kg.0;
    let id = take_out(&state.desk, errand, SiteId(path.0), BinId(path.1), amount).await?;
    Ok(HttpResponse::Created().json(EntryBody { id: id.0 }))
}

/// From now on only a part of the bin is fed; depth and area rules use that part.
#[utoipa::path(
    tag = "checks",
    request_body = NewSideBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("bin_id" = Uuid, Path, description = "The bin"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses((status = 201, description = "Recorded", body = EntryBody), responses::Writing)
)]
#[post("/v1/sites/{site_id}/bins/{bin_id}/sides")]
pub(super) async fn create_side(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    body: Body<NewSideBody>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, body.ticket).await?;
    let share = Fraction(body.value.share);
    let id = feed_side(&state.desk, errand, SiteId(path.0), BinId(path.1), share).await?;
    Ok(HttpResponse::Created().json(EntryBody { id: id.0 }))
}

/// Takes an entry back, as if it had never happened: a feeding, a check, a reading. Its
/// author may, and so may whoever looks after the bins. Decisions that were given stay.
#[utoipa::path(
    tag = "feedings",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("bin_id" = Uuid, Path, description = "The bin"),
        ("entry_id" = Uuid, Path, description = "The entry: the id of a feeding or check"),
    ),
    security(("bearer" = [])),
    responses((status = 204, description = "Taken back"), responses::Deleting)
)]
#[delete("/v1/sites/{site_id}/bins/{bin_id}/entries/{entry_id}")]
pub(super) async fn delete_entry(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (site, bin, entry) = path.into_inner();
    let errand = who.errand(&state, None).await?;
    take_back(
        &state.desk,
        errand,
        SiteId(site),
        BinId(bin),
        EventId(entry),
    )
    .await?;
    Ok(HttpResponse::NoContent().finish())
}
