//! The problems that handlers have in common, for the OpenAPI document.

use super::problem::ProblemBody;
use std::collections::BTreeMap;
use utoipa::openapi::{ContentBuilder, HeaderBuilder, Ref, RefOr, Response, ResponseBuilder};
use utoipa::{IntoResponses, ToSchema};

type Responses = BTreeMap<String, RefOr<Response>>;

fn problems(statuses: &[(&str, &str)]) -> Responses {
    statuses
        .iter()
        .map(|(status, description)| {
            let content = ContentBuilder::new()
                .schema(Some(Ref::from_schema_name(ProblemBody::name())))
                .build();
            let mut response = ResponseBuilder::new()
                .description(*description)
                .content("application/problem+json", content);
            for (name, meaning) in headers(status) {
                let header = HeaderBuilder::new().description(Some(*meaning)).build();
                response = response.header(*name, header);
            }
            let response = response.build();
            ((*status).to_owned(), RefOr::T(response))
        })
        .collect()
}

/// Headers that a problem of a status comes with.
fn headers(status: &str) -> &'static [(&'static str, &'static str)] {
    match status {
        "401" => &[("WWW-Authenticate", "How to sign in (RFC 6750)")],
        "429" => &[
            ("Retry-After", "Seconds after which to come back"),
            super::rate::POLICY,
            super::rate::LEFT,
        ],
        "503" => &[("Retry-After", "Seconds after which to come back")],
        _ => &[],
    }
}

const BROKEN: (&str, &str) = ("500", "internal: something is wrong with the service");
const AWAY: (&str, &str) = ("503", "unavailable: come back after Retry-After");
const RATE: (&str, &str) = ("429", "too_many_requests: come back after Retry-After");
const TOKEN: (&str, &str) = (
    "401",
    "no_token, bad_token, expired_token or session_ended: sign in",
);
const STRANGER: (&str, &str) = ("404", "not_found: no such thing, or not yours to see");
const ROLE: (&str, &str) = ("403", "forbidden: your roles do not allow this");
const QUERY: (&str, &str) = ("400", "bad_query: a query parameter cannot be used");
const BODY: [(&str, &str); 5] = [
    (
        "400",
        "bad_json, bad_idempotency_key or bad_if_match: the request cannot be read",
    ),
    ("408", "request_timeout: the body did not arrive in time"),
    ("413", "body_too_large: send less"),
    ("415", "unsupported_media_type: send application/json"),
    (
        "422",
        "invalid_fields: mend the fields that errors names; this document says what they take",
    ),
];

/// Of what anybody may read.
pub struct Public;

impl IntoResponses for Public {
    fn responses() -> Responses {
        problems(&[BROKEN, AWAY])
    }
}

/// Of reading something while signed in.
pub struct Reading;

impl IntoResponses for Reading {
    fn responses() -> Responses {
        problems(&[QUERY, TOKEN, ROLE, STRANGER, RATE, BROKEN, AWAY])
    }
}

/// Of reading what is one's own.
pub struct Own;

impl IntoResponses for Own {
    fn responses() -> Responses {
        problems(&[TOKEN, RATE, BROKEN, AWAY])
    }
}

/// Of sending a body without being signed in.
pub struct SigningIn;

impl IntoResponses for SigningIn {
    fn responses() -> Responses {
        let failed = (
            "401",
            "sign_in_failed: address and password do not belong together",
        );
        problems(&[&BODY[..], &[failed, RATE, BROKEN, AWAY]].concat())
    }
}

/// Of showing a refresh token.
pub struct Refreshing;

impl IntoResponses for Refreshing {
    fn responses() -> Responses {
        let refused = ("401", "refresh_refused: sign in again");
        problems(&[&BODY[..], &[refused, RATE, BROKEN, AWAY]].concat())
    }
}

/// Of asking for a letter without being signed in.
pub struct Asking;

impl IntoResponses for Asking {
    fn responses() -> Responses {
        problems(&[&BODY[..], &[RATE, BROKEN, AWAY]].concat())
    }
}

/// Of using a link.
pub struct UsingLink;

impl IntoResponses for UsingLink {
    fn responses() -> Responses {
        let refused = ("401", "link_refused: ask for a new link");
        let guessable = ("409", "conflicting_fields: choose another password");
        problems(&[&BODY[..], &[refused, guessable, RATE, BROKEN, AWAY]].concat())
    }
}

/// Of sending a body while signed in.
pub struct Writing;

impl IntoResponses for Writing {
    fn responses() -> Responses {
        let taken = (
            "409",
            "conflicting_fields, idempotency_key_reused, name_taken, or another conflict with \
             what is there",
        );
        problems(
            &[
                &BODY[..],
                &[TOKEN, ROLE, STRANGER, taken, RATE, BROKEN, AWAY],
            ]
            .concat(),
        )
    }
}

/// Of taking something of one's own away.
pub struct DeletingOwn;

impl IntoResponses for DeletingOwn {
    fn responses() -> Responses {
        problems(&[TOKEN, STRANGER, RATE, BROKEN, AWAY])
    }
}

/// Of sending a body about oneself.
pub struct WritingOwn;

impl IntoResponses for WritingOwn {
    fn responses() -> Responses {
        let conflict = (
            "409",
            "conflicting_fields: mend the fields that errors names",
        );
        problems(&[&BODY[..], &[TOKEN, conflict, RATE, BROKEN, AWAY]].concat())
    }
}

/// Of reading what a bin can take while signed in.
pub struct ReadingBin;

impl IntoResponses for ReadingBin {
    fn responses() -> Responses {
        let empty = ("409", "bin_not_stocked: no worms live in the bin yet");
        problems(&[QUERY, TOKEN, ROLE, STRANGER, empty, RATE, BROKEN, AWAY])
    }
}

/// Of a probe that sends values.
pub struct Probing;

impl IntoResponses for Probing {
    fn responses() -> Responses {
        let unknown = ("401", "no_token or unknown_probe: no probe has this key");
        let untimely = ("409", "conflicting_fields: not of the time that counts");
        problems(&[&BODY[..], &[unknown, untimely, RATE, BROKEN, AWAY]].concat())
    }
}

/// Of coming with a secret of one's own: a link, or a code from paper.
pub struct LettingIn;

impl IntoResponses for LettingIn {
    fn responses() -> Responses {
        let token = ("401", "bad_token or expired_token, where a token was sent");
        let refused = (
            "409",
            "link_refused, code_refused, invitation_for_another or conflicting_fields",
        );
        problems(&[&BODY[..], &[token, refused, RATE, BROKEN, AWAY]].concat())
    }
}

/// Of reading who holds what in a rota.
pub struct ReadingRota;

impl IntoResponses for ReadingRota {
    fn responses() -> Responses {
        let early = ("409", "rota_state: there is no draft yet");
        problems(&[QUERY, TOKEN, ROLE, STRANGER, early, RATE, BROKEN, AWAY])
    }
}

/// Of doing something with a rota without a body.
pub struct WithRota;

impl IntoResponses for WithRota {
    fn responses() -> Responses {
        let moved = (
            "409",
            "rota_state, or rota_moved_on: places, turns or people changed meanwhile",
        );
        problems(&[TOKEN, ROLE, STRANGER, moved, RATE, BROKEN, AWAY])
    }
}

/// Of reading with the code of a lid.
pub struct ReadingLid;

impl IntoResponses for ReadingLid {
    fn responses() -> Responses {
        let unknown = ("404", "not_found: no lid has this code");
        let empty = ("409", "bin_not_stocked: no worms live in the bin yet");
        problems(&[unknown, empty, RATE, BROKEN, AWAY])
    }
}

/// Of making something anew without a body.
pub struct Replacing;

impl IntoResponses for Replacing {
    fn responses() -> Responses {
        let ended = ("409", "ended_already or needs_no_slip");
        problems(&[TOKEN, ROLE, STRANGER, ended, RATE, BROKEN, AWAY])
    }
}

/// Of taking something away with a query.
pub struct DeletingWithQuery;

impl IntoResponses for DeletingWithQuery {
    fn responses() -> Responses {
        let kept = ("409", "last_keeper or conflicting_fields");
        problems(&[QUERY, TOKEN, ROLE, STRANGER, kept, RATE, BROKEN, AWAY])
    }
}

/// Of taking something away while signed in.
pub struct Deleting;

impl IntoResponses for Deleting {
    fn responses() -> Responses {
        let ended = (
            "409",
            "booking_ended, ended_already, or another conflict with what is there",
        );
        problems(&[TOKEN, ROLE, STRANGER, ended, RATE, BROKEN, AWAY])
    }
}
