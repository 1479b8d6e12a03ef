//! Days on which members are away.

use super::bearer::SignedIn;
use super::body::{Body, KeyHeader};
use super::needs::{NeedBody, NeedVoice};
use super::page::{PageOf, PageQuery, PageWanted, after_id};
use super::problem::Problem;
use super::{AppState, responses};
use crate::desk::absences::{Absence, list_absences, see_absence};
use crate::desk::change::Change;
use crate::desk::change_absence::{AbsenceChange, change_absence};
use crate::desk::cover::{CameBack, GivenUp};
use crate::desk::tell_absence::{NewAbsence, end_absence, tell_absence};
use actix_web::{HttpResponse, delete, get, patch, post, web};
use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::{AbsenceId, MemberId, SiteId, TurnId};

/// Days to be away. No reason is asked for.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = NewAbsence, example = json!({"first_day": "2026-12-19", "last_day": "2027-01-03"}))]
pub struct NewAbsenceBody {
    /// The first local day: today or later.
    first_day: NaiveDate,
    /// The last local day; when absent, away until further notice.
    last_day: Option<NaiveDate>,
    /// Whether the places that are given up for it cost nothing in the next rota, which is so when
    /// absent; only whoever looks after the site says so. The next rota begins after the days of
    /// the one that the places are of: drafting the same days again, it changes nothing.
    excused: Option<bool>,
}

/// What is to be otherwise about an absence. What is left out stays.
#[derive(Debug, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
#[schema(as = AbsenceChange, example = json!({"last_day": "2027-01-10"}))]
pub struct AbsenceChangeBody {
    /// Another first day, today or later, as long as the absence has not begun.
    first_day: Option<NaiveDate>,
    /// Another last day, today or later; null until further notice.
    #[serde(default)]
    #[schema(value_type = Option<NaiveDate>)]
    last_day: Change<NaiveDate>,
    /// True when the places that were given up for it cost nothing in the next rota, which begins
    /// after the days of the one that they are of; only whoever looks after the site says so.
    excused: Option<bool>,
}

/// Days away.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Absence)]
pub struct AbsenceBody {
    id: Uuid,
    first_day: NaiveDate,
    /// Null until further notice.
    last_day: Option<NaiveDate>,
    created_at: DateTime<Utc>,
    /// Whether it costs the member nothing in the next rota, unless the site counts every
    /// absence (`absences_cost`). No reason is kept.
    excused: bool,
}

/// A place that was given up.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = GivenUpPlace)]
pub struct GivenUpBody {
    call_id: Uuid,
    turn_id: Uuid,
    place_id: Uuid,
    bin_id: Uuid,
    /// `open` where somebody is looked for, `left_empty` where the bin can do without.
    state: &'static str,
    /// From then on it is too late to come.
    turn_at: DateTime<Utc>,
    /// Whether the bin needs the turn; null while it is too far ahead to tell.
    need: Option<NeedBody>,
    /// The same for people.
    sentence: String,
}

/// What became of the places of somebody who comes back.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = CameBack)]
#[expect(clippy::struct_field_names, reason = "they are names of the API")]
pub struct CameBackBody {
    /// Turns that are theirs again.
    theirs_again_turn_ids: Vec<Uuid>,
    /// Turns that somebody else comes to by now.
    covered_turn_ids: Vec<Uuid>,
    /// Turns whose place is free, and that a rule of the rota keeps from them by now.
    kept_from_them_turn_ids: Vec<Uuid>,
}

/// Days away that were told, with what lies within them.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = AbsenceTold)]
pub struct AbsenceToldBody {
    #[serde(flatten)]
    absence: AbsenceBody,
    /// The places that the member held on these days, the earliest first: they are free from now
    /// on.
    given_up: Vec<GivenUpBody>,
}

/// Days away as they are now, with what follows from the change.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = AbsenceChanged)]
pub struct AbsenceChangedBody {
    #[serde(flatten)]
    told: AbsenceToldBody,
    /// What became of places on days that are not of the absence any more.
    #[serde(flatten)]
    came_back: CameBackBody,
}

/// The absences of a member, your own or, if you look after the site, anybody's, in the order in
/// which they were told.
#[utoipa::path(
    tag = "rota",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("member_id" = Uuid, Path, description = "The member"),
        PageQuery,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of absences", body = PageOf<AbsenceBody>),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/members/{member_id}/absences")]
pub(super) async fn index_absences(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    page: PageWanted,
) -> Result<web::Json<PageOf<AbsenceBody>>, Problem> {
    let (site, member) = (SiteId(path.0), MemberId(path.1));
    let after = page.after_id()?;
    let errand = who.errand(&state, None).await?;
    let found = list_absences(&state.desk, errand, site, member, after, page.limit).await?;
    Ok(web::Json(PageOf::of(
        found,
        |absence| after_id(absence.id.0),
        AbsenceBody::from,
    )))
}

/// Tells that a member is away: you, or, if you look after the site, anybody. No turn is planned
/// for them on these days. Places that they hold already are free from now on; somebody else is
/// looked for where the bin needs it.
#[utoipa::path(
    tag = "rota",
    request_body = NewAbsenceBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("member_id" = Uuid, Path, description = "The member"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 201, description = "Told", body = AbsenceToldBody),
        responses::Writing,
    )
)]
#[post("/v1/sites/{site_id}/members/{member_id}/absences")]
pub(super) async fn create_absence(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
    body: Body<NewAbsenceBody>,
) -> Result<HttpResponse, Problem> {
    let (site, member) = (SiteId(path.0), MemberId(path.1));
    let errand = who.errand(&state, body.ticket).await?;
    let new = NewAbsence {
        first_day: body.value.first_day,
        last_day: body.value.last_day,
        excused: body.value.excused,
    };
    let told = tell_absence(&state.desk, errand.clone(), site, member, new).await?;
    let absence = see_absence(&state.desk, errand.clone(), site, member, told.id).await?;
    let voice = NeedVoice::of(&state, &errand, site).await?;
    let told = AbsenceToldBody::said(absence, told.given_up, &voice);
    Ok(HttpResponse::Created().json(told))
}

/// Changes an absence: its days, of your own or, if you look after the site, of anybody's; and
/// whether it costs its member nothing, for caretakers, teachers and educators. Places on days that
/// it did not have before are given up; those on days that it has no more, and that nobody took
/// meanwhile, are the member's again.
#[utoipa::path(
    tag = "rota",
    request_body = AbsenceChangeBody,
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("member_id" = Uuid, Path, description = "The member"),
        ("absence_id" = Uuid, Path, description = "The absence"),
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The absence as it is now", body = AbsenceChangedBody),
        responses::Writing,
    )
)]
#[patch("/v1/sites/{site_id}/members/{member_id}/absences/{absence_id}")]
pub(super) async fn update_absence(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid, Uuid)>,
    body: Body<AbsenceChangeBody>,
) -> Result<web::Json<AbsenceChangedBody>, Problem> {
    let (site, member, absence) = (SiteId(path.0), MemberId(path.1), AbsenceId(path.2));
    let errand = who.errand(&state, body.ticket).await?;
    let change = AbsenceChange {
        first_day: body.value.first_day,
        last_day: body.value.last_day,
        excused: body.value.excused,
    };
    let of = (member, absence);
    let changed = change_absence(&state.desk, errand.clone(), site, of, change).await?;
    let absence = see_absence(&state.desk, errand.clone(), site, member, absence).await?;
    let voice = NeedVoice::of(&state, &errand, site).await?;
    Ok(web::Json(AbsenceChangedBody {
        told: AbsenceToldBody::said(absence, changed.given_up, &voice),
        came_back: changed.came_back.into(),
    }))
}

/// Takes an absence back. One that has begun ends yesterday: days that have passed stay as they
/// were. Places that nobody took meanwhile are the member's again, as far as the rules allow.
#[utoipa::path(
    tag = "rota",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("member_id" = Uuid, Path, description = "The member"),
        ("absence_id" = Uuid, Path, description = "The absence"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "Taken back", body = CameBackBody),
        responses::Deleting,
    )
)]
#[delete("/v1/sites/{site_id}/members/{member_id}/absences/{absence_id}")]
pub(super) async fn delete_absence(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid, Uuid)>,
) -> Result<web::Json<CameBackBody>, Problem> {
    let (site, member, absence) = (SiteId(path.0), MemberId(path.1), AbsenceId(path.2));
    let errand = who.errand(&state, None).await?;
    let came_back = end_absence(&state.desk, errand, site, member, absence).await?;
    Ok(web::Json(came_back.into()))
}

impl AbsenceToldBody {
    fn said(absence: Absence, given_up: Vec<GivenUp>, voice: &NeedVoice) -> Self {
        let given_up = given_up.into_iter();
        Self {
            absence: absence.into(),
            given_up: given_up.map(|one| GivenUpBody::said(one, voice)).collect(),
        }
    }
}

impl From<CameBack> for CameBackBody {
    fn from(came_back: CameBack) -> Self {
        let keys = |turns: Vec<TurnId>| turns.into_iter().map(|turn| turn.0).collect();
        Self {
            theirs_again_turn_ids: keys(came_back.theirs_again),
            covered_turn_ids: keys(came_back.covered),
            kept_from_them_turn_ids: keys(came_back.kept_from_them),
        }
    }
}

impl GivenUpBody {
    /// A place that was given up, with what is said about it.
    pub(super) fn said(given_up: GivenUp, voice: &NeedVoice) -> Self {
        Self {
            call_id: given_up.call.0,
            turn_id: given_up.turn.0,
            place_id: given_up.place.0,
            bin_id: given_up.bin.0,
            state: given_up.state.code(),
            turn_at: given_up.turn_at,
            sentence: voice.need(given_up.bin, given_up.need.as_ref()),
            need: given_up.need.map(NeedBody::from),
        }
    }
}

impl From<Absence> for AbsenceBody {
    fn from(absence: Absence) -> Self {
        Self {
            id: absence.id.0,
            first_day: absence.first_day,
            last_day: absence.last_day,
            created_at: absence.created_at,
            excused: absence.excused,
        }
    }
}
