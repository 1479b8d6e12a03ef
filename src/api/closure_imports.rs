//! The days on which a school is shut, from its calendar.

use super::bearer::SignedIn;
use super::body::KeyHeader;
use super::problem::{self, Problem, ProblemBody};
use super::query;
use super::reader::reader;
use super::text_body::{Calendar, TextBody};
use super::turns::TurnCountsBody;
use super::{AppState, responses};
use crate::desk::FieldError;
use crate::desk::import_closures::{ImportedClosures, days_that_count, import_days, try_days};
use crate::desk::joined_closures::ImportedDays;
use crate::icalendar::{Choice, ClosedDays, NamedDays, Refused, read_closures};
use actix_web::{HttpRequest, post, web};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use uuid::Uuid;
use wormrota_domain::ids::SiteId;

/// Lines of a calendar that are told when they are not taken.
const MOST_TOLD: usize = 100;

/// Whether an import is meant.
#[derive(Debug, Deserialize, utoipa::IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct ClosureImportQuery {
    /// With `true` the closures are made; without, nothing is written.
    apply: Option<bool>,
    /// Only events with one of these in their names, with commas between, such as `break,holiday`;
    /// every event when not given.
    #[param(max_length = 500)]
    only: Option<String>,
    /// No event with one of these in its name, such as `term,semester`.
    #[param(max_length = 500)]
    without: Option<String>,
}

/// What came of an import, or would.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ImportedClosures)]
pub struct ImportedClosuresBody {
    /// Whether the closures were made.
    applied: bool,
    /// The closures that the calendar's days come to, in order.
    closures: Vec<ImportedDaysBody>,
    /// The calendar's first hundred events on days that can be closed, in order of day.
    events: Vec<CalendarEventBody>,
    /// The first hundred lines that are not taken; the other events are.
    refused: Vec<RefusedLineBody>,
    /// How many are not taken.
    refused_total: usize,
    /// What became of the turns; zeros unless the closures were made.
    turns: TurnCountsBody,
}

/// A closure as it is after the import.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = ImportedDays)]
pub struct ImportedDaysBody {
    /// `new`; `joined` with a closure that was there with fewer days, or in the place of several;
    /// `known` where the site is shut on all the days already; `too_long` where nothing is made,
    /// because it would have more than 400 days.
    becomes: &'static str,
    first_day: NaiveDate,
    last_day: NaiveDate,
    /// Null of one that is not made, or not yet.
    closure_id: Option<Uuid>,
}

/// Days that an event of the calendar closes, or would.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = CalendarEvent)]
pub struct CalendarEventBody {
    /// What it is called there, cut after 80 characters; null of one without a name.
    name: Option<String>,
    first_day: NaiveDate,
    last_day: NaiveDate,
    /// Whether it counts; if not, `only` or `without` leaves it out.
    counts: bool,
}

/// A line of the calendar that is not taken.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = RefusedLine)]
pub struct RefusedLineBody {
    /// Its number, from 1, as an editor shows it.
    line: usize,
    /// Why, as a stable code such as `no_whole_day`.
    code: &'static str,
    /// The same in English.
    detail: String,
}

/// Reads the closed days of a school's calendar (RFC 5545), the text itself, and shuts the site
/// on them: what overlaps or touches a closure becomes part of it. Every event counts that `only`
/// and `without` do not leave out, from today on and as far ahead as a closure can be made by hand:
/// in a calendar with terms, leave out the terms. Without `apply=true` it only says what
/// would come of it. For caretakers, teachers and educators.
#[utoipa::path(
    tag = "turns",
    request_body(
        content = String,
        content_type = "text/calendar",
        description = "The calendar",
        example = json!("BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//school//terms//EN\r\nBEGIN:VEVENT\r\nUID:summer@school.example\r\nDTSTAMP:20260101T000000Z\r\nDTSTART;VALUE=DATE:20270705\r\nDTEND;VALUE=DATE:20270816\r\nSUMMARY:Summer\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"),
    ),
    params(
        ("site_id" = Uuid, Path, description = "The site"),
        ClosureImportQuery,
        KeyHeader,
    ),
    security(("bearer" = [])),
    responses(
        (status = 200, description = "What came of it, or would", body = ImportedClosuresBody),
        responses::Writing,
        (status = 409, description = "calendar_unreadable with the line in `errors`; too_many, \
            or idempotency_key_reused",
            body = ProblemBody, content_type = "application/problem+json"),
        (status = 415, description = "unsupported_media_type: send text/calendar",
            body = ProblemBody, content_type = "application/problem+json"),
    )
)]
#[post("/v1/sites/{site_id}/closures/import")]
pub(super) async fn import_closures(
    state: web::Data<AppState>,
    who: SignedIn,
    site: web::Path<Uuid>,
    request: HttpRequest,
    body: TextBody<Calendar>,
) -> Result<web::Json<ImportedClosuresBody>, Problem> {
    let query: ClosureImportQuery = query::read(&request)?;
    let errand = who.errand(&state, body.ticket).await?;
    let site = SiteId(*site);
    let (voice, _) = reader(&state, &errand, site).await?;
    let days = days_that_count(voice.zone, errand.now);
    let choice = Choice {
        only: parts(query.only.as_deref()),
        without: parts(query.without.as_deref()),
    };
    let read = read_closures(&body.bytes, voice.zone, &days, &choice);
    let ClosedDays {
        spans,
        mut events,
        refused,
    } = read.map_err(|refused| not_read(&refused))?;
    events.retain(|event| event.span.first <= *days.end() && event.span.last >= *days.start());
    let applied = query.apply == Some(true);
    let done = if applied {
        import_days(&state.desk, errand, site, spans).await?
    } else {
        try_days(&state.desk, errand, site, spans).await?
    };
    Ok(web::Json(told(done, applied, events, &refused)))
}

/// A text of which nothing can be taken.
fn not_read(refused: &Refused) -> Problem {
    let error = FieldError::new(format!("/lines/{}", refused.line), refused.why.to_string());
    let detail = format!("Line {}: {}.", refused.line, refused.why);
    Problem::new(&problem::CALENDAR_UNREADABLE, detail).pointing_at(vec![error])
}

/// Parts of names with commas between.
fn parts(typed: Option<&str>) -> Vec<String> {
    let parts = typed.unwrap_or_default().split(',').map(str::trim);
    let parts = parts.filter(|part| !part.is_empty());
    parts.map(str::to_owned).collect()
}

fn told(
    done: ImportedClosures,
    applied: bool,
    events: Vec<NamedDays>,
    refused: &[Refused],
) -> ImportedClosuresBody {
    let event = |event: NamedDays| CalendarEventBody {
        name: event.name,
        first_day: event.span.first,
        last_day: event.span.last,
        counts: event.counts,
    };
    let lines = refused
        .iter()
        .take(MOST_TOLD)
        .map(|refused| RefusedLineBody {
            line: refused.line,
            code: refused.why.code(),
            detail: refused.why.to_string(),
        });
    ImportedClosuresBody {
        applied,
        events: events.into_iter().take(MOST_TOLD).map(event).collect(),
        refused: lines.collect(),
        refused_total: refused.len(),
        closures: done.days.into_iter().map(ImportedDaysBody::from).collect(),
        turns: done.turns.into(),
    }
}

impl From<ImportedDays> for ImportedDaysBody {
    fn from(days: ImportedDays) -> Self {
        Self {
            becomes: days.becomes.code(),
            first_day: days.first_day,
            last_day: days.last_day,
            closure_id: days.closure.map(|closure| closure.0),
        }
    }
}
