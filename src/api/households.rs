//! Households.

use super::bearer::SignedIn;
use super::page::{PageOf, PageQuery, PageWanted, after_id};
use super::problem::Problem;
use super::{AppState, responses};
use crate::desk::households::{Household, list_households};
use actix_web::{get, web};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::SiteId;

/// Residents of a flat, who share one fair share of turns.
#[derive(Serialize, ToSchema)]
#[schema(as = Household)]
pub struct HouseholdBody {
    id: Uuid,
    /// Who belongs to it today.
    member_ids: Vec<Uuid>,
    /// The flat; null for those who do not look after the site.
    flat: Option<String>,
}

/// The households of a site. Residents get their own, or all of them where the site lets
/// them see who lives where.
#[utoipa::path(
    tag = "people",
    params(("site_id" = Uuid, Path, description = "The site"), PageQuery),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of households", body = PageOf<HouseholdBody>),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/households")]
pub(super) async fn index_households(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    page: PageWanted,
) -> Result<web::Json<PageOf<HouseholdBody>>, Problem> {
    let after = page.after_id()?;
    let errand = who.errand(&state, None).await?;
    let found = list_households(&state.desk, errand, SiteId(*site), after, page.limit).await?;
    Ok(web::Json(PageOf::of(
        found,
        |household| after_id(household.id.0),
        HouseholdBody::from,
    )))
}

impl From<Household> for HouseholdBody {
    fn from(household: Household) -> Self {
        Self {
            id: household.id.0,
            member_ids: household.members.into_iter().map(|id| id.0).collect(),
            flat: household.flat,
        }
    }
}
