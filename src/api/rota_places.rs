//! Who is to hold which place in a rota, beside who does today.

use super::bearer::SignedIn;
use super::page::{PageOf, PageQuery, PageWanted, after_id};
use super::problem::Problem;
use super::{AppState, responses};
use crate::desk::rotas::{Holder, PlaceOfRota, TurnOfRota, compare_places};
use actix_web::{get, web};
use chrono::NaiveDate;
use serde::Serialize;
use std::fmt;
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{RotaId, SiteId};

/// A turn of a rota, with who is to hold its places and who does today.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = TurnOfRota)]
pub struct TurnOfRotaBody {
    turn_id: Uuid,
    bin_id: Uuid,
    on_date: NaiveDate,
    /// What it costs each who is on it.
    effort: i16,
    places: Vec<PlaceOfRotaBody>,
}

/// A place of a rota.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = PlaceOfRota)]
pub struct PlaceOfRotaBody {
    place_id: Uuid,
    /// Who is to hold it; null leaves it empty.
    in_rota: Option<HolderBody>,
    /// Who holds it today.
    today: Option<HolderBody>,
    /// Whether putting the rota up changes who holds it.
    changes: bool,
}

/// A member who holds a place.
#[derive(Serialize, ToSchema)]
#[schema(as = RotaHolder)]
pub struct HolderBody {
    member_id: Uuid,
    /// The name, unless it was erased.
    name: Option<String>,
}

impl fmt::Debug for HolderBody {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "HolderBody({})", self.member_id)
    }
}

/// A draft beside who holds the places today: the turns of its days, in order.
#[utoipa::path(
    tag = "rota",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("rota_id" = Uuid, Path, description = "The rota"),
        PageQuery,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of turns", body = PageOf<TurnOfRotaBody>),
        responses::ReadingRota,
    )
)]
#[get("/v1/sites/{site_id}/rotas/{rota_id}/places")]
pub(super) async fn index_rota_places(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    page: PageWanted,
) -> Result<web::Json<PageOf<TurnOfRotaBody>>, Problem> {
    let (site, rota) = (SiteId(path.0), RotaId(path.1));
    let wanted = (page.after_id()?, page.limit);
    let errand = who.errand(&state, None).await?;
    let turns = compare_places(&state.desk, errand, site, rota, wanted).await?;
    Ok(web::Json(PageOf::of(
        turns,
        |turn| after_id(turn.id.0),
        TurnOfRotaBody::from,
    )))
}

impl From<TurnOfRota> for TurnOfRotaBody {
    fn from(turn: TurnOfRota) -> Self {
        Self {
            turn_id: turn.id.0,
            bin_id: turn.bin.0,
            on_date: turn.on_date,
            effort: turn.effort,
            places: turn.places.into_iter().map(PlaceOfRotaBody::from).collect(),
        }
    }
}

impl From<PlaceOfRota> for PlaceOfRotaBody {
    fn from(place: PlaceOfRota) -> Self {
        Self {
            place_id: place.id.0,
            in_rota: place.in_rota.map(HolderBody::from),
            today: place.today.map(HolderBody::from),
            changes: place.changes,
        }
    }
}

impl From<Holder> for HolderBody {
    fn from(holder: Holder) -> Self {
        Self {
            member_id: holder.member.0,
            name: holder.name,
        }
    }
}
