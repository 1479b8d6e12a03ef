//! About the service itself: its health, its document, its kinds of problems.

use super::problem::{self, KINDS, Kind, Problem};
use super::{AppState, responses};
use actix_web::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use actix_web::{HttpResponse, get, web};
use serde::Serialize;
use utoipa::ToSchema;

/// How the service is.
#[derive(Debug, Serialize, ToSchema)]
pub struct Health {
    /// `ok`; anything else comes as a problem.
    status: &'static str,
}

/// A kind of problem, explained.
#[derive(Debug, Serialize, ToSchema)]
pub struct ProblemKind {
    /// The stable code.
    code: &'static str,
    /// The HTTP status.
    status: u16,
    /// What it is called.
    title: &'static str,
    /// What whoever gets it should do.
    what_to_do: &'static str,
}

impl From<&Kind> for ProblemKind {
    fn from(kind: &Kind) -> Self {
        Self {
            code: kind.code,
            status: kind.status,
            title: kind.title,
            what_to_do: kind.next,
        }
    }
}

/// Whether the program runs.
#[utoipa::path(
    tag = "service",
    responses((status = 200, description = "It runs", body = Health))
)]
#[get("/health/live")]
pub(super) async fn live() -> web::Json<Health> {
    web::Json(Health { status: "ok" })
}

/// Whether the service can answer: whether its database does.
#[utoipa::path(
    tag = "service",
    responses((status = 200, description = "It can", body = Health), responses::Public)
)]
#[get("/health/ready")]
pub(super) async fn ready(state: web::Data<AppState>) -> Result<web::Json<Health>, Problem> {
    state
        .desk
        .store()
        .ping()
        .await
        .map_err(crate::desk::DeskError::from)?;
    Ok(web::Json(Health { status: "ok" }))
}

/// This document.
#[utoipa::path(
    tag = "service",
    responses((status = 200, description = "OpenAPI 3.1", content_type = "application/json"))
)]
#[get("/openapi.json")]
pub(super) async fn openapi(state: web::Data<AppState>) -> HttpResponse {
    HttpResponse::Ok()
        .insert_header((CONTENT_TYPE, "application/json"))
        .insert_header((CACHE_CONTROL, "public, max-age=300"))
        .body(state.document.clone())
}

/// Every kind of problem.
#[utoipa::path(
    tag = "service",
    responses((status = 200, description = "All kinds", body = Vec<ProblemKind>))
)]
#[get("/problems")]
pub(super) async fn problems() -> web::Json<Vec<ProblemKind>> {
    web::Json(KINDS.iter().map(|kind| ProblemKind::from(*kind)).collect())
}

/// One kind of problem, which a problem's `type` leads to.
#[utoipa::path(
    tag = "service",
    params(("code" = String, Path, description = "The code of a problem")),
    responses(
        (status = 200, description = "The kind", body = ProblemKind),
        (status = 404, description = "not_found: no such code", body = problem::ProblemBody,
            content_type = "application/problem+json"),
    )
)]
#[get("/problems/{code}")]
pub(super) async fn problem_kind(
    code: web::Path<String>,
) -> Result<web::Json<ProblemKind>, Problem> {
    KINDS
        .iter()
        .find(|kind| kind.code == *code)
        .map(|kind| web::Json(ProblemKind::from(*kind)))
        .ok_or_else(|| Problem::new(&problem::NOT_FOUND, "There is no such kind of problem."))
}
