//! What is expected: a letter for each role that gets in.

/// An operation and who may.
pub(super) struct Row {
    /// Method and path, as in the document.
    pub(super) operation: &'static str,
    /// Of what, where it makes a difference whose it is.
    pub(super) of: &'static str,
    /// `R`esident, `C`aretaker, `T`eacher, `E`ducator: those who get in.
    pub(super) may: &'static str,
    /// Those who hear that there is no such thing rather than that they may not.
    pub(super) hidden_from: &'static str,
}

pub(super) const fn row(operation: &'static str, may: &'static str) -> Row {
    of(operation, "", may)
}

pub(super) const fn of(operation: &'static str, of: &'static str, may: &'static str) -> Row {
    Row {
        operation,
        of,
        may,
        hidden_from: "",
    }
}

/// What happens at a site.
pub(super) const AT_A_SITE: &[Row] = &[
    row("GET /v1/sites/{site_id}", "RCTE"),
    row("PATCH /v1/sites/{site_id}", "CTE"),
    row("GET /v1/sites/{site_id}/members", "RCTE"),
    of(
        "GET /v1/sites/{site_id}/members/{member_id}",
        "one's own",
        "RCTE",
    ),
    Row {
        hidden_from: "R",
        ..of(
            "GET /v1/sites/{site_id}/members/{member_id}",
            "another's",
            "CTE",
        )
    },
    of(
        "PATCH /v1/sites/{site_id}/members/{member_id}",
        "one's own",
        "RCTE",
    ),
    of(
        "PATCH /v1/sites/{site_id}/members/{member_id}",
        "another's",
        "CTE",
    ),
    of(
        "DELETE /v1/sites/{site_id}/members/{member_id}",
        "another's",
        "CE",
    ),
    row("POST /v1/sites/{site_id}/members/{member_id}/slip", "CTE"),
    of(
        "GET /v1/sites/{site_id}/members/{member_id}/limits",
        "one's own",
        "RCTE",
    ),
    of(
        "GET /v1/sites/{site_id}/members/{member_id}/limits",
        "another's",
        "CTE",
    ),
    of(
        "PUT /v1/sites/{site_id}/members/{member_id}/limits",
        "one's own",
        "RCTE",
    ),
    of(
        "PUT /v1/sites/{site_id}/members/{member_id}/limits",
        "another's",
        "CTE",
    ),
    of(
        "GET /v1/sites/{site_id}/members/{member_id}/absences",
        "one's own",
        "RCTE",
    ),
    of(
        "GET /v1/sites/{site_id}/members/{member_id}/absences",
        "another's",
        "CTE",
    ),
    of(
        "POST /v1/sites/{site_id}/members/{member_id}/absences",
        "one's own",
        "RCTE",
    ),
    of(
        "POST /v1/sites/{site_id}/members/{member_id}/absences",
        "another's",
        "CTE",
    ),
    of(
        "DELETE /v1/sites/{site_id}/members/{member_id}/absences/{absence_id}",
        "one's own",
        "RCTE",
    ),
    of(
        "DELETE /v1/sites/{site_id}/members/{member_id}/absences/{absence_id}",
        "another's",
        "CTE",
    ),
    row("GET /v1/sites/{site_id}/calendar_addresses", "RCTE"),
    row("POST /v1/sites/{site_id}/calendar_addresses", "RCTE"),
    of(
        "DELETE /v1/sites/{site_id}/calendar_addresses/{address_id}",
        "one's own",
        "RCTE",
    ),
    Row {
        hidden_from: "RCTE",
        ..of(
            "DELETE /v1/sites/{site_id}/calendar_addresses/{address_id}",
            "another's",
            "",
        )
    },
    of(
        "PATCH /v1/sites/{site_id}/members/{member_id}/absences/{absence_id}",
        "one's own",
        "CTE",
    ),
    row("GET /v1/sites/{site_id}/apart_pairs", "CT"),
    row("POST /v1/sites/{site_id}/apart_pairs", "CT"),
    row("DELETE /v1/sites/{site_id}/apart_pairs/{pair_id}", "CT"),
    row("GET /v1/sites/{site_id}/households", "RCTE"),
    row("GET /v1/sites/{site_id}/invitations", "CTE"),
    row("POST /v1/sites/{site_id}/invitations", "CTE"),
    row(
        "DELETE /v1/sites/{site_id}/invitations/{invitation_id}",
        "CTE",
    ),
    row(
        "POST /v1/sites/{site_id}/invitations/{invitation_id}/replacement",
        "CTE",
    ),
    row("GET /v1/sites/{site_id}/joining_sheets", "CTE"),
    row("POST /v1/sites/{site_id}/joining_sheets", "CTE"),
    row(
        "DELETE /v1/sites/{site_id}/joining_sheets/{sheet_id}",
        "CTE",
    ),
    row(
        "POST /v1/sites/{site_id}/joining_sheets/{sheet_id}/replacement",
        "CTE",
    ),
    row("GET /v1/sites/{site_id}/newcomers", "CTE"),
    row(
        "POST /v1/sites/{site_id}/newcomers/{member_id}/confirmation",
        "CTE",
    ),
    row("DELETE /v1/sites/{site_id}/newcomers/{member_id}", "CTE"),
    row("POST /v1/sites/{site_id}/bins/{bin_id}/lid_code", "CTE"),
    row("GET /v1/sites/{site_id}/changes", "E"),
    row("GET /v1/sites/{site_id}/letters", "CTE"),
    row("GET /v1/sites/{site_id}/notices", "CTE"),
    row("POST /v1/sites/{site_id}/notices/{notice_id}/seen", "CTE"),
    row("GET /v1/sites/{site_id}/bins", "RCTE"),
    row("POST /v1/sites/{site_id}/bins", "E"),
    row("GET /v1/sites/{site_id}/bins/{bin_id}", "RCTE"),
    row("POST /v1/sites/{site_id}/bins/{bin_id}/stockings", "CTE"),
    row("GET /v1/sites/{site_id}/bins/{bin_id}/room", "RCTE"),
    row("GET /v1/sites/{site_id}/bins/{bin_id}/forecast", "RCTE"),
    row("GET /v1/sites/{site_id}/bins/{bin_id}/facts", "RCTE"),
    row("GET /v1/sites/{site_id}/bins/{bin_id}/feedings", "RCTE"),
    row("POST /v1/sites/{site_id}/bins/{bin_id}/feedings", "RCTE"),
    row(
        "POST /v1/sites/{site_id}/bins/{bin_id}/feedings/ask",
        "RCTE",
    ),
    row(
        "POST /v1/sites/{site_id}/bins/{bin_id}/feedings/told",
        "RCTE",
    ),
    row("GET /v1/sites/{site_id}/bins/{bin_id}/bookings", "RCTE"),
    row("POST /v1/sites/{site_id}/bins/{bin_id}/bookings", "RCTE"),
    of(
        "DELETE /v1/sites/{site_id}/bins/{bin_id}/bookings/{booking_id}",
        "one's own",
        "RCTE",
    ),
    of(
        "DELETE /v1/sites/{site_id}/bins/{bin_id}/bookings/{booking_id}",
        "another's",
        "CTE",
    ),
    row("POST /v1/sites/{site_id}/bins/{bin_id}/checks", "RCTE"),
    row("POST /v1/sites/{site_id}/bins/{bin_id}/beddings", "RCTE"),
    row("POST /v1/sites/{site_id}/bins/{bin_id}/removals", "RCTE"),
    row("POST /v1/sites/{site_id}/bins/{bin_id}/sides", "RCTE"),
    of(
        "DELETE /v1/sites/{site_id}/bins/{bin_id}/entries/{entry_id}",
        "one's own",
        "RCTE",
    ),
    of(
        "DELETE /v1/sites/{site_id}/bins/{bin_id}/entries/{entry_id}",
        "another's",
        "CTE",
    ),
    row("GET /v1/sites/{site_id}/bins/{bin_id}/readings", "RCTE"),
    row("POST /v1/sites/{site_id}/bins/{bin_id}/readings", "RCTE"),
    row("GET /v1/sites/{site_id}/bins/{bin_id}/probes", "CTE"),
    row("POST /v1/sites/{site_id}/bins/{bin_id}/probes", "CTE"),
    row(
        "DELETE /v1/sites/{site_id}/bins/{bin_id}/probes/{probe_id}",
        "CTE",
    ),
];

/// Classes: an educator's are all of the site, others' are those of which they are an adult.
/// Another's is hidden from whoever keeps classes; whoever keeps none hears that.
pub(super) const CLASSES: &[Row] = &[
    row("POST /v1/sites/{site_id}/imports", "CTE"),
    row("GET /v1/sites/{site_id}/classes", "RCTE"),
    row("POST /v1/sites/{site_id}/classes", "TE"),
    own("GET /v1/sites/{site_id}/classes/{class_id}", "RCTE"),
    hidden("GET /v1/sites/{site_id}/classes/{class_id}", "RCT"),
    own("GET /v1/sites/{site_id}/classes/{class_id}/sheet", "RCTE"),
    hidden("GET /v1/sites/{site_id}/classes/{class_id}/sheet", "RCT"),
    own("PATCH /v1/sites/{site_id}/classes/{class_id}", "TE"),
    hidden("PATCH /v1/sites/{site_id}/classes/{class_id}", "T"),
    own("POST /v1/sites/{site_id}/classes/{class_id}/end", "TE"),
    hidden("POST /v1/sites/{site_id}/classes/{class_id}/end", "T"),
    own("POST /v1/sites/{site_id}/classes/{class_id}/pupils", "TE"),
    hidden("POST /v1/sites/{site_id}/classes/{class_id}/pupils", "T"),
    own(
        "PATCH /v1/sites/{site_id}/classes/{class_id}/pupils/{pupil_id}",
        "TE",
    ),
    hidden(
        "PATCH /v1/sites/{site_id}/classes/{class_id}/pupils/{pupil_id}",
        "T",
    ),
    own(
        "DELETE /v1/sites/{site_id}/classes/{class_id}/pupils/{pupil_id}",
        "TE",
    ),
    hidden(
        "DELETE /v1/sites/{site_id}/classes/{class_id}/pupils/{pupil_id}",
        "T",
    ),
    own(
        "PUT /v1/sites/{site_id}/classes/{class_id}/helpers/{member_id}",
        "TE",
    ),
    hidden(
        "PUT /v1/sites/{site_id}/classes/{class_id}/helpers/{member_id}",
        "T",
    ),
    own(
        "DELETE /v1/sites/{site_id}/classes/{class_id}/helpers/{member_id}",
        "TE",
    ),
    hidden(
        "DELETE /v1/sites/{site_id}/classes/{class_id}/helpers/{member_id}",
        "T",
    ),
    own("GET /v1/sites/{site_id}/classes/{class_id}/duty", "RCTE"),
    hidden("GET /v1/sites/{site_id}/classes/{class_id}/duty", "RCT"),
    own("POST /v1/sites/{site_id}/classes/{class_id}/duty", "TE"),
    hidden("POST /v1/sites/{site_id}/classes/{class_id}/duty", "T"),
    own(
        "PUT /v1/sites/{site_id}/classes/{class_id}/duty/{place_id}",
        "TE",
    ),
    hidden(
        "PUT /v1/sites/{site_id}/classes/{class_id}/duty/{place_id}",
        "T",
    ),
    own(
        "POST /v1/sites/{site_id}/classes/{class_id}/duty/{place_id}/exchange",
        "TE",
    ),
    hidden(
        "POST /v1/sites/{site_id}/classes/{class_id}/duty/{place_id}/exchange",
        "T",
    ),
    own(
        "POST /v1/sites/{site_id}/classes/{class_id}/pupils/{pupil_id}/absences",
        "TE",
    ),
    hidden(
        "POST /v1/sites/{site_id}/classes/{class_id}/pupils/{pupil_id}/absences",
        "T",
    ),
    own(
        "DELETE /v1/sites/{site_id}/classes/{class_id}/pupils/{pupil_id}/absences/{on_date}",
        "TE",
    ),
    hidden(
        "DELETE /v1/sites/{site_id}/classes/{class_id}/pupils/{pupil_id}/absences/{on_date}",
        "T",
    ),
];

const fn own(operation: &'static str, may: &'static str) -> Row {
    of(operation, "one's own", may)
}

/// Another's class: only an educator gets in.
const fn hidden(operation: &'static str, hidden_from: &'static str) -> Row {
    Row {
        operation,
        of: "another's",
        may: "E",
        hidden_from,
    }
}

/// Rotas: drafts do not exist for who cannot make them.
pub(super) const ROTAS: &[Row] = &[
    row("GET /v1/sites/{site_id}/rotas", "RCTE"),
    row("POST /v1/sites/{site_id}/rotas", "CTE"),
    of(
        "GET /v1/sites/{site_id}/rotas/{rota_id}",
        "in force",
        "RCTE",
    ),
    Row {
        hidden_from: "R",
        ..of("GET /v1/sites/{site_id}/rotas/{rota_id}", "a draft", "CTE")
    },
    row("DELETE /v1/sites/{site_id}/rotas/{rota_id}", "CTE"),
    row("GET /v1/sites/{site_id}/rotas/{rota_id}/places", "CTE"),
    row("POST /v1/sites/{site_id}/rotas/{rota_id}/put_up", "CTE"),
    of(
        "GET /v1/sites/{site_id}/rotas/{rota_id}/reasons",
        "one's own",
        "RCTE",
    ),
    of(
        "GET /v1/sites/{site_id}/rotas/{rota_id}/reasons",
        "another's",
        "CT",
    ),
    of(
        "GET /v1/sites/{site_id}/rotas/{rota_id}/comparison",
        "in force",
        "RCTE",
    ),
    of(
        "GET /v1/sites/{site_id}/rotas/{rota_id}/members",
        "in force",
        "RCTE",
    ),
    of(
        "GET /v1/sites/{site_id}/rotas/{rota_id}/empty_places",
        "in force",
        "RCTE",
    ),
];

/// What everybody may who is signed in, about themselves or about no site.
pub(super) const OF_ONESELF: &[Row] = &[
    row("GET /v1/sites", ""),
    row("GET /v1/foods", ""),
    row("GET /v1/me", ""),
    row("GET /v1/me/links", ""),
    row("GET /v1/sessions", ""),
    row("GET /v1/me/export", ""),
    row("PUT /v1/me/password", ""),
    row("DELETE /v1/me/links/{link_id}", ""),
    row("DELETE /v1/sessions/{session_id}", ""),
    row("DELETE /v1/sessions", ""),
    row("POST /v1/me/erasure", ""),
    row("POST /v1/demo/clock", ""),
];

/// What needs no token, and what has keys or rules of its own with tests of their own. This
/// list may only shrink.
pub(super) const TESTED_ELSEWHERE: &[&str] = &[
    "GET /health/live",
    "GET /health/ready",
    "GET /openapi.json",
    "GET /problems",
    "GET /problems/{code}",
    // Whoever knows address and password: signing_in.rs.
    "POST /v1/sessions",
    // Ways to sign in and to stay so: signing_in.rs, sessions.rs, account_links.rs, passwords.rs.
    "POST /v1/refresh_tokens/use",
    "POST /v1/sign_in_links/use",
    "POST /v1/sign_in_links",
    "POST /v1/password_resets",
    "POST /v1/password_resets/use",
    // Whoever has the secret of a link or a code: invitations.rs, joining.rs, slips.rs, lids.rs.
    "POST /v1/invitations/accept",
    "POST /v1/joinings",
    "POST /v1/slips/use",
    "GET /v1/lids/{code}",
    // Whoever has a probe's key: knowing/probes.rs.
    "POST /v1/probe/readings",
    // Educators' accounts, whatever they are at a site: sites.rs.
    "POST /v1/sites",
];
