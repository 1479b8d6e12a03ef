//! Two members of a rota beside each other.

use super::bearer::SignedIn;
use super::problem::Problem;
use super::query::read;
use super::reader::reader;
use super::rota_limits::{LimitsBody, limits_body, thousandths};
use super::{AppState, responses};
use crate::desk::rota_reasons::{Beside, compare_members};
use crate::wording::Voice;
use actix_web::{HttpRequest, get, web};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{MemberId, RotaId, SiteId};
use wormrota_domain::rota::explain::Fraction;
use wormrota_domain::rota::explain::sight::ComparisonSeen;

/// Who is compared.
#[derive(Debug, Deserialize, utoipa::IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct ComparisonQuery {
    /// Who is asked about.
    one_id: Uuid,
    /// Beside whom.
    other_id: Uuid,
}

/// Two members beside each other. The parts of the difference add up to it.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = RotaComparison)]
pub struct ComparisonBody {
    one_id: Uuid,
    other_id: Uuid,
    /// How much more effort the first has; below zero for less.
    effort: i64,
    /// What of it is because of their shares, to the thousandth; for caretakers and teachers.
    by_share: Option<f64>,
    /// What of it is because of earlier rotas; for caretakers and teachers.
    by_earlier_rotas: Option<i64>,
    /// What of it is fair, to the nearest whole for each; for others.
    fair: Option<i64>,
    /// What is left, to the thousandth: limits, wishes, and what does not divide evenly.
    rest: f64,
    /// The limits of the first; for caretakers and teachers.
    limits_of_one: Option<LimitsBody>,
    /// The limits of the other; for caretakers and teachers.
    limits_of_other: Option<LimitsBody>,
    /// The same in words.
    sentence: String,
}

/// Why one member has more effort than another.
#[utoipa::path(
    tag = "rota",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("rota_id" = Uuid, Path, description = "The rota"),
        ComparisonQuery,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The two beside each other", body = ComparisonBody),
        responses::ReadingRota,
    )
)]
#[get("/v1/sites/{site_id}/rotas/{rota_id}/comparison")]
pub(super) async fn show_rota_comparison(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    request: HttpRequest,
) -> Result<web::Json<ComparisonBody>, Problem> {
    let (site, rota) = (SiteId(path.0), RotaId(path.1));
    let query: ComparisonQuery = read(&request)?;
    let errand = who.errand(&state, None).await?;
    let (voice, _) = reader(&state, &errand, site).await?;
    let two = (MemberId(query.one_id), MemberId(query.other_id));
    let beside = compare_members(&state.desk, errand, site, rota, two).await?;
    Ok(web::Json(comparison_body(beside, &voice)))
}

fn comparison_body(beside: Beside, voice: &Voice) -> ComparisonBody {
    let mut body = ComparisonBody {
        one_id: beside.one.0,
        other_id: beside.other.0,
        effort: 0,
        by_share: None,
        by_earlier_rotas: None,
        fair: None,
        rest: 0.0,
        limits_of_one: None,
        limits_of_other: None,
        sentence: voice.comparison(&beside.seen),
    };
    match beside.seen {
        ComparisonSeen::Reasons(all) => {
            body.effort = all.effort;
            body.by_share = Some(thousandths(all.by_share));
            body.by_earlier_rotas = Some(all.by_balance);
            body.rest = thousandths(all.rest);
            body.limits_of_one = Some(limits_body(&all.limits_of_one));
            body.limits_of_other = Some(limits_body(&all.limits_of_other));
        }
        ComparisonSeen::Figures { effort, fair, rest } => {
            body.effort = effort;
            body.fair = Some(fair);
            body.rest = thousandths(Fraction { parts: rest, of: 1 });
        }
    }
    body
}
