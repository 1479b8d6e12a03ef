//! Who belongs to a site.

use super::bearer::SignedIn;
use super::page::{PageOf, PageQuery, PageWanted, after_id};
use super::problem::Problem;
use super::sites::RoleCode;
use super::{AppState, responses};
use crate::desk::people::{Person, list_people};
use actix_web::{get, web};
use chrono::{DateTime, Utc};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::access::Role;
use wormrota_domain::ids::SiteId;

/// A person at a site.
#[derive(Serialize, ToSchema)]
#[schema(as = Member)]
pub struct MemberBody {
    id: Uuid,
    /// The name, unless it was erased.
    name: Option<String>,
    /// The flat, where there are flats.
    flat: Option<String>,
    #[schema(value_type = Vec<RoleCode>)]
    roles: Vec<Role>,
    /// Whether they can sign in.
    has_account: bool,
    joined_at: DateTime<Utc>,
}

/// People of a site who have not left; for caretakers, teachers and educators.
#[utoipa::path(
    tag = "sites",
    params(("site_id" = Uuid, Path, description = "The site"), PageQuery),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of people", body = PageOf<MemberBody>),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/members")]
pub(super) async fn index_members(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    page: PageWanted,
) -> Result<web::Json<PageOf<MemberBody>>, Problem> {
    let after = page.after_id()?;
    let errand = who.errand(&state, None).await?;
    let people = list_people(&state.desk, errand, SiteId(*site), after, page.limit).await?;
    Ok(web::Json(PageOf::of(
        people,
        |person| after_id(person.id.0),
        body,
    )))
}

fn body(person: Person) -> MemberBody {
    MemberBody {
        id: person.id.0,
        name: person.name,
        flat: person.flat,
        roles: person.roles,
        has_account: person.has_account,
        joined_at: person.joined_at,
    }
}
