//! Ask, put in, tell.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::decisions::{AftermathBody, DecisionBody, aftermath_body, decision_body, is_refused};
use super::exact::{NoneOrKg, kg};
use super::offers::{ItemBody, OfferBody, items};
use super::page::{EntryPageQuery, PageOf, PageWanted, after_entry};
use super::problem::{self, Problem, ProblemBody};
use super::reader::reader;
use super::{AppState, responses};
use crate::desk::outlooks::{Feeding, list_feedings};
use crate::desk::put_in::{ask, put_in};
use crate::desk::tell::{Telling, tell};
use actix_web::{HttpResponse, get, post, web};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use utoipa::openapi::schema::AnyOfBuilder;
use utoipa::openapi::{Ref, RefOr, Schema};
use uuid::Uuid;
use wormrota_domain::ids::{BinId, SiteId};
use wormrota_domain::living_bin::event::How;

/// Food that is in already.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = ToldFeeding, example = json!({"items": [{"food": "usual-mix", "measure": "caddy-5l", "quarters": 4}]}))]
pub struct ToldBody {
    /// Food by food.
    #[schema(min_items = 1, max_items = 40)]
    items: Vec<ItemBody>,
    /// When it went in; now if absent. Not before the bin was stocked, not more than 60
    /// days ago.
    #[serde(default)]
    fed_at: Option<DateTime<Utc>>,
    /// Dry bedding that went in with it.
    #[serde(default)]
    #[schema(value_type = f64, minimum = 0, maximum = 10, multiple_of = 0.001, example = 0.05)]
    bedding_kg: NoneOrKg,
}

/// Food that went in as allowed.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = AllowedFeeding)]
pub struct AllowedBody {
    /// The entry on the bin's spine.
    id: Uuid,
    /// The decision that allowed it.
    decision: DecisionBody,
}

/// The refusal of a feeding: a problem with the decision beside it.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = FeedingRefused)]
pub struct RefusedBody {
    #[serde(flatten)]
    problem: ProblemBody,
    /// The decision.
    decision: DecisionBody,
}

/// Why a feeding or a booking cannot be now: the bin's refusal, or another conflict.
pub struct FeedingConflict;

impl utoipa::PartialSchema for FeedingConflict {
    fn schema() -> RefOr<Schema> {
        // Not `oneOf`: a refusal is a problem too.
        let any = AnyOfBuilder::new()
            .item(Ref::from_schema_name(RefusedBody::name()))
            .item(Ref::from_schema_name(ProblemBody::name()));
        RefOr::T(Schema::AnyOf(any.build()))
    }
}

impl ToSchema for FeedingConflict {
    fn schemas(schemas: &mut Vec<(String, RefOr<Schema>)>) {
        let schema = <RefusedBody as utoipa::PartialSchema>::schema();
        schemas.push((RefusedBody::name().into_owned(), schema));
        RefusedBody::schemas(schemas);
    }
}

/// A feeding that was told afterwards.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = RecordedFeeding)]
pub struct RecordedBody {
    /// The entry on the bin's spine.
    id: Uuid,
    /// What to do now.
    aftermath: AftermathBody,
}

/// A feeding of a bin.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Feeding)]
pub struct FeedingBody {
    id: Uuid,
    /// Who brought it: you, or anybody for who looks after the site; none when the service
    /// noticed it by itself.
    member_id: Option<Uuid>,
    fed_at: DateTime<Utc>,
    recorded_at: DateTime<Utc>,
    amount_kg: f64,
    items: Vec<FedItemBody>,
    bedding_kg: f64,
    /// `allowed`: asked first. `told`: in already when the service heard of it.
    how: &'static str,
}

/// One food of a feeding.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = FedItem)]
pub struct FedItemBody {
    food: String,
    amount_kg: f64,
}

/// May I put this in? Nothing is recorded, and a refusal is an answer like any other.
#[utoipa::path(
    tag = "feedings",
    request_body = OfferBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("bin_id" = Uuid, Path, description = "The bin"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The decision", body = DecisionBody),
        responses::Writing,
    )
)]
#[post("/v1/sites/{site_id}/bins/{bin_id}/feedings/ask")]
pub(super) async fn ask_feeding(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    body: Body<OfferBody>,
) -> Result<web::Json<DecisionBody>, Problem> {
    let (site, bin) = path.into_inner();
    let items = items(body.value.items)?;
    let errand = who.errand(&state, None).await?;
    let answer = ask(&state.desk, errand.clone(), SiteId(site), BinId(bin), items).await?;
    let (voice, names) = reader(&state, &errand, SiteId(site)).await?;
    let body = decision_body(None, &answer.decision, &voice, &names, answer.decided_at);
    Ok(web::Json(body))
}

/// Puts food in, as far as the bin can take it. The decision and the entry are one: two
/// people at the same second cannot overload a bin.
#[utoipa::path(
    tag = "feedings",
    request_body = OfferBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("bin_id" = Uuid, Path, description = "The bin"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 201, description = "It may go in; see the conditions", body = AllowedBody),
        responses::Writing,
        (status = 409, description = "feeding_refused with the decision, or another conflict",
            body = FeedingConflict, content_type = "application/problem+json"),
    )
)]
#[post("/v1/sites/{site_id}/bins/{bin_id}/feedings")]
pub(super) async fn create_feeding(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    body: Body<OfferBody>,
) -> Result<HttpResponse, Problem> {
    let (site, bin) = path.into_inner();
    let items = items(body.value.items)?;
    let errand = who.errand(&state, body.ticket).await?;
    let answer = put_in(&state.desk, errand.clone(), SiteId(site), BinId(bin), items).await?;
    let (voice, names) = reader(&state, &errand, SiteId(site)).await?;
    let id = answer.decision_id.map(|id| id.0);
    let decision = decision_body(id, &answer.decision, &voice, &names, answer.decided_at);
    match answer.feeding.filter(|_| !is_refused(&answer.decision)) {
        Some(feeding) => Ok(HttpResponse::Created().json(AllowedBody {
            id: feeding.0,
            decision,
        })),
        None => Err(refused(&decision)),
    }
}

/// It is in already: always recorded, over the limit or not, and answered with what to do
/// now.
#[utoipa::path(
    tag = "feedings",
    request_body = ToldBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("bin_id" = Uuid, Path, description = "The bin"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 201, description = "Recorded", body = RecordedBody),
        responses::Writing,
    )
)]
#[post("/v1/sites/{site_id}/bins/{bin_id}/feedings/told")]
pub(super) async fn tell_feeding(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    body: Body<ToldBody>,
) -> Result<HttpResponse, Problem> {
    let (site, bin) = path.into_inner();
    let telling = Telling {
        fed_at: body.value.fed_at,
        items: items(body.value.items)?,
        bedding: body.value.bedding_kg.0,
    };
    let errand = who.errand(&state, body.ticket).await?;
    let told = tell(
        &state.desk,
        errand.clone(),
        SiteId(site),
        BinId(bin),
        telling,
    )
    .await?;
    let (voice, _) = reader(&state, &errand, SiteId(site)).await?;
    let aftermath = aftermath_body(&told.aftermath, &voice, told.recorded_at);
    Ok(HttpResponse::Created().json(RecordedBody {
        id: told.feeding.0,
        aftermath,
    }))
}

/// The feedings of a bin, newest first, without those that were taken back.
#[utoipa::path(
    tag = "feedings",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("bin_id" = Uuid, Path, description = "The bin"),
        EntryPageQuery,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of feedings", body = PageOf<FeedingBody>),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/bins/{bin_id}/feedings")]
pub(super) async fn index_feedings(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    page: PageWanted,
) -> Result<web::Json<PageOf<FeedingBody>>, Problem> {
    let (site, bin) = path.into_inner();
    let before = page.after_entry()?;
    let errand = who.errand(&state, None).await?;
    let desk = &state.desk;
    let feedings =
        list_feedings(desk, errand, SiteId(site), BinId(bin), before, page.limit).await?;
    Ok(web::Json(PageOf::of(
        feedings,
        |feeding| after_entry(feeding.fed_at, feeding.seq),
        FeedingBody::from,
    )))
}

/// A refusal as a problem, with the decision in its body.
pub(super) fn refused(decision: &DecisionBody) -> Problem {
    let problem = Problem::new(&problem::FEEDING_REFUSED, decision.sentence());
    match serde_json::to_value(decision) {
        Ok(value) => problem.with("decision", value),
        Err(error) => problem.because(error),
    }
}

impl From<Feeding> for FeedingBody {
    fn from(feeding: Feeding) -> Self {
        Self {
            id: feeding.id.0,
            member_id: feeding.member.map(|member| member.0),
            fed_at: feeding.fed_at,
            recorded_at: feeding.recorded_at,
            amount_kg: kg(feeding.lines.iter().map(|line| line.amount).sum()),
            items: feeding
                .lines
                .into_iter()
                .map(|line| FedItemBody {
                    amount_kg: kg(line.amount),
                    food: line.food,
                })
                .collect(),
            bedding_kg: kg(feeding.bedding),
            how: match feeding.how {
                How::Allowed => "allowed",
                How::Told => "told",
            },
        }
    }
}
