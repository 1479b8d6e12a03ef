//! How well a bin is known, and what is about to happen to it.

use super::bearer::SignedIn;
use super::checks::gate_code;
use super::problem::Problem;
use super::reader::reader;
use super::room::BandBody;
use super::{AppState, responses};
use crate::desk::outlooks::{Facts, see_facts};
use actix_web::{get, web};
use chrono::{DateTime, Utc};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, SiteId};

/// What is known of a bin.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Facts)]
pub struct FactsBody {
    /// kg of food a kg of worms eats in a day at its best: what checks taught so far.
    speed: BandBody,
    /// The same before anything was learnt: the middle of what handbooks say.
    handbook_speed: f64,
    /// `speed` against the handbook's: 1.2 is a fifth faster.
    against_handbook: f64,
    /// How sure: `handbook`, `rough`, `fair` or `good`.
    sureness: &'static str,
    /// How many checks taught it.
    lessons: u32,
    last_check_at: Option<DateTime<Utc>>,
    /// When a look into the bin would teach most; absent when there is nothing to see.
    check_due_at: Option<DateTime<Utc>>,
    /// `open`, `held` (rests until a look is clear) or `half`.
    gate: &'static str,
    /// Share of the surface that is fed at present.
    fed_share: f64,
    stocked_at: DateTime<Utc>,
    /// Of the coming weeks.
    warnings: Vec<WarningBody>,
}

/// A warning of heat or cold.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Warning)]
pub struct WarningBody {
    /// `deadly_heat`, `too_hot`, `warm`, `cold`, `too_cold` or `deadly_frost`.
    code: &'static str,
    /// The same for people, with what to do.
    sentence: String,
    /// The first moment at which it is expected.
    at: DateTime<Utc>,
    bed_c: f64,
    /// Nobody measured lately.
    assumed: bool,
}

/// How well a bin is known: its speed beside the handbook's, when a look would teach most,
/// whether it rests, and warnings of heat and cold.
#[utoipa::path(
    tag = "bins",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("bin_id" = Uuid, Path, description = "The bin"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The facts", body = FactsBody),
        responses::ReadingBin,
    )
)]
#[get("/v1/sites/{site_id}/bins/{bin_id}/facts")]
pub(super) async fn show_facts(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<web::Json<FactsBody>, Problem> {
    let (site, bin) = (SiteId(path.0), BinId(path.1));
    let errand = who.errand(&state, None).await?;
    let facts = see_facts(&state.desk, errand.clone(), site, bin).await?;
    let (voice, _) = reader(&state, &errand, site).await?;
    Ok(web::Json(facts_body(&facts, &voice)))
}

fn facts_body(facts: &Facts, voice: &crate::wording::Voice) -> FactsBody {
    let round = |x: f64| (x * 1000.0).round() / 1000.0;
    let (low, median, high) = facts.speed.speed;
    let warning = |warning: &wormrota_domain::living_bin::warning::Warning| WarningBody {
        code: warning.kind.code(),
        sentence: voice.warning(warning, facts.at),
        at: warning.at,
        bed_c: (warning.bed.0 * 10.0).round() / 10.0,
        assumed: warning.assumed,
    };
    FactsBody {
        speed: BandBody::new(round(low), round(median), round(high)),
        handbook_speed: facts.speed.handbook,
        against_handbook: round(median / facts.speed.handbook),
        sureness: facts.speed.sureness.code(),
        lessons: facts.speed.lessons,
        last_check_at: facts.last_check_at,
        check_due_at: facts.check_due_at,
        gate: gate_code(facts.gate),
        fed_share: facts.fed_share,
        stocked_at: facts.stocked_at,
        warnings: facts.warnings.iter().map(warning).collect(),
    }
}
