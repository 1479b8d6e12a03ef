//! Where answers lead: the OpenAPI links from what was made to what can be done with it.

use std::collections::BTreeMap;
use utoipa::Modify;
use utoipa::openapi::link::{Link, LinkBuilder};
use utoipa::openapi::{HttpMethod, OpenApi, RefOr};

/// What of an answer names something in the operations it leads to.
struct Trail {
    path: &'static str,
    method: HttpMethod,
    status: &'static str,
    /// The parameter that the answer fills, and where the answer has it.
    found: (&'static str, &'static str),
    /// Operations to which it leads.
    to: &'static [&'static str],
}

const ID: &str = "$response.body#/id";
const FIRST: &str = "$response.body#/items/0/id";

const OF_A_SITE: &[&str] = &[
    "show_site",
    "update_site",
    "index_members",
    "index_households",
    "index_invitations",
    "create_invitation",
    "index_joining_sheets",
    "create_joining_sheet",
    "index_newcomers",
    "index_changes",
    "index_letters",
    "index_notices",
    "index_bins",
    "create_bin",
    "index_classes",
    "create_class",
    "import_members",
    "create_trade",
    "create_series",
    "index_patterns",
    "create_pattern",
    "index_closures",
    "create_closure",
    "show_plan_of_days",
    "import_closures",
    "index_turns",
    "create_turn",
    "index_apart_pairs",
    "create_apart_pair",
    "index_rotas",
    "create_rota",
    "index_calendar_addresses",
    "create_calendar_address",
    "index_calls",
    "index_uncovered",
];
const OF_A_CALL: &[&str] = &[
    "show_call",
    "create_call_answer",
    "create_call_assignment",
    "leave_call_empty",
    "search_for_call",
];
const OF_A_ROTA: &[&str] = &[
    "show_rota",
    "delete_rota",
    "index_rota_places",
    "put_up",
    "show_rota_reasons",
    "index_rota_members",
    "index_empty_places",
    "show_rota_comparison",
];
const OF_A_PATTERN: &[&str] = &["show_pattern", "update_pattern", "delete_pattern"];
const OF_A_CLOSURE: &[&str] = &["delete_closure", "show_closure_plan", "create_visits"];
const OF_A_TURN: &[&str] = &["show_turn", "update_turn", "create_place"];
const OF_A_CLASS: &[&str] = &[
    "show_class",
    "update_class",
    "end_class",
    "create_pupils",
    "show_sheet",
    "show_duty",
    "create_duty",
];
const OF_A_BIN: &[&str] = &[
    "show_bin",
    "create_stocking",
    "show_room",
    "show_forecast",
    "show_rhythm",
    "show_facts",
    "ask_feeding",
    "create_feeding",
    "tell_feeding",
    "index_feedings",
    "create_booking",
    "index_bookings",
    "create_check",
    "create_bedding",
    "create_removal",
    "create_side",
    "create_readings",
    "index_readings",
    "create_probe",
    "index_probes",
    "create_lid_code",
];
const OF_A_MEMBER: &[&str] = &[
    "show_member",
    "update_member",
    "delete_member",
    "create_slip",
    "show_limits",
    "put_limits",
    "index_absences",
    "create_absence",
];
const OF_AN_INVITATION: &[&str] = &["delete_invitation", "replace_invitation_link"];
const OF_A_SHEET: &[&str] = &["delete_joining_sheet", "replace_joining_sheet"];
const OF_A_PLACE: &[&str] = &["update_place", "delete_place", "create_call"];
const TAKEN_BACK: &[&str] = &["delete_entry"];

const SESSION: &str = "$response.body#/session_id";

const TRAILS: &[Trail] = &[
    made("/v1/sessions", ("session_id", SESSION), &["delete_session"]),
    trail(
        HttpMethod::Get,
        "/v1/sessions",
        ("session_id", FIRST),
        &["delete_session"],
    ),
    trail(
        HttpMethod::Get,
        "/v1/me",
        ("site_id", "$response.body#/memberships/0/site_id"),
        OF_A_SITE,
    ),
    trail(
        HttpMethod::Get,
        "/v1/me/links",
        ("link_id", FIRST),
        &["delete_my_link"],
    ),
    trail(HttpMethod::Get, "/v1/sites", ("site_id", FIRST), OF_A_SITE),
    made("/v1/sites", ("site_id", ID), OF_A_SITE),
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}",
        ("If-Match", "$response.header.ETag"),
        &["update_site"],
    ),
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}/members",
        ("member_id", FIRST),
        OF_A_MEMBER,
    ),
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}/members/{member_id}",
        ("If-Match", "$response.header.ETag"),
        &["update_member"],
    ),
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}/members/{member_id}/limits",
        ("If-Match", "$response.header.ETag"),
        &["put_limits"],
    ),
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}/members/{member_id}/absences",
        ("absence_id", FIRST),
        &["update_absence", "delete_absence"],
    ),
    made(
        "/v1/sites/{site_id}/members/{member_id}/absences",
        ("absence_id", ID),
        &["update_absence", "delete_absence"],
    ),
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}/calendar_addresses",
        ("address_id", FIRST),
        &["delete_calendar_address"],
    ),
    made(
        "/v1/sites/{site_id}/calendar_addresses",
        ("address_id", ID),
        &["delete_calendar_address"],
    ),
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}/apart_pairs",
        ("pair_id", FIRST),
        &["delete_apart_pair"],
    ),
    made(
        "/v1/sites/{site_id}/apart_pairs",
        ("pair_id", ID),
        &["delete_apart_pair"],
    ),
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}/invitations",
        ("invitation_id", FIRST),
        OF_AN_INVITATION,
    ),
    made(
        "/v1/sites/{site_id}/invitations",
        ("invitation_id", ID),
        OF_AN_INVITATION,
    ),
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}/joining_sheets",
        ("sheet_id", FIRST),
        OF_A_SHEET,
    ),
    made(
        "/v1/sites/{site_id}/joining_sheets",
        ("sheet_id", ID),
        OF_A_SHEET,
    ),
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}/newcomers",
        ("member_id", FIRST),
        &["confirm_newcomer", "delete_newcomer"],
    ),
    made(
        "/v1/sites/{site_id}/newcomers/{member_id}/confirmation",
        ("member_id", ID),
        OF_A_MEMBER,
    ),
    made(
        "/v1/sites/{site_id}/bins/{bin_id}/lid_code",
        ("code", "$response.body#/code"),
        &["show_lid"],
    ),
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}/bins",
        ("bin_id", FIRST),
        OF_A_BIN,
    ),
    made("/v1/sites/{site_id}/bins", ("bin_id", ID), OF_A_BIN),
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}/classes",
        ("class_id", FIRST),
        OF_A_CLASS,
    ),
    made("/v1/sites/{site_id}/classes", ("class_id", ID), OF_A_CLASS),
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}/classes/{class_id}",
        ("pupil_id", "$response.body#/pupils/0/id"),
        &["update_pupil", "delete_pupil", "create_pupil_absence"],
    ),
    made(
        "/v1/sites/{site_id}/classes/{class_id}/pupils/{pupil_id}/absences",
        ("on_date", "$response.body#/on_date"),
        &["delete_pupil_absence"],
    ),
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}/classes/{class_id}/duty",
        ("place_id", "$response.body#/turns/0/places/0/place_id"),
        &["put_duty_place", "exchange_duty_place"],
    ),
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}/classes/{class_id}",
        ("member_id", "$response.body#/adults/0/member_id"),
        &["put_helper", "delete_helper"],
    ),
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}/rotas",
        ("rota_id", FIRST),
        OF_A_ROTA,
    ),
    Trail {
        status: "202",
        ..made("/v1/sites/{site_id}/rotas", ("rota_id", ID), OF_A_ROTA)
    },
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}/calls",
        ("call_id", FIRST),
        OF_A_CALL,
    ),
    made(
        "/v1/sites/{site_id}/turns/{turn_id}/places/{place_id}/call",
        ("call_id", "$response.body#/call_id"),
        OF_A_CALL,
    ),
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}/notices",
        ("notice_id", FIRST),
        &["see_notice"],
    ),
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}/patterns",
        ("pattern_id", FIRST),
        OF_A_PATTERN,
    ),
    made(
        "/v1/sites/{site_id}/patterns",
        ("pattern_id", ID),
        OF_A_PATTERN,
    ),
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}/patterns/{pattern_id}",
        ("If-Match", "$response.header.ETag"),
        &["update_pattern"],
    ),
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}/closures",
        ("closure_id", FIRST),
        OF_A_CLOSURE,
    ),
    made(
        "/v1/sites/{site_id}/closures",
        ("closure_id", ID),
        OF_A_CLOSURE,
    ),
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}/turns",
        ("turn_id", FIRST),
        OF_A_TURN,
    ),
    made("/v1/sites/{site_id}/turns", ("turn_id", ID), OF_A_TURN),
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}/turns/{turn_id}",
        ("bin_id", "$response.body#/bin_id"),
        &["show_forecast", "show_room"],
    ),
    made(
        "/v1/sites/{site_id}/bins/{bin_id}/stockings",
        ("entry_id", ID),
        TAKEN_BACK,
    ),
    made(
        "/v1/sites/{site_id}/bins/{bin_id}/feedings",
        ("entry_id", ID),
        TAKEN_BACK,
    ),
    made(
        "/v1/sites/{site_id}/bins/{bin_id}/feedings/told",
        ("entry_id", ID),
        TAKEN_BACK,
    ),
    made(
        "/v1/sites/{site_id}/bins/{bin_id}/checks",
        ("entry_id", ID),
        TAKEN_BACK,
    ),
    made(
        "/v1/sites/{site_id}/bins/{bin_id}/beddings",
        ("entry_id", ID),
        TAKEN_BACK,
    ),
    made(
        "/v1/sites/{site_id}/bins/{bin_id}/removals",
        ("entry_id", ID),
        TAKEN_BACK,
    ),
    made(
        "/v1/sites/{site_id}/bins/{bin_id}/sides",
        ("entry_id", ID),
        TAKEN_BACK,
    ),
    made(
        "/v1/sites/{site_id}/bins/{bin_id}/bookings",
        ("booking_id", ID),
        &["delete_booking"],
    ),
    made(
        "/v1/sites/{site_id}/turns/{turn_id}/places",
        ("place_id", ID),
        OF_A_PLACE,
    ),
    made(
        "/v1/sites/{site_id}/bins/{bin_id}/probes",
        ("probe_id", ID),
        &["delete_probe"],
    ),
];

const fn made(
    path: &'static str,
    found: (&'static str, &'static str),
    to: &'static [&'static str],
) -> Trail {
    Trail {
        path,
        method: HttpMethod::Post,
        status: "201",
        found,
        to,
    }
}

const fn trail(
    method: HttpMethod,
    path: &'static str,
    found: (&'static str, &'static str),
    to: &'static [&'static str],
) -> Trail {
    Trail {
        path,
        method,
        status: "200",
        found,
        to,
    }
}

/// Puts the links into the document.
pub(super) struct Links;

impl Modify for Links {
    fn modify(&self, openapi: &mut OpenApi) {
        let asks_for = paths_by_id(openapi);
        for trail in TRAILS {
            let Some(item) = openapi.paths.paths.get_mut(trail.path) else {
                continue;
            };
            let operation = match trail.method {
                HttpMethod::Get => item.get.as_mut(),
                _ => item.post.as_mut(),
            };
            let response = operation.and_then(|it| it.responses.responses.get_mut(trail.status));
            if let Some(RefOr::T(response)) = response {
                for to in trail.to {
                    let path = asks_for.get(*to).map(String::as_str).unwrap_or_default();
                    let link = RefOr::T(link(trail, to, path));
                    response.links.insert((*to).to_owned(), link);
                }
            }
        }
    }
}

/// The path of each operation.
fn paths_by_id(openapi: &OpenApi) -> BTreeMap<String, String> {
    let mut found = BTreeMap::new();
    for (path, item) in &openapi.paths.paths {
        for operation in [&item.get, &item.post, &item.put, &item.patch, &item.delete] {
            let id = operation.as_ref().and_then(|it| it.operation_id.clone());
            found.extend(id.map(|id| (id, path.clone())));
        }
    }
    found
}

fn link(trail: &Trail, to: &str, target: &str) -> Link {
    let (name, place) = trail.found;
    // What the path of the answer named already still holds, where it is asked for.
    let kept = [
        "site_id",
        "bin_id",
        "member_id",
        "class_id",
        "pattern_id",
        "turn_id",
        "pupil_id",
    ]
    .into_iter()
    .filter(|known| *known != name)
    .filter(|known| {
        let part = format!("{{{known}}}");
        trail.path.contains(&part) && target.contains(&part)
    })
    .map(|known| (known, format!("$request.path.{known}")));
    kept.chain([(name, place.to_owned())])
        .fold(
            LinkBuilder::new().operation_id(to),
            |link, (name, place)| link.parameter(name, place),
        )
        .build()
}
