//! Sites.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::etag::{IfMatch, MatchHeader, etag};
use super::page::{PageOf, PageQuery, PageWanted, after_id};
use super::problem::{Problem, ProblemBody};
use super::site_bodies::{SiteBody, SiteSummaryBody};
use super::site_changes::{NewSiteBody, SiteChangeBody};
use super::{AppState, responses};
use crate::desk::change_site::change_site;
use crate::desk::open_site::{NewSite, open_site};
use crate::desk::site_change::SiteChange;
use crate::desk::sites::{SiteView, list_sites, see_site};
use actix_web::{HttpResponse, get, patch, post, web};
use uuid::Uuid;
use wormrota_domain::ids::SiteId;

/// The sites that you belong to.
#[utoipa::path(
    tag = "sites",
    params(PageQuery),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of sites", body = PageOf<SiteSummaryBody>),
        responses::Reading,
    )
)]
#[get("/v1/sites")]
pub(super) async fn index_sites(
    state: web::Data<AppState>,
    who: SignedIn,
    page: PageWanted,
) -> Result<web::Json<PageOf<SiteSummaryBody>>, Problem> {
    let after = page.after_id()?;
    let errand = who.errand(&state, None).await?;
    let sites = list_sites(&state.desk, errand, after, page.limit).await?;
    Ok(web::Json(PageOf::of(
        sites,
        |site| after_id(site.id.0),
        SiteSummaryBody::from,
    )))
}

/// Opens a site; needs an educator's account. You become its first member.
#[utoipa::path(
    tag = "sites",
    request_body = NewSiteBody,
    params(KeyHeader),
    security(("bearer" = [])),
    responses(
        (status = 201, description = "Opened", body = SiteBody,
            headers(("Location" = String, description = "The address of the site"))),
        responses::Writing,
    )
)]
#[post("/v1/sites")]
pub(super) async fn create_site(
    state: web::Data<AppState>,
    who: SignedIn,
    body: Body<NewSiteBody>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, body.ticket).await?;
    let new = NewSite::try_from(body.value)?;
    let id = open_site(&state.desk, errand.clone(), new).await?;
    let view = see_site(&state.desk, errand, id).await?;
    Ok(HttpResponse::Created()
        .insert_header(("Location", format!("/v1/sites/{id}")))
        .json(SiteBody::from(view)))
}

/// One site.
#[utoipa::path(
    tag = "sites",
    params(("site_id" = Uuid, Path, description = "The site")),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The site", body = SiteBody,
            headers(("ETag" = String, description = "For If-Match of a change"))),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}")]
pub(super) async fn show_site(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
) -> Result<HttpResponse, Problem> {
    let errand = who.errand(&state, None).await?;
    let view = see_site(&state.desk, errand, SiteId(*site)).await?;
    Ok(tagged(view))
}

/// Changes a site. Food lists can be made stricter than the catalogue, never milder.
#[utoipa::path(
    tag = "sites",
    request_body = SiteChangeBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        KeyHeader,
        MatchHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The site as it is now", body = SiteBody,
            headers(("ETag" = String, description = "For If-Match"))),
        responses::Writing,
        (status = 412, description = "changed_meanwhile: read it again",
            body = ProblemBody, content_type = "application/problem+json"),
    )
)]
#[patch("/v1/sites/{site_id}")]
pub(super) async fn update_site(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    if_match: IfMatch,
    body: Body<SiteChangeBody>,
) -> Result<HttpResponse, Problem> {
    let site = SiteId(*site);
    let errand = who.errand(&state, body.ticket).await?;
    let change = SiteChange::try_from(body.value)?;
    change_site(&state.desk, errand.clone(), site, if_match.0, change).await?;
    let view = see_site(&state.desk, errand, site).await?;
    Ok(tagged(view))
}

/// A site with the tag that a change of it may name.
fn tagged(view: SiteView) -> HttpResponse {
    let tag = etag(view.site.revision);
    HttpResponse::Ok()
        .insert_header(tag)
        .json(SiteBody::from(view))
}
