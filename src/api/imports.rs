//! Many people at once, from a list.

use super::bearer::SignedIn;
use super::body::KeyHeader;
use super::problem::{Problem, ProblemBody};
use super::query;
use super::text_body::{Csv, TextBody};
use super::{AppState, responses};
use crate::desk::import_people::{Import, Imported, import_people};
use actix_web::{HttpRequest, HttpResponse, post, web};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::SiteId;

/// How a list is imported.
#[derive(Debug, Deserialize, utoipa::IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct ImportQuery {
    /// The last day of the school year, for classes that the list makes.
    classes_end_on: Option<NaiveDate>,
}

/// What came of an import.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Imported)]
pub struct ImportedBody {
    /// New members.
    members: usize,
    /// Of them, those with an address: a letter is owed to each.
    invited: usize,
    /// New classes.
    classes: usize,
    /// New pupils.
    pupils: usize,
}

/// Adds everybody on a list, or nobody: CSV in UTF-8 with the columns `name`, `email`, `flat`,
/// `role`, `language` and `class` in any order, of which `name` and `role` must be there.
///
/// A role is one that you may hand out, or several joined by `+`, or `pupil`: then the name is
/// a first name or initials, and the class is made when there is none of its name. Whoever has
/// an address gets an invitation. A line that cannot be taken is named in `errors` by its
/// number in the file, such as `/lines/299/email`; the header is line 1.
#[utoipa::path(
    tag = "members",
    request_body(
        content = String,
        content_type = "text/csv",
        description = "The list",
        example = json!("name,email,flat,role\nAda,ada@elmcourt.example,3b,resident\nBo,,3b,resident\n"),
    ),
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ImportQuery,
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 201, description = "Everybody was added", body = ImportedBody),
        responses::Writing,
        (status = 409, description = "import_refused with `errors` (the first 100) and `errors_total`, \
            conflicting_fields, or idempotency_key_reused",
            body = ProblemBody, content_type = "application/problem+json"),
        (status = 415, description = "unsupported_media_type: send text/csv",
            body = ProblemBody, content_type = "application/problem+json"),
    )
)]
#[post("/v1/sites/{site_id}/imports")]
pub(super) async fn import_members(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    request: HttpRequest,
    body: TextBody<Csv>,
) -> Result<HttpResponse, Problem> {
    let query: ImportQuery = query::read(&request)?;
    let errand = who.errand(&state, body.ticket).await?;
    let import = Import {
        bytes: body.bytes,
        classes_end_on: query.classes_end_on,
    };
    let done = import_people(&state.desk, errand, SiteId(*site), import).await?;
    Ok(HttpResponse::Created().json(ImportedBody::from(done)))
}

impl From<Imported> for ImportedBody {
    fn from(done: Imported) -> Self {
        Self {
            members: done.members,
            invited: done.invited,
            classes: done.classes,
            pupils: done.pupils,
        }
    }
}
