//! The table of problems.

use std::fmt::Write;

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
        "Mend the parameter that the detail names; the OpenAPI document lists them all.";
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
    CALENDAR_UNREADABLE = "calendar_unreadable", 409, "The calendar cannot be read",
        "Mend the line that `errors` names, or export the calendar again as iCalendar; nothing was changed.";
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
}
