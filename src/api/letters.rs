//! What became of letters, for whoever looks after a site.

use super::bearer::SignedIn;
use super::page::{PageOf, PageWanted, after_id};
use super::problem::Problem;
use super::{AppState, query, responses};
use crate::desk::see_letters::{LetterSeen, list_letters};
use actix_web::{HttpRequest, get, web};
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::SiteId;
use wormrota_domain::letters::{LetterDeed, LetterKind, LetterState, Reason};

/// Which letters are wanted.
#[derive(Debug, Deserialize, utoipa::IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct LettersQuery {
    /// Only those in this state.
    #[param(value_type = Option<LetterStateCode>, inline)]
    state: Option<LetterState>,
    /// Where the page begins: `next_cursor` of the page before.
    #[param(pattern = "^[A-Za-z0-9_-]{21}[AQgw]$")]
    cursor: Option<String>,
    /// Items on the page, 1 to 200; 50 when not given.
    #[param(minimum = 1, maximum = 200)]
    limit: Option<u16>,
}

/// Where a letter is in its life.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
pub(super) enum LetterStateCode {
    Owed,
    Leased,
    Sent,
    Refused,
    TooLate,
    NotWanted,
    GivenUp,
}

/// A sort of letters that people can do without: a turn is coming; whether somebody fed a bin;
/// what changed about one's own turns; somebody is looked for who takes a turn; what a caretaker
/// or teacher has to know; the week.
#[derive(ToSchema)]
#[schema(rename_all = "snake_case")]
#[expect(dead_code, reason = "describes a domain type that knows no OpenAPI")]
pub(super) enum LetterGroupCode {
    Reminders,
    Questions,
    Changes,
    Calls,
    Keeping,
    Digest,
}

/// A letter to somebody at the site: what became of it, and neither where it went nor what
/// it said.
#[derive(Serialize, ToSchema)]
#[schema(as = Letter)]
pub struct LetterBody {
    id: Uuid,
    /// What it is about, as a code.
    #[schema(value_type = String, example = "invitation")]
    kind: LetterKind,
    /// Whom it is for.
    member_id: Option<Uuid>,
    /// `owed` and `leased`: on its way. `sent`: handed to the mail server. `refused`: not
    /// taken, and not tried again. `too_late`: not sent while it would have helped.
    /// `not_wanted`: settled before it was sent, or told by another letter to the same reader,
    /// with the reason `told_together`. `given_up`: it cannot be written.
    #[schema(value_type = LetterStateCode)]
    state: LetterState,
    /// Why it was not sent, or not yet, as a code; null when it was.
    #[schema(value_type = Option<String>, example = "address_refused")]
    reason: Option<Reason>,
    /// How often it was tried.
    attempts: u32,
    created_at: DateTime<Utc>,
    /// When it is tried next; null unless it is owed.
    due_at: Option<DateTime<Utc>>,
    /// When it was sent, or closed unsent.
    closed_at: Option<DateTime<Utc>>,
    /// What was answered by one of its links, as a code.
    #[schema(value_type = Option<String>, example = "stop")]
    answer: Option<LetterDeed>,
    /// When it was answered.
    answered_at: Option<DateTime<Utc>>,
}

/// Letters to members of a site, newest first, for 30 days; for caretakers, teachers and
/// educators. Letters of an account, such as sign-in links, are nobody else's and not among
/// them.
#[utoipa::path(
    tag = "people",
    params(("site_id" = Uuid, Path, description = "The site"), LettersQuery),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "A page of letters", body = PageOf<LetterBody>),
        responses::Reading,
    )
)]
#[get("/v1/sites/{site_id}/letters")]
pub(super) async fn index_letters(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    request: HttpRequest,
) -> Result<web::Json<PageOf<LetterBody>>, Problem> {
    let query: LettersQuery = query::read(&request)?;
    let page = PageWanted::read(query.cursor, query.limit)?;
    let before = page.after_id()?;
    let errand = who.errand(&state, None).await?;
    let site = SiteId(*site);
    let letters = list_letters(&state.desk, errand, site, query.state, before, page.limit).await?;
    Ok(web::Json(PageOf::of(
        letters,
        |letter| after_id(letter.id),
        LetterBody::from,
    )))
}

impl From<LetterSeen> for LetterBody {
    fn from(letter: LetterSeen) -> Self {
        Self {
            id: letter.id,
            kind: letter.kind,
            member_id: letter.member.map(|member| member.0),
            state: letter.state,
            reason: letter.reason,
            attempts: letter.attempts,
            created_at: letter.created_at,
            due_at: letter.due_at,
            closed_at: letter.closed_at,
            answer: letter.answer,
            answered_at: letter.answered_at,
        }
    }
}
