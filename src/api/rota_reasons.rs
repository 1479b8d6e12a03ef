//! Why a rota is as it is for somebody, and what everybody has in it.

use super::bearer::SignedIn;
use super::page::{PageOf, PageQuery, PageWanted, after_id};
use super::problem::Problem;
use super::query::read;
use super::reader::reader;
use super::rota_limits::{LimitsBody, limits_body, thousandths};
use super::{AppState, responses};
use crate::desk::rota_reasons::{MemberOfRota, Reasons, list_members_of_rota, see_reasons};
use crate::wording::Voice;
use actix_web::{HttpRequest, get, web};
use serde::{Deserialize, Serialize};
use std::fmt;
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{MemberId, RotaId, SiteId};

/// Whose reasons are wanted.
#[derive(Debug, Deserialize, utoipa::IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct ReasonsQuery {
    /// Whose; your own when not given. Others' are for caretakers and teachers.
    member_id: Option<Uuid>,
}

/// Why somebody has the turns that they have.
#[derive(Serialize, ToSchema)]
#[schema(as = RotaReasons)]
pub struct ReasonsBody {
    member_id: Uuid,
    name: Option<String>,
    turns: usize,
    /// Effort of these turns.
    effort: i64,
    /// The share of the work, in sixtieths of a full share.
    share: u32,
    /// Effort beyond their part that earlier rotas left; below zero for too little.
    brought_along: i64,
    /// Effort that would be fair here, to the thousandth.
    fair: f64,
    /// Effort less what would be fair, to the thousandth.
    difference: f64,
    limits: LimitsBody,
    /// The same in words, a sentence each.
    sentences: Vec<String>,
}

impl fmt::Debug for ReasonsBody {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "ReasonsBody({})", self.member_id)
    }
}

/// What somebody has in a rota.
#[derive(Serialize, ToSchema)]
#[schema(as = MemberOfRota)]
pub struct MemberOfRotaBody {
    member_id: Uuid,
    name: Option<String>,
    turns: usize,
    /// Effort of these turns.
    effort: i64,
    /// Effort that would be fair, to the nearest whole; null for who has no part in the rota
    /// and holds a place all the same.
    fair: Option<i64>,
}

impl fmt::Debug for MemberOfRotaBody {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "MemberOfRotaBody({})", self.member_id)
    }
}

/// Why you have the turns that you have: what would be fair, what earlier rotas left, and how
/// many turns each of your limits shuts. Caretakers and teachers see anybody's.
#[utoipa::path(
    tag = "rota",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("rota_id" = Uuid, Path, description = "The rota"),
        ReasonsQuery,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The reasons", body = ReasonsBody),
        responses::ReadingRota,
    )
)]
#[get("/v1/sites/{site_id}/rotas/{rota_id}/reasons")]
pub(super) async fn show_rota_reasons(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    request: HttpRequest,
) -> Result<web::Json<ReasonsBody>, Problem> {
    let (site, rota) = (SiteId(path.0), RotaId(path.1));
    let query: ReasonsQuery = read(&request)?;
    let errand = who.errand(&state, None).await?;
    let (voice, _) = reader(&state, &errand, site).await?;
    let of = query.member_id.map(MemberId);
    let reasons = see_reasons(&state.desk, errand, site, rota, of).await?;
    Ok(web::Json(reasons_body(reasons, &voice)))
}

/// What everybody has in a rota beside what would be fair: those whom the site lets you see.
#[utoipa::path(
    tag = "rota",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("rota_id" = Uuid, Path, description = "The rota"),
        PageQuery,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of members", body = PageOf<MemberOfRotaBody>),
        responses::ReadingRota,
    )
)]
#[get("/v1/sites/{site_id}/rotas/{rota_id}/members")]
pub(super) async fn index_rota_members(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    page: PageWanted,
) -> Result<web::Json<PageOf<MemberOfRotaBody>>, Problem> {
    let (site, rota) = (SiteId(path.0), RotaId(path.1));
    let wanted = (page.after_id()?, page.limit);
    let errand = who.errand(&state, None).await?;
    let members = list_members_of_rota(&state.desk, errand, site, rota, wanted).await?;
    Ok(web::Json(PageOf::of(
        members,
        |member| after_id(member.member.0),
        MemberOfRotaBody::from,
    )))
}

fn reasons_body(reasons: Reasons, voice: &Voice) -> ReasonsBody {
    let account = &reasons.account;
    ReasonsBody {
        member_id: reasons.member.0,
        turns: account.turns,
        effort: account.effort,
        share: account.share,
        brought_along: account.balance,
        fair: thousandths(account.fair),
        difference: thousandths(account.difference),
        sentences: voice.reasons(account, &reasons.limits),
        limits: limits_body(&reasons.limits),
        name: reasons.name,
    }
}

impl From<MemberOfRota> for MemberOfRotaBody {
    fn from(member: MemberOfRota) -> Self {
        Self {
            member_id: member.member.0,
            name: member.name,
            turns: member.turns,
            effort: member.effort,
            fair: member.fair,
        }
    }
}
