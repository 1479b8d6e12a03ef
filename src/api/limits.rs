//! What members cannot, like and would rather not.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::etag::{IfMatch, MatchHeader, etag};
use super::exact::Whole;
use super::problem::{Problem, ProblemBody};
use super::schemas::Weekday;
use super::{AppState, responses};
use crate::desk::limits::{ByKeepers, Limits, change_limits, see_limits};
use crate::desk::said_limits::NewLimits;
use actix_web::{HttpResponse, get, put, web};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, MemberId, SiteId};
use wormrota_domain::rota::share::Share;

/// The limits of a member, in the place of those before. No weekday stands in two lists.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewLimits, example = json!({
    "cannot_weekdays": [2, 4], "likes_weekdays": [6], "rest_days": 6, "most_in_28_days": 2
}))]
pub struct NewLimitsBody {
    /// Weekdays that do not work, 1 is Monday; six at most.
    #[serde(default)]
    #[schema(value_type = Vec<Weekday>, max_items = 7)]
    cannot_weekdays: Vec<Whole>,
    /// Weekdays that they like.
    #[serde(default)]
    #[schema(value_type = Vec<Weekday>, max_items = 7)]
    likes_weekdays: Vec<Whole>,
    /// Weekdays that they would rather not.
    #[serde(default)]
    #[schema(value_type = Vec<Weekday>, max_items = 7)]
    rather_not_weekdays: Vec<Whole>,
    /// Free days between two turns; 0 when absent.
    #[schema(value_type = Option<u32>, minimum = 0, maximum = 60)]
    rest_days: Option<Whole>,
    /// The most turns in any 28 days in a row; no such limit when absent.
    #[schema(value_type = Option<u32>, minimum = 1, maximum = 28)]
    most_in_28_days: Option<Whole>,
    /// What part of the turns is theirs; when absent that of their role and household.
    #[schema(value_type = Option<ShareCode>)]
    share: Option<Share>,
    /// For whoever looks after the site to change; when absent it stays as it is.
    by_keepers: Option<ByKeepersBody>,
}

/// What is known of a member's hand with the bins.
#[derive(Debug, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = LimitsByKeepers)]
pub struct ByKeepersBody {
    /// Whether they only get bins that they are trained for.
    only_trained_bins: bool,
    /// The bins that they are trained for.
    #[schema(max_items = 200)]
    trained_bin_ids: Vec<Uuid>,
    /// May stand beside somebody who is not to be alone.
    experienced: bool,
    /// Needs somebody experienced on the same turn.
    not_alone: bool,
}

/// The limits of a member.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Limits)]
pub struct LimitsBody {
    /// Weekdays that do not work, 1 is Monday.
    cannot_weekdays: Vec<i16>,
    /// Weekdays that they like.
    likes_weekdays: Vec<i16>,
    /// Weekdays that they would rather not.
    rather_not_weekdays: Vec<i16>,
    /// Free days between two turns.
    rest_days: i16,
    /// The most turns in any 28 days in a row; null is no such limit.
    most_in_28_days: Option<i16>,
    /// What part of the turns is theirs; null is that of their role and household.
    #[schema(value_type = Option<ShareCode>)]
    share: Option<Share>,
    by_keepers: ByKeepersBody,
}

/// As much as anybody, half of it, one share together with the household, or no part.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
enum ShareCode {
    Full,
    Half,
    Household,
    None,
}

/// What a member cannot, likes and would rather not: your own, or anybody's if you look after
/// the site.
#[utoipa::path(
    tag = "rota",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("member_id" = Uuid, Path, description = "The member"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The limits", body = LimitsBody,
            headers(("ETag" = String, description = "For If-Match of a change"))),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/members/{member_id}/limits")]
pub(super) async fn show_limits(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, None).await?;
    let limits = see_limits(&state.desk, errand, SiteId(path.0), MemberId(path.1)).await?;
    Ok(tagged(limits))
}

/// Says the limits of a member anew: your own, or anybody's if you look after the site. They
/// hold for rotas that are drafted and places that are taken from now on.
#[utoipa::path(
    tag = "rota",
    request_body = NewLimitsBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("member_id" = Uuid, Path, description = "The member"),
        KeyHeader,
        MatchHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The limits as they are now", body = LimitsBody,
            headers(("ETag" = String, description = "For If-Match"))),
        responses::Writing,
        (status = 412, description = "changed_meanwhile: read them again",
            body = ProblemBody, content_type = "application/problem+json"),
    )
)]
#[put("/v1/sites/{site_id}/members/{member_id}/limits")]
pub(super) async fn put_limits(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    if_match: IfMatch,
    body: Body<NewLimitsBody>,
) -> Result<HttpResponse, Problem> {
    let (site, member) = (SiteId(path.0), MemberId(path.1));
    let errand = who.errand(&state, body.ticket).await?;
    let new = said(body.value);
    change_limits(&state.desk, errand.clone(), site, member, if_match.0, new).await?;
    let limits = see_limits(&state.desk, errand, site, member).await?;
    Ok(tagged(limits))
}

fn tagged(limits: Limits) -> HttpResponse {
    HttpResponse::Ok()
        .insert_header(etag(limits.revision))
        .json(LimitsBody::from(limits))
}

fn said(body: NewLimitsBody) -> NewLimits {
    let weekdays = |typed: Vec<Whole>| typed.into_iter().map(|day| day.0).collect();
    NewLimits {
        cannot_weekdays: weekdays(body.cannot_weekdays),
        likes_weekdays: weekdays(body.likes_weekdays),
        rather_not_weekdays: weekdays(body.rather_not_weekdays),
        rest_days: body.rest_days.map_or(0, |days| days.0),
        most_in_28_days: body.most_in_28_days.map(|most| most.0),
        share: body.share,
        by_keepers: body.by_keepers.map(|known| ByKeepers {
            only_trained_bins: known.only_trained_bins,
            trained_bins: known.trained_bin_ids.into_iter().map(BinId).collect(),
            experienced: known.experienced,
            not_alone: known.not_alone,
        }),
    }
}

impl From<Limits> for LimitsBody {
    fn from(limits: Limits) -> Self {
        let Limits {
            own, by_keepers, ..
        } = limits;
        Self {
            cannot_weekdays: own.cannot_weekdays,
            likes_weekdays: own.likes_weekdays,
            rather_not_weekdays: own.rather_not_weekdays,
            rest_days: own.rest_days,
            most_in_28_days: own.most_in_28_days,
            share: own.share,
            by_keepers: ByKeepersBody {
                only_trained_bins: by_keepers.only_trained_bins,
                trained_bin_ids: by_keepers.trained_bins.iter().map(|bin| bin.0).collect(),
                experienced: by_keepers.experienced,
                not_alone: by_keepers.not_alone,
            },
        }
    }
}
