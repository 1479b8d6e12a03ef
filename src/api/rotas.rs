//! Rotas: drafting one, watching the draft, comparing it with what is, and putting it up.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::page::{PageOf, PageQuery, PageWanted, after_id};
use super::problem::Problem;
use super::reader::reader;
use super::{AppState, responses};
use crate::desk::Errand;
use crate::desk::draft_rota::{NewRota, Thoroughness, draft_rota, drop_rota};
use crate::desk::put_up_rota::put_up_rota;
use crate::desk::rotas::{Rota, list_rotas, see_rota};
use crate::wording::Voice;
use actix_web::{HttpResponse, delete, get, post, web};
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{RotaId, SiteId};
use wormrota_domain::rota::planner::Standing;

/// A rota to be drafted.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewRota, example = json!({"first_day": "2027-01-04", "last_day": "2027-04-04"}))]
pub struct NewRotaBody {
    /// The first day: today or later, unless a rota in force has the same days.
    first_day: NaiveDate,
    /// The last day, within 400 days from the first one on.
    last_day: NaiveDate,
    /// When a rota in force has the same days and is to be changed: the first day that may
    /// change. Tomorrow when not given.
    replan_from: Option<NaiveDate>,
    /// `quick` plans for about five seconds, `thorough` for about a minute; both end earlier
    /// when it is proven that nothing better exists.
    #[serde(default)]
    #[schema(value_type = Option<ThoroughnessCode>)]
    thoroughness: Option<ThoroughnessCode>,
    /// Which of several equally good rotas is found: the same days, people and seed give the
    /// same rota. Any when not given.
    #[schema(minimum = 0, maximum = 9_007_199_254_740_991_i64)]
    seed: Option<i64>,
}

/// How long to plan.
#[derive(Debug, Clone, Copy, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum ThoroughnessCode {
    /// About five seconds.
    Quick,
    /// About a minute.
    Thorough,
}

/// A rota, without who holds what.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Rota)]
pub struct RotaBody {
    id: Uuid,
    first_day: NaiveDate,
    last_day: NaiveDate,
    /// `waiting`, `drafting`, `drafted`, `failed`, `dropped`, `put_up` or `replaced`.
    state: &'static str,
    /// The rota in force that this one changes.
    replans_id: Option<Uuid>,
    /// The first day on which it does.
    replan_from: Option<NaiveDate>,
    /// Which of several equally good rotas is found.
    seed: i64,
    /// Steps that the planner takes at most, about a hundred thousand in a second.
    steps_planned: i64,
    /// Steps that it has taken. Fewer than planned when all was proven before.
    steps_done: i64,
    /// Why it could not be drafted: `no_company` (a kept place needs somebody experienced beside
    /// it), `not_planned`, `not_read`, `planner_broke` or `given_up`.
    failure: Option<String>,
    /// Who asked for it: for caretakers, teachers, educators, and whoever did.
    made_by: Option<Uuid>,
    created_at: DateTime<Utc>,
    drafted_at: Option<DateTime<Utc>>,
    put_up_at: Option<DateTime<Utc>>,
    /// Who put it up: for caretakers, teachers, educators, and whoever did.
    put_up_by: Option<Uuid>,
    /// What a draft reaches, most important first. For caretakers, teachers and educators, and
    /// where one rota is read.
    aims: Vec<AimBody>,
}

/// What a rota reaches of one aim.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = RotaAim)]
pub struct AimBody {
    /// `empty_places`, `changes`, `fairness` or `wishes`.
    aim: &'static str,
    /// What it reaches: places that nobody holds; places given up and taken on, where a rota in
    /// force is changed; the sum of the squares of all distances from the fair share, each over
    /// the share, in units that make it whole; wishes met less wishes crossed.
    value: i64,
    /// No rota can be better than this that is as good in the aims before.
    bound: i64,
    /// Whether value and bound meet, here and in every aim before.
    proven: bool,
    /// The same in words.
    sentence: String,
}

/// The rotas of a site, newest first: for caretakers, teachers and educators with drafts, for
/// others those in force.
#[utoipa::path(
    tag = "rota",
    params(("site_id" = Uuid, Path, description = "The site"), PageQuery),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of rotas", body = PageOf<RotaBody>),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/rotas")]
pub(super) async fn index_rotas(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    page: PageWanted,
) -> Result<web::Json<PageOf<RotaBody>>, Problem> {
    let before = page.after_id()?;
    let errand = who.errand(&state, None).await?;
    let rotas = list_rotas(&state.desk, errand, SiteId(*site), before, page.limit).await?;
    Ok(web::Json(PageOf::of(
        rotas,
        |rota| after_id(rota.id.0),
        // A list says nothing of aims, in no language.
        |rota| body(rota, &Voice::plain_english()),
    )))
}

/// Asks for a draft: who takes which turn, as fair as can be. Kept places stay as they are; a
/// rota in force with the same days is changed as little as possible. Ask for the rota again to
/// see how far it is.
#[utoipa::path(
    tag = "rota",
    request_body = NewRotaBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses((status = 202, description = "It will be drafted", body = RotaBody,
        headers(("Location" = String, description = "The address of the rota"))),
        responses::Writing)
)]
#[post("/v1/sites/{site_id}/rotas")]
pub(super) async fn create_rota(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    sent: Body<NewRotaBody>,
) -> Result<HttpResponse, Problem> {
    let site = SiteId(*site);
    let errand = who.errand(&state, sent.ticket).await?;
    let new = NewRota {
        first_day: sent.value.first_day,
        last_day: sent.value.last_day,
        replan_from: sent.value.replan_from,
        thoroughness: match sent.value.thoroughness {
            Some(ThoroughnessCode::Thorough) => Thoroughness::Thorough,
            Some(ThoroughnessCode::Quick) | None => Thoroughness::Quick,
        },
        seed: sent.value.seed,
    };
    let id = draft_rota(&state.desk, errand.clone(), site, new).await?;
    let rota = one(&state, errand, site, id).await?;
    Ok(HttpResponse::Accepted()
        .insert_header(("Location", format!("/v1/sites/{site}/rotas/{id}")))
        .json(rota))
}

/// One rota: how far a draft is, what it reaches, and what is proven about that.
#[utoipa::path(
    tag = "rota",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("rota_id" = Uuid, Path, description = "The rota"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The rota", body = RotaBody),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/rotas/{rota_id}")]
pub(super) async fn show_rota(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<web::Json<RotaBody>, Problem> {
    let errand = who.errand(&state, None).await?;
    let rota = one(&state, errand, SiteId(path.0), RotaId(path.1)).await?;
    Ok(web::Json(rota))
}

/// Drops a draft, or what waits to become one. Doing it again changes nothing.
#[utoipa::path(
    tag = "rota",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("rota_id" = Uuid, Path, description = "The rota"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 204, description = "Dropped"),
        responses::WithRota,
    )
)]
#[delete("/v1/sites/{site_id}/rotas/{rota_id}")]
pub(super) async fn delete_rota(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, None).await?;
    drop_rota(&state.desk, errand, SiteId(path.0), RotaId(path.1)).await?;
    Ok(HttpResponse::NoContent().finish())
}

/// Puts a draft up: from then on its people hold the places. Nothing is written when places,
/// turns or people changed since the draft was asked for.
#[utoipa::path(
    tag = "rota",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("rota_id" = Uuid, Path, description = "The rota"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "Put up", body = RotaBody),
        responses::WithRota,
    )
)]
#[post("/v1/sites/{site_id}/rotas/{rota_id}/put_up")]
pub(super) async fn put_up(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<web::Json<RotaBody>, Problem> {
    let (site, rota) = (SiteId(path.0), RotaId(path.1));
    let errand = who.errand(&state, None).await?;
    put_up_rota(&state.desk, errand.clone(), site, rota).await?;
    Ok(web::Json(one(&state, errand, site, rota).await?))
}

/// A rota in the words of its site.
async fn one(
    state: &AppState,
    errand: Errand,
    site: SiteId,
    id: RotaId,
) -> Result<RotaBody, Problem> {
    let (voice, _) = reader(state, &errand, site).await?;
    let rota = see_rota(&state.desk, errand, site, id).await?;
    Ok(body(rota, &voice))
}

fn body(rota: Rota, voice: &Voice) -> RotaBody {
    RotaBody {
        id: rota.id.0,
        first_day: rota.first_day,
        last_day: rota.last_day,
        state: rota.state.code(),
        replans_id: rota.replans.map(|id| id.0),
        replan_from: rota.replan_from,
        seed: rota.seed,
        steps_planned: rota.steps_planned,
        steps_done: rota.steps_done,
        failure: rota.failure,
        made_by: rota.made_by.map(|id| id.0),
        created_at: rota.created_at,
        drafted_at: rota.drafted_at,
        put_up_at: rota.put_up_at,
        put_up_by: rota.put_up_by.map(|id| id.0),
        aims: (rota.standings.iter())
            .map(|standing| aim(standing, voice))
            .collect(),
    }
}

fn aim(standing: &Standing, voice: &Voice) -> AimBody {
    AimBody {
        aim: standing.aim.code(),
        value: standing.value,
        bound: standing.bound,
        proven: standing.proven,
        sentence: voice.standing(standing),
    }
}
