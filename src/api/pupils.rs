//! The pupils of a class.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::classes::{ClassBody, tagged};
use super::etag::etag;
use super::problem::Problem;
use super::schemas::{Label, PastedLabels};
use super::{AppState, responses};
use crate::desk::classes::see_class;
use crate::desk::pupils::{add_pupils, erase_pupil, rename_pupil};
use actix_web::{HttpResponse, delete, patch, post, web};
use serde::Deserialize;
use std::fmt;
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{ClassId, PupilId, SiteId};

/// Pupils to be added.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewPupils, example = json!({"labels": "Ana\nBo K.\nBo L."}))]
pub struct NewPupilsBody {
    /// First names or initials, one a line or with commas between them; at most 60 in a class.
    #[schema(value_type = PastedLabels)]
    labels: String,
}

/// What a pupil is to be called.
#[derive(Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = PupilChange, example = json!({"label": "Bo M."}))]
pub struct PupilChangeBody {
    /// A first name or initials; at most 30 characters.
    #[schema(value_type = Label)]
    label: String,
}

impl fmt::Debug for NewPupilsBody {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("NewPupilsBody(hidden)")
    }
}

impl fmt::Debug for PupilChangeBody {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("PupilChangeBody(hidden)")
    }
}

/// Adds pupils, pasted in one go: all of them, or none when two would be called the same.
#[utoipa::path(
    tag = "classes",
    request_body = NewPupilsBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("class_id" = Uuid, Path, description = "The class"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 201, description = "Added: the class as it is now", body = ClassBody,
            headers(("ETag" = String, description = "For If-Match of a change"))),
        responses::Writing,
    )
)]
#[post("/v1/sites/{site_id}/classes/{class_id}/pupils")]
pub(super) async fn create_pupils(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    body: Body<NewPupilsBody>,
) -> Result<HttpResponse, Problem> {
    let (site, class) = (SiteId(path.0), ClassId(path.1));
    let errand = who.errand(&state, body.ticket).await?;
    add_pupils(&state.desk, errand.clone(), site, class, body.value.labels).await?;
    let class = see_class(&state.desk, errand, site, class).await?;
    Ok(HttpResponse::Created()
        .insert_header(etag(class.revision))
        .json(ClassBody::from(class)))
}

/// Calls a pupil something else.
#[utoipa::path(
    tag = "classes",
    request_body = PupilChangeBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("class_id" = Uuid, Path, description = "The class"),
        ("pupil_id" = Uuid, Path, description = "The pupil"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The class as it is now", body = ClassBody,
            headers(("ETag" = String, description = "For If-Match of a change"))),
        responses::Writing,
    )
)]
#[patch("/v1/sites/{site_id}/classes/{class_id}/pupils/{pupil_id}")]
pub(super) async fn update_pupil(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid, Uuid)>,
    body: Body<PupilChangeBody>,
) -> Result<HttpResponse, Problem> {
    let (site, class, pupil) = (SiteId(path.0), ClassId(path.1), PupilId(path.2));
    let errand = who.errand(&state, body.ticket).await?;
    let label = body.value.label;
    rename_pupil(&state.desk, errand.clone(), site, class, pupil, label).await?;
    let class = see_class(&state.desk, errand, site, class).await?;
    Ok(tagged(class))
}

/// Erases a pupil, at once and for good.
#[utoipa::path(
    tag = "classes",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("class_id" = Uuid, Path, description = "The class"),
        ("pupil_id" = Uuid, Path, description = "The pupil"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 204, description = "Erased"),
        responses::Deleting,
    )
)]
#[delete("/v1/sites/{site_id}/classes/{class_id}/pupils/{pupil_id}")]
pub(super) async fn delete_pupil(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (site, class, pupil) = (SiteId(path.0), ClassId(path.1), PupilId(path.2));
    let errand = who.errand(&state, None).await?;
    erase_pupil(&state.desk, errand, site, class, pupil).await?;
    Ok(HttpResponse::NoContent().finish())
}
