//! Places of a rota that nobody holds, and why.

use super::bearer::SignedIn;
use super::page::{PageOf, PageQuery, PageWanted, after_id};
use super::problem::Problem;
use super::reader::reader;
use super::{AppState, responses};
use crate::desk::rota_reasons::{EmptyTurn, list_empty_places};
use crate::wording::Voice;
use actix_web::{get, web};
use chrono::NaiveDate;
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{RotaId, SiteId};
use wormrota_domain::rota::explain::sight::EmptySeen;
use wormrota_domain::rota::index::MemberIndex;

/// A turn with empty places.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = EmptyTurnOfRota)]
pub struct EmptyTurnBody {
    turn_id: Uuid,
    bin_id: Uuid,
    on_date: NaiveDate,
    /// How many of its places nobody holds.
    places: usize,
    /// Who could take a place; for caretakers and teachers.
    could: Vec<Uuid>,
    /// Who could not, and every rule that would break; for caretakers and teachers.
    cannot: Vec<CannotBody>,
    /// How many of the others have which reason: for caretakers and teachers each rule, and
    /// somebody can count for several; for others `closed`, `day`, `training`, `enough` or
    /// `others`, each person once, and none where so few are left that it would tell whose it
    /// is.
    reasons: Vec<ReasonCountBody>,
    /// The same in words.
    sentence: String,
}

/// Why somebody cannot take a place.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = RotaCannot)]
pub struct CannotBody {
    member_id: Uuid,
    rules: Vec<&'static str>,
}

/// How many have a reason.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = RotaReasonCount)]
pub struct ReasonCountBody {
    reason: &'static str,
    count: usize,
}

/// Turns with places that nobody holds, and why.
#[utoipa::path(
    tag = "rota",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("rota_id" = Uuid, Path, description = "The rota"),
        PageQuery,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of turns", body = PageOf<EmptyTurnBody>),
        responses::ReadingRota,
    )
)]
#[get("/v1/sites/{site_id}/rotas/{rota_id}/empty_places")]
pub(super) async fn index_empty_places(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    page: PageWanted,
) -> Result<web::Json<PageOf<EmptyTurnBody>>, Problem> {
    let (site, rota) = (SiteId(path.0), RotaId(path.1));
    let wanted = (page.after_id()?, page.limit);
    let errand = who.errand(&state, None).await?;
    let (voice, _) = reader(&state, &errand, site).await?;
    let turns = list_empty_places(&state.desk, errand, site, rota, wanted).await?;
    Ok(web::Json(PageOf::of(
        turns,
        |turn| after_id(turn.turn.0),
        |turn| empty_body(&turn, &voice),
    )))
}

fn empty_body(empty: &EmptyTurn, voice: &Voice) -> EmptyTurnBody {
    let key = |member: &MemberIndex| empty.members.get(member.0).map(|member| member.0);
    let count = |(reason, count)| ReasonCountBody { reason, count };
    let (places, could, cannot, reasons) = match &empty.seen {
        EmptySeen::Reasons(seen) => (
            seen.places,
            seen.could.iter().filter_map(key).collect(),
            (seen.cannot.iter())
                .filter_map(|(member, broken)| {
                    Some(CannotBody {
                        member_id: key(member)?,
                        rules: broken.iter().map(|one| one.rule().code()).collect(),
                    })
                })
                .collect(),
            (seen.by_rule().into_iter())
                .map(|(rule, number)| count((rule.code(), number)))
                .collect(),
        ),
        EmptySeen::Counts {
            places, reasons, ..
        } => (
            *places,
            Vec::new(),
            Vec::new(),
            (reasons.iter().flatten())
                .map(|(reason, number)| count((reason.code(), *number)))
                .collect(),
        ),
    };
    EmptyTurnBody {
        turn_id: empty.turn.0,
        bin_id: empty.bin.0,
        on_date: empty.on_date,
        places,
        could,
        cannot,
        reasons,
        sentence: voice.empty_places(&empty.seen),
    }
}
