//! What is not covered in the coming days.

use super::bearer::SignedIn;
use super::needs::{AloneBody, NeedBody, NeedVoice};
use super::problem::Problem;
use super::{AppState, query, responses};
use crate::desk::cover::uncovered::{MOST_DAYS, Uncovered, list_uncovered};
use actix_web::{HttpRequest, get, web};
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::cover::call::CallState;
use wormrota_domain::ids::{CallId, SiteId};

/// How far ahead.
#[derive(Debug, Deserialize, utoipa::IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct UncoveredQuery {
    /// Days from today on, 1 to 28; 14 when not given.
    #[param(minimum = 1, maximum = 28)]
    days: Option<u16>,
}

/// Turns that have a free place.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = UncoveredTurns)]
pub struct UncoveredBody {
    /// The earliest first.
    items: Vec<UncoveredTurnBody>,
}

/// A turn that has a free place.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = UncoveredTurn)]
pub struct UncoveredTurnBody {
    turn_id: Uuid,
    bin_id: Uuid,
    on_date: NaiveDate,
    /// How many places are free.
    free_places: usize,
    /// From then on it is too late to come.
    turn_at: DateTime<Utc>,
    /// Whether the bin needs one more person; null where there is no forecast.
    need: Option<NeedBody>,
    /// The same for people.
    sentence: String,
    /// What becomes of the bin on some days after the turn if nobody comes any more; empty where
    /// nobody must.
    otherwise: Vec<AloneBody>,
    /// Where somebody is looked for, or it was decided to leave a place empty.
    calls: Vec<CallOfTurnBody>,
}

/// A call of a turn.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = CallOfTurn)]
pub struct CallOfTurnBody {
    call_id: Uuid,
    /// As of the call.
    state: &'static str,
}

/// Turns of the coming days that have a free place for members, with whether the bin needs
/// somebody, until when, and what happens otherwise; for caretakers, teachers and educators. The
/// first hundred are told.
#[utoipa::path(
    tag = "cover",
    params(("site_id" = Uuid, Path, description = "The site"), UncoveredQuery),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "What is not covered", body = UncoveredBody),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/uncovered")]
pub(super) async fn index_uncovered(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    request: HttpRequest,
) -> Result<web::Json<UncoveredBody>, Problem> {
    let UncoveredQuery { days } = query::read(&request)?;
    let days = days.unwrap_or(14);
    if !(1..=MOST_DAYS).contains(&days) {
        return Err(Problem::new(
            &super::problem::BAD_QUERY,
            "`days` must be 1 to 28.",
        ));
    }
    let site = SiteId(*site);
    let errand = who.errand(&state, None).await?;
    let found = list_uncovered(&state.desk, errand.clone(), site, days).await?;
    let voice = NeedVoice::of(&state, &errand, site).await?;
    let items = found.into_iter().map(|one| body(one, &voice)).collect();
    Ok(web::Json(UncoveredBody { items }))
}

fn body(one: Uncovered, voice: &NeedVoice) -> UncoveredTurnBody {
    let call = |(call, state): (CallId, CallState)| CallOfTurnBody {
        call_id: call.0,
        state: state.code(),
    };
    UncoveredTurnBody {
        turn_id: one.turn.0,
        bin_id: one.bin.0,
        on_date: one.on_date,
        free_places: one.free_places,
        turn_at: one.turn_at,
        sentence: voice.need(one.bin, one.need.as_ref()),
        need: one.need.map(NeedBody::from),
        otherwise: voice.alone(&one.alone),
        calls: one.calls.into_iter().map(call).collect(),
    }
}
