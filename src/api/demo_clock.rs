//! The one door that only the demo has: its clock moves forward.

use super::bearer::SignedIn;
use super::body::Body;
use super::exact::Whole;
use super::problem::Problem;
use super::{AppState, responses};
use crate::desk::move_clock::advance;
use actix_web::{post, web};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// How far the clock moves.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = ClockMove, example = json!({"advance_days": 7}))]
pub struct ClockMoveBody {
    /// Whole days, forward.
    #[schema(value_type = u16, minimum = 1, maximum = 366, example = 7)]
    advance_days: Whole,
}

/// What the clock shows.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ClockNow)]
pub struct ClockNowBody {
    now: DateTime<Utc>,
}

/// Lets days pass for all bins of the demo. A service that is not the demo has no such
/// address.
#[utoipa::path(
    tag = "demo",
    request_body = ClockMoveBody,
    security(("bearer" = [])),
    responses(
        (status = 200, description = "What the clock shows now", body = ClockNowBody),
        responses::Writing,
    )
)]
#[post("/v1/demo/clock")]
pub(super) async fn move_demo_clock(
    state: web::Data<AppState>,
    _who: SignedIn,
    body: Body<ClockMoveBody>,
) -> Result<web::Json<ClockNowBody>, Problem> {
    let now = advance(&state.desk, body.value.advance_days.0).await?;
    Ok(web::Json(ClockNowBody { now }))
}
