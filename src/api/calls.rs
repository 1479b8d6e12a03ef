//! Calls: somebody is looked for who comes to a place, in the stead of who cannot or where nobody
//! ever held it.

use super::bearer::SignedIn;
use super::needs::{NeedBody, NeedVoice};
use super::page::{PageOf, PageQuery, PageWanted, after_id};
use super::problem::Problem;
use super::{AppState, responses};
use crate::desk::cover::see_calls::{CallSeen, list_calls, see_call};
use actix_web::{get, web};
use chrono::{DateTime, NaiveDate, Utc};
use serde::Serialize;
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::cover::answer::Answer;
use wormrota_domain::ids::{CallId, MemberId, SiteId};

/// A call for somebody who comes to one place of a turn.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Call)]
pub struct CallBody {
    id: Uuid,
    turn_id: Uuid,
    place_id: Uuid,
    bin_id: Uuid,
    on_date: NaiveDate,
    /// Where the search is.
    #[schema(value_type = CallStateCode)]
    state: &'static str,
    /// Who cannot come: for themselves, and for whoever looks after the site. Null also where nobody
    /// ever held the place.
    away_member_id: Option<Uuid>,
    /// Who comes, for the same eyes.
    helper_member_id: Option<Uuid>,
    /// Whether the bin needs the turn; null while it is too far ahead to tell.
    need: Option<NeedBody>,
    /// The same for people.
    sentence: String,
    /// From then on it is too late to come.
    turn_at: DateTime<Utc>,
    /// Until when a helper can give the place back: the site's deadline for all places.
    give_back_until: DateTime<Utc>,
    /// What you were asked and said; null if you were not.
    own_answer: Option<AnswerBody>,
    /// Who was asked and what they said; for whoever looks after the site.
    #[serde(skip_serializing_if = "Option::is_none")]
    answers: Option<Vec<AnswerBody>>,
    created_at: DateTime<Utc>,
    closed_at: Option<DateTime<Utc>>,
}

/// Somebody is looked for (`open`), nobody was found and the caretaker knows (`nobody`), somebody
/// comes, the place stays empty, whoever was away comes after all, or the turn went by.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
enum CallStateCode {
    Open,
    Nobody,
    Covered,
    LeftEmpty,
    Withdrawn,
    Missed,
}

/// Somebody who was asked.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = CallAnswer)]
pub struct AnswerBody {
    member_id: Uuid,
    /// What became of it.
    #[schema(value_type = AnswerStateCode)]
    state: &'static str,
    asked_at: DateTime<Utc>,
    /// Until when the next wait for it; a yes after it counts as well while the place is free.
    answer_by: DateTime<Utc>,
}

/// Said nothing yet, said yes, was given the place by somebody else, said no, gave the place back, or
/// need not answer any more.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
enum AnswerStateCode {
    Asked,
    Yes,
    Assigned,
    No,
    GivenBack,
    Closed,
}

/// Calls, the newest first: all of them for whoever looks after the site, for others those in
/// which they cannot come, help or were asked.
#[utoipa::path(
    tag = "cover",
    params(("site_id" = Uuid, Path, description = "The site"), PageQuery),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of calls", body = PageOf<CallBody>),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/calls")]
pub(super) async fn index_calls(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    page: PageWanted,
) -> Result<web::Json<PageOf<CallBody>>, Problem> {
    let before = page.after_id()?;
    let site = SiteId(*site);
    let errand = who.errand(&state, None).await?;
    let found = list_calls(&state.desk, errand.clone(), site, before, page.limit).await?;
    let voice = NeedVoice::of(&state, &errand, site).await?;
    Ok(web::Json(PageOf::of(
        found,
        |call| after_id(call.id.0),
        |call| body(call, &voice),
    )))
}

/// One call.
#[utoipa::path(
    tag = "cover",
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ("call_id" = Uuid, Path, description = "The call"),
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "The call", body = CallBody),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/calls/{call_id}")]
pub(super) async fn show_call(
    state: web::Data<AppState>,
    who: SignedIn,
    path: web::Path<(Uuid, Uuid)>,
) -> Result<web::Json<CallBody>, Problem> {
    let (site, call) = (SiteId(path.0), CallId(path.1));
    let errand = who.errand(&state, None).await?;
    let call = see_call(&state.desk, errand.clone(), site, call).await?;
    let voice = NeedVoice::of(&state, &errand, site).await?;
    Ok(web::Json(body(call, &voice)))
}

/// The call as its reader gets it.
fn body(call: CallSeen, voice: &NeedVoice) -> CallBody {
    let answer = |(member, answer): (MemberId, Answer)| AnswerBody {
        member_id: member.0,
        state: answer.state.code(),
        asked_at: answer.asked_at,
        answer_by: answer.answer_by,
    };
    CallBody {
        id: call.id.0,
        turn_id: call.turn.0,
        place_id: call.place.0,
        bin_id: call.bin.0,
        on_date: call.on_date,
        state: call.state.code(),
        away_member_id: call.away.map(|member| member.0),
        helper_member_id: call.helper.map(|member| member.0),
        sentence: voice.need(call.bin, call.need.as_ref()),
        need: call.need.map(NeedBody::from),
        turn_at: call.turn_at,
        give_back_until: call.settled_at,
        own_answer: call.own.map(answer),
        answers: (call.answers).map(|answers| answers.into_iter().map(answer).collect()),
        created_at: call.created_at,
        closed_at: call.closed_at,
    }
}
