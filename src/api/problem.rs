//! Errors as clients see them: problem details (RFC 9457), from one table.
//!
//! Handlers return [`Problem`]; [`super::finish`] writes it out with the id of the request.
//! What went wrong inside goes to the log, never into a body.

use crate::desk::{BrokenRule, DeskError, FieldError};
use crate::store::StoreError;
use actix_web::http::StatusCode;
use actix_web::{HttpResponse, ResponseError};
use serde::Serialize;
use serde_json::json;
use std::fmt::{self, Write};
use utoipa::ToSchema;
use wormrota_domain::access::Role;
use wormrota_domain::ids::SiteId;

/// Seconds after which a client may come back when the service was not available.
pub const RETRY_AFTER_S: u64 = 2;

/// A kind of problem: one row of the table.
#[derive(Debug, PartialEq, Eq)]
pub struct Kind {
    /// The stable code; `/problems/{code}` explains it.
    pub code: &'static str,
    /// The HTTP status it gets.
    pub status: u16,
    /// What it is called.
    pub title: &'static str,
    /// What whoever gets it should do.
    pub next: &'static str,
}

/// Declares the kinds as constants and as the table.
macro_rules! kinds {
    ($($name:ident = $code:literal, $status:literal, $title:literal, $next:literal;)+) => {
        $(
            #[doc = concat!("`", $code, "`: ", $title, ". ", $next)]
            pub static $name: Kind = Kind {
                code: $code,
                status: $status,
                title: $title,
                next: $next,
            };
        )+

        /// Every kind of problem that the service can answer with.
        pub static KINDS: &[&Kind] = &[$(&$name),+];
    };
}

kinds! {
    BAD_JSON = "bad_json", 400, "The body is not JSON",
        "Mend the body at the line and column that the detail names.";
    BAD_QUERY = "bad_query", 400, "A query parameter cannot be used",
        "Compare the parameters with the OpenAPI document.";
    BAD_KEY = "bad_idempotency_key", 400, "The Idempotency-Key cannot be used",
        "Send 1 to 255 visible ASCII characters, such as a UUID.";
    BAD_IF_MATCH = "bad_if_match", 400, "The If-Match header cannot be used",
        "Send the ETag of what you read, as it came.";
    BAD_REQUEST = "bad_request", 400, "The request cannot be read",
        "Check the client: this is not HTTP as the service understands it.";
    NO_TOKEN = "no_token", 401, "Nobody is signed in",
        "Sign in with POST /v1/sessions and send the token as a bearer token.";
    BAD_TOKEN = "bad_token", 401, "The token is not one of this service",
        "Sign in again.";
    EXPIRED_TOKEN = "expired_token", 401, "The token has expired",
        "Send the refresh token to POST /v1/refresh_tokens/use, or sign in again.";
    SESSION_ENDED = "session_ended", 401, "The session has ended",
        "Sign in again: it was signed out, or its time was over.";
    REFRESH_REFUSED = "refresh_refused", 401, "The refresh token is not good",
        "Sign in again: it is unknown, expired or was used before, which ends its session.";
    LINK_REFUSED = "link_refused", 401, "The link is not good",
        "Ask for a new one: it is unknown, expired, revoked or was used before.";
    SIGN_IN_FAILED = "sign_in_failed", 401, "Address and password do not belong together",
        "Check both and try again.";
    FORBIDDEN = "forbidden", 403, "Your roles do not allow this",
        "Ask somebody whose role allows it.";
    NOT_FOUND = "not_found", 404, "There is no such thing",
        "Check the address; things of sites you do not belong to are not shown.";
    METHOD_NOT_ALLOWED = "method_not_allowed", 405, "This address takes other methods",
        "Use one of the methods in the Allow header.";
    REQUEST_TIMEOUT = "request_timeout", 408, "The request did not arrive in time",
        "Send it again, faster.";
    NAME_TAKEN = "name_taken", 409, "The name is taken",
        "Choose another name.";
    ADDRESS_TAKEN = "address_taken", 409, "There is an account with this address",
        "Sign in with it, or use another address.";
    NOT_STOCKED = "bin_not_stocked", 409, "No worms live in the bin yet",
        "Have a caretaker, teacher or educator stock it first.";
    STOCKED_ALREADY = "bin_stocked_already", 409, "Worms live in the bin already",
        "Nothing: the bin takes food.";
    BOOKED_ALREADY = "booked_already", 409, "You have room booked in this bin for this day",
        "Withdraw the booking first if the amount is to change.";
    BOOKING_ENDED = "booking_ended", 409, "The booking has ended",
        "Make a new one: this one was used up, withdrawn, or its day has passed.";
    ENTRY_STANDS = "entry_stands", 409, "The entry stands",
        "Nothing: it is too old to be taken back, was taken back before, or began the bin's history.";
    CLASS_ENDED = "class_ended", 409, "The class has ended",
        "Make a new class: this one's pupils are erased.";
    LAST_TEACHER = "last_teacher", 409, "The class would be left without a teacher",
        "Name a `successor_id` when you leave, or have an educator name another teacher first (PATCH the class with `teacher_id`), or end the class.";
    IMPORT_REFUSED = "import_refused", 409, "Lines of the list cannot be taken",
        "Mend the lines that `errors` names and send the whole list again; nobody was added.";
    TOO_MANY = "too_many", 409, "There are as many as there may be",
        "Take one away first.";
    NO_FREE_PLACE = "no_free_place", 409, "No place of this turn can be had",
        "Choose another turn (`GET /v1/sites/{site_id}/turns?free=true`), or ask a caretaker or teacher.";
    HELD_ALREADY = "held_already", 409, "A place of this turn is held already",
        "Nothing: nobody holds two places of one turn.";
    NOT_THE_HOLDER = "not_the_holder", 409, "The place is not held by whom it was thought to be",
        "Read the turn again: by now somebody else holds it, or nobody.";
    TURN_OVER = "turn_over", 409, "The turn is over, or does not take place",
        "Choose another turn.";
    TOO_LATE = "too_late", 409, "It is too late to give the place back",
        "Say that you cannot come (post to its `call`), and somebody else is looked for; or ask a caretaker or teacher.";
    PLACE_NEEDED = "place_needed", 409, "The bin needs somebody on this turn",
        "Look for somebody, or give the place to somebody: `need` of the call says why and until when.";
    RULES_BROKEN = "rules_broken", 409, "A rule of the rota would break",
        "Read `broken`: it names each rule, and for whom; choose another turn or another member.";
    ROTA_MOVED_ON = "rota_moved_on", 409, "The rota in force has moved on",
        "Draft again: places, turns or people changed since this draft was begun.";
    ROTA_STATE = "rota_state", 409, "The rota is not in the right state for this",
        "Read the rota: `state` says how far it is.";
    CODE_REFUSED = "code_refused", 409, "This code does not work",
        "Compare it with the paper; if it is right, ask whoever gave it to you for a new one.";
    INVITATION_FOR_ANOTHER = "invitation_for_another", 409, "The invitation is for another address",
        "Sign out and open the link again, or sign in with the address that was invited.";
    ENDED_ALREADY = "ended_already", 409, "It has ended already",
        "Make a new one: this one was used up, has expired, or was taken back.";
    NEEDS_NO_SLIP = "needs_no_slip", 409, "The member needs no slip",
        "Nothing: slips are for residents without an address; others sign in with theirs.";
    LAST_KEEPER = "last_keeper", 409, "Somebody must take over first",
        "Leave that site, or change the roles there, with a `successor_id`: a member who can sign in and who gets the `roles` in the same step.";
    UNKNOWN_PROBE = "unknown_probe", 401, "No probe has this key",
        "Give the probe a key that a caretaker, teacher or educator made for it.";
    FEEDING_REFUSED = "feeding_refused", 409, "The bin cannot take this now",
        "Read `decision`: it says what fits now, when this would fit, and where else it can go.";
    CHANGED_MEANWHILE = "changed_meanwhile", 412, "Somebody changed it since you read it",
        "Read it again, and send your change with the new ETag in If-Match.";
    TOO_LARGE = "body_too_large", 413, "The body is too large",
        "Send less; the limit is in the detail.";
    MEDIA_TYPE = "unsupported_media_type", 415, "The body is of a kind that is not taken",
        "Send application/json (text/csv where a list is taken, text/calendar where a calendar is) in UTF-8 without a content encoding.";
    INVALID_FIELDS = "invalid_fields", 422, "Some fields cannot be used",
        "Mend the fields that `errors` names; nothing was changed.";
    CONFLICTING_FIELDS = "conflicting_fields", 409, "Some fields do not go together, or not with what is known",
        "Mend the fields that `errors` names: each is well formed, but not possible beside the others, the records or the clock.";
    KEY_REUSED = "idempotency_key_reused", 409, "The Idempotency-Key was used for another request",
        "Use a new key for each new request, and the same one only for a repetition.";
    TOO_MANY_REQUESTS = "too_many_requests", 429, "You ask too often",
        "Come back after the seconds in Retry-After, and ask less often from then on.";
    INTERNAL = "internal", 500, "Something is wrong with the service",
        "Report the request id; trying again may not help.";
    UNAVAILABLE = "unavailable", 503, "The service is not available at the moment",
        "Send the same request with the same Idempotency-Key after the seconds in Retry-After.";
}

/// The table as Markdown.
#[must_use]
pub fn as_markdown() -> String {
    let mut text =
        String::from("| code | status | meaning | what to do |\n| --- | --- | --- | --- |\n");
    for Kind {
        code,
        status,
        title,
        next,
    } in KINDS
    {
        // Writing to a String cannot fail.
        let _ = writeln!(text, "| `{code}` | {status} | {title} | {next} |");
    }
    text
}

/// One problem, ready to be written out.
#[derive(Debug, Clone)]
pub struct Problem {
    /// Its row of the table.
    pub kind: &'static Kind,
    // Boxed, since it travels in every `Result` of a handler.
    this_time: Box<ThisTime>,
}

#[derive(Debug, Clone, Default)]
struct ThisTime {
    detail: String,
    errors: Vec<FieldError>,
    more: serde_json::Map<String, serde_json::Value>,
    allow: Option<String>,
    inside: Option<String>,
    wait_s: Option<u64>,
}

impl Problem {
    /// A problem with nothing to add but its detail: what happened this time, for people.
    #[must_use]
    pub fn new(kind: &'static Kind, detail: impl Into<String>) -> Self {
        Self {
            kind,
            this_time: Box::new(ThisTime {
                detail: detail.into(),
                ..ThisTime::default()
            }),
        }
    }

    /// Fields of the input that cannot be used.
    #[must_use]
    pub fn fields(errors: Vec<FieldError>) -> Self {
        Self::new(
            &INVALID_FIELDS,
            "Nothing was changed, because some fields cannot be used.",
        )
        .pointing_at(errors)
    }

    /// Fields that are well formed, but not possible together, or now, or here.
    #[must_use]
    pub fn conflicts(errors: Vec<FieldError>) -> Self {
        Self::new(
            &CONFLICTING_FIELDS,
            "Nothing was changed, because some fields do not go together, or not with what is known.",
        )
        .pointing_at(errors)
    }

    /// Something was tried too often.
    #[must_use]
    pub fn too_often(wait_s: u64) -> Self {
        Self::new(
            &TOO_MANY_REQUESTS,
            format!("That was too often; come back in {wait_s} seconds."),
        )
        .come_back_in(wait_s)
    }

    /// With the fields that are wrong.
    #[must_use]
    pub fn pointing_at(mut self, errors: Vec<FieldError>) -> Self {
        self.this_time.errors = errors;
        self
    }

    /// With one more member in the body, such as a decision.
    #[must_use]
    pub fn with(mut self, name: &str, value: serde_json::Value) -> Self {
        self.this_time.more.insert(name.to_owned(), value);
        self
    }

    /// With the methods for an Allow header.
    #[must_use]
    pub fn allowing(mut self, methods: &str) -> Self {
        self.this_time.allow = Some(methods.to_owned());
        self
    }

    /// With the seconds after which to come back.
    #[must_use]
    pub fn come_back_in(mut self, seconds: u64) -> Self {
        self.this_time.wait_s = Some(seconds);
        self
    }

    /// With what went wrong inside, for the log only.
    #[must_use]
    pub fn because(mut self, inside: impl fmt::Display) -> Self {
        self.this_time.inside = Some(inside.to_string());
        self
    }

    /// What happened this time, for people.
    #[must_use]
    pub fn detail(&self) -> &str {
        &self.this_time.detail
    }

    /// Which fields are wrong, if fields are.
    #[must_use]
    pub fn errors(&self) -> &[FieldError] {
        &self.this_time.errors
    }

    /// What went wrong inside, for the log only.
    #[must_use]
    pub fn inside(&self) -> Option<&str> {
        self.this_time.inside.as_deref()
    }

    /// The response with its headers; `request_id` goes into the body too.
    #[must_use]
    pub fn response(&self, request_id: &str) -> HttpResponse {
        let mut response = HttpResponse::build(self.status_code());
        if self.kind.status == 401 {
            let challenge = match self.kind.code {
                "bad_token" | "expired_token" | "session_ended" => {
                    r#"Bearer realm="wormrota", error="invalid_token""#
                }
                _ => r#"Bearer realm="wormrota""#,
            };
            response.insert_header(("WWW-Authenticate", challenge));
        }
        let usual = (self.kind.status == 503).then_some(RETRY_AFTER_S);
        if let Some(seconds) = self.this_time.wait_s.or(usual) {
            response.insert_header(("Retry-After", seconds.to_string()));
        }
        if let Some(allow) = &self.this_time.allow {
            response.insert_header(("Allow", allow.clone()));
        }
        response
            .content_type("application/problem+json")
            .json(self.body(request_id))
    }

    fn body(&self, request_id: &str) -> ProblemBody {
        ProblemBody {
            r#type: format!("/problems/{}", self.kind.code),
            title: self.kind.title.to_owned(),
            status: self.kind.status,
            code: self.kind.code.to_owned(),
            detail: self.this_time.detail.clone(),
            request_id: request_id.to_owned(),
            errors: self
                .this_time
                .errors
                .iter()
                .map(|error| FieldProblem {
                    pointer: error.pointer.clone(),
                    detail: error.detail.clone(),
                })
                .collect(),
            more: self.this_time.more.clone(),
        }
    }
}

/// The body of a problem.
#[derive(Debug, Serialize, ToSchema)]
#[schema(as = Problem)]
pub struct ProblemBody {
    /// Where this kind of problem is explained, relative to the service.
    #[schema(example = "/problems/invalid_fields")]
    r#type: String,
    /// What the kind is called.
    title: String,
    /// The HTTP status.
    status: u16,
    /// The stable code of the kind.
    #[schema(example = "invalid_fields")]
    code: String,
    /// What happened this time.
    detail: String,
    /// The id of the request, as in the X-Request-Id header and in the log.
    request_id: String,
    /// Which fields are wrong, if fields are.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    errors: Vec<FieldProblem>,
    /// Further members that a kind has, such as the decision on a refused feeding.
    #[serde(flatten)]
    #[schema(ignore)]
    more: serde_json::Map<String, serde_json::Value>,
}

/// One field that cannot be used.
#[derive(Debug, Serialize, ToSchema)]
pub struct FieldProblem {
    /// A JSON pointer (RFC 6901) into the body.
    #[schema(example = "/amount_kg")]
    pointer: String,
    /// What it must be.
    detail: String,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.kind.code)
    }
}

impl ResponseError for Problem {
    fn status_code(&self) -> StatusCode {
        StatusCode::from_u16(self.kind.status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR)
    }

    fn error_response(&self) -> HttpResponse {
        self.response("")
    }
}

fn import_refused(errors: Vec<FieldError>, total: usize) -> Problem {
    let told = errors.len();
    let detail =
        format!("Nobody was added. Errors in the list: {total}; `errors` names the first {told}.");
    Problem::new(&IMPORT_REFUSED, detail)
        .pointing_at(errors)
        .with("errors_total", total.into())
}

fn last_keeper(roles: Vec<Role>, site: SiteId) -> Problem {
    let roles: Vec<&str> = roles.into_iter().map(Role::code).collect();
    let detail = format!(
        "The site would be left without a {} who can sign in.",
        roles.join(" and a ")
    );
    Problem::new(&LAST_KEEPER, detail)
        .with("roles", roles.into())
        .with("site_id", site.0.to_string().into())
}

/// Each rule that would break, for whom and where.
fn rules_broken(broken: &[BrokenRule]) -> Problem {
    let listed: Vec<serde_json::Value> = broken
        .iter()
        .map(|broken| {
            json!({
                "member_id": broken.member,
                "turn_id": broken.turn,
                "rule": broken.rule.code(),
            })
        })
        .collect();
    Problem::new(&RULES_BROKEN, "Nothing was changed: rules would break.")
        .with("broken", listed.into())
}

/// The service cannot do something at the moment.
fn not_reached(inside: impl fmt::Display) -> Problem {
    Problem::new(
        &UNAVAILABLE,
        "The service cannot do this just now. Come back in a moment.",
    )
    .because(inside)
}

/// What went wrong with the database.
fn of_the_store(error: StoreError) -> Problem {
    match error {
        StoreError::Unavailable(inside) | StoreError::Lost(inside) => not_reached(inside),
        StoreError::Contended => Problem::new(
            &UNAVAILABLE,
            "Too many people wanted the same at once. Come back in a moment.",
        )
        .because(error),
        error => mistake(error),
    }
}

/// A mistake of the service's own.
fn mistake(inside: impl fmt::Display) -> Problem {
    Problem::new(
        &INTERNAL,
        "The service made a mistake, which is in its log.",
    )
    .because(inside)
}

/// What is about turns, places and rotas.
fn of_turns(error: DeskError) -> Problem {
    match error {
        DeskError::NoFreePlace => {
            Problem::new(&NO_FREE_PLACE, "There is no place on this turn to be had.")
        }
        DeskError::HeldAlready => {
            Problem::new(&HELD_ALREADY, "A place of the turn is held already.")
        }
        DeskError::NotTheHolder => {
            Problem::new(&NOT_THE_HOLDER, "The place has another holder, or none.")
        }
        DeskError::TurnOver => Problem::new(
            &TURN_OVER,
            "Its day or its hours have passed, it was called off, or its pattern does not want it any more.",
        ),
        DeskError::TooLate { last_day } => Problem::new(
            &TOO_LATE,
            format!(
                "It could be given back until the end of {last_day}. Whoever cannot come says so \
                 all the same, by its `call`."
            ),
        ),
        DeskError::PlaceNeeded => Problem::new(
            &PLACE_NEEDED,
            "The bin would go without for longer than it can.",
        ),
        DeskError::RulesBroken(broken) => rules_broken(&broken),
        DeskError::RotaMovedOn => Problem::new(
            &ROTA_MOVED_ON,
            "Places, turns or people changed since the draft was begun.",
        ),
        DeskError::RotaState { state } => {
            Problem::new(&ROTA_STATE, format!("The rota is {state}."))
        }
        other => mistake(other),
    }
}

impl From<DeskError> for Problem {
    fn from(error: DeskError) -> Self {
        match error {
            DeskError::NotFound(noun) => {
                Self::new(&NOT_FOUND, format!("There is no such {}.", noun.word()))
            }
            DeskError::Forbidden(deed) => Self::new(
                &FORBIDDEN,
                format!(
                    "None of your roles at this site allows you to {}.",
                    deed.title()
                ),
            ),
            DeskError::MayNotOpenSites => {
                Self::new(&FORBIDDEN, "Only an educator's account can open a site.")
            }
            DeskError::SignInFailed => Self::new(
                &SIGN_IN_FAILED,
                "There is no account with this address and this password.",
            ),
            DeskError::SessionEnded => Self::new(
                &SESSION_ENDED,
                "This token is of a session that goes on no more.",
            ),
            DeskError::RefreshRefused => {
                Self::new(&REFRESH_REFUSED, "This refresh token opens no session.")
            }
            DeskError::LinkRefused => {
                Self::new(&LINK_REFUSED, "This link cannot be used, or not any more.")
            }
            DeskError::TooOften { wait_s } => Self::too_often(wait_s),
            DeskError::Invalid(errors) => Self::fields(errors),
            DeskError::Conflicting(errors) => Self::conflicts(errors),
            DeskError::NameTaken { pointer } => {
                Self::new(&NAME_TAKEN, "Something else has this name already.")
                    .pointing_at(vec![FieldError::new(pointer, "must not be in use already")])
            }
            DeskError::AddressTaken => Self::new(
                &ADDRESS_TAKEN,
                "There is an account with this address already.",
            ),
            DeskError::NotStocked => {
                Self::new(&NOT_STOCKED, "The bin takes no food until it is stocked.")
            }
            DeskError::StockedAlready => Self::new(&STOCKED_ALREADY, "The bin was stocked before."),
            DeskError::BookedAlready => Self::new(
                &BOOKED_ALREADY,
                "You have room booked in this bin for this day already.",
            ),
            DeskError::BookingEnded => {
                Self::new(&BOOKING_ENDED, "The booking is not open any more.")
            }
            DeskError::EntryStands => Self::new(&ENTRY_STANDS, "This entry can not be taken back."),
            DeskError::ClassEnded => Self::new(&CLASS_ENDED, "The class is over."),
            DeskError::LastTeacher => Self::new(
                &LAST_TEACHER,
                "This is the only teacher of the class, and a class needs one.",
            ),
            DeskError::ImportRefused { errors, total } => import_refused(errors, total),
            rota @ (DeskError::NoFreePlace
            | DeskError::HeldAlready
            | DeskError::NotTheHolder
            | DeskError::TurnOver
            | DeskError::TooLate { .. }
            | DeskError::PlaceNeeded
            | DeskError::RulesBroken(_)
            | DeskError::RotaMovedOn
            | DeskError::RotaState { .. }) => of_turns(rota),
            DeskError::CodeRefused => Self::new(&CODE_REFUSED, "No code like this can be used."),
            DeskError::InvitationForAnother => Self::new(
                &INVITATION_FOR_ANOTHER,
                "You are signed in with another address than the invited one.",
            ),
            DeskError::EndedAlready => Self::new(&ENDED_ALREADY, "It is not in force any more."),
            DeskError::NeedsNoSlip => Self::new(
                &NEEDS_NO_SLIP,
                "Slips are for members who are residents of this site only and have no address.",
            ),
            DeskError::LastKeeper { roles, site } => last_keeper(roles, site),
            DeskError::UnknownProbe => Self::new(&UNKNOWN_PROBE, "No probe has this key."),
            DeskError::TooMany { what } => {
                Self::new(&TOO_MANY, format!("There are too many {what} already."))
            }
            DeskError::ChangedMeanwhile => Self::new(
                &CHANGED_MEANWHILE,
                "If-Match does not name this as it is now; nothing was changed.",
            ),
            DeskError::KeyReused => Self::new(
                &KEY_REUSED,
                "This key came with another method, address or body the first time.",
            ),
            DeskError::Unavailable(inside) => not_reached(inside),
            DeskError::Store(error) | DeskError::Broken(error) => of_the_store(error),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn codes_come_once_and_statuses_are_errors() {
        let codes: BTreeSet<_> = KINDS.iter().map(|kind| kind.code).collect();
        assert_eq!(codes.len(), KINDS.len());
        for kind in KINDS {
            assert!((400..600).contains(&kind.status), "{}", kind.code);
            assert!(
                !kind.title.ends_with('.') && kind.next.ends_with('.'),
                "{}",
                kind.code
            );
        }
    }

    #[test]
    fn every_error_of_the_desk_gets_the_row_of_its_code() {
        use crate::desk::Noun;
        use wormrota_domain::access::Deed;
        let unavailable = || StoreError::Unavailable(String::new());
        for error in [
            DeskError::NotFound(Noun::Bin),
            DeskError::Forbidden(Deed::AddBin),
            DeskError::MayNotOpenSites,
            DeskError::SignInFailed,
            DeskError::SessionEnded,
            DeskError::RefreshRefused,
            DeskError::LinkRefused,
            DeskError::TooOften { wait_s: 1 },
            DeskError::field("/x", "must be y"),
            DeskError::conflict("/x", "must be y"),
            DeskError::NameTaken { pointer: "/name" },
            DeskError::AddressTaken,
            DeskError::NotStocked,
            DeskError::StockedAlready,
            DeskError::BookedAlready,
            DeskError::BookingEnded,
            DeskError::EntryStands,
            DeskError::CodeRefused,
            DeskError::InvitationForAnother,
            DeskError::EndedAlready,
            DeskError::NeedsNoSlip,
            DeskError::LastKeeper {
                roles: vec![Role::Caretaker],
                site: SiteId(uuid::Uuid::nil()),
            },
            DeskError::UnknownProbe,
            DeskError::ClassEnded,
            DeskError::LastTeacher,
            DeskError::ImportRefused {
                errors: Vec::new(),
                total: 1,
            },
            DeskError::TooMany { what: "things" },
            DeskError::ChangedMeanwhile,
            DeskError::KeyReused,
            DeskError::Unavailable(String::new()),
            DeskError::Store(unavailable()),
            DeskError::Store(StoreError::Contended),
            DeskError::broken("x"),
            DeskError::Store(StoreError::Unreadable { what: "x" }),
        ] {
            let code = error.code();
            assert_eq!(Problem::from(error).kind.code, code);
        }
    }

    #[test]
    fn what_went_wrong_inside_stays_inside() {
        let problem = Problem::from(DeskError::broken("relation secret_table is missing"));
        let body = serde_json::to_string(&problem.body("id")).unwrap();
        assert!(!body.contains("secret_table"), "{body}");
    }
}
