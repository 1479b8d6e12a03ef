//! The adults of a class.

use super::bearer::SignedIn;
use super::classes::{ClassBody, tagged};
use super::problem::Problem;
use super::{AppState, responses};
use crate::desk::class_adults::{add_helper, remove_adult};
use crate::desk::classes::see_class;
use actix_web::{HttpResponse, delete, put, web};
use uuid::Uuid;
use wormrota_domain::ids::{ClassId, MemberId, SiteId};

/// Lets a member of the site help with a class: they see it from then on. Whoever is an adult
/// of it already stays what they are.
#[utoipa::path(
    tag = "classes",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("class_id" = Uuid, Path, description = "The class"),
        ("member_id" = Uuid, Path, description = "The member"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The class as it is now", body = ClassBody,
            headers(("ETag" = String, description = "For If-Match of a change"))),
        responses::Deleting,
    )
)]
#[put("/v1/sites/{site_id}/classes/{class_id}/helpers/{member_id}")]
pub(super) async fn put_helper(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (site, class, member) = (SiteId(path.0), ClassId(path.1), MemberId(path.2));
    let errand = who.errand(&state, None).await?;
    add_helper(&state.desk, errand.clone(), site, class, member).await?;
    let class = see_class(&state.desk, errand, site, class).await?;
    Ok(tagged(class))
}

/// Takes a helper or a teacher off a class; never its last teacher.
#[utoipa::path(
    tag = "classes",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("class_id" = Uuid, Path, description = "The class"),
        ("member_id" = Uuid, Path, description = "The member"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 204, description = "Taken off"),
        responses::Deleting,
    )
)]
#[delete("/v1/sites/{site_id}/classes/{class_id}/helpers/{member_id}")]
pub(super) async fn delete_helper(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid, Uuid)>,
) -> Result<HttpResponse, Problem> {
    let (site, class, member) = (SiteId(path.0), ClassId(path.1), MemberId(path.2));
    let errand = who.errand(&state, None).await?;
    remove_adult(&state.desk, errand, site, class, member).await?;
    Ok(HttpResponse::NoContent().finish())
}
