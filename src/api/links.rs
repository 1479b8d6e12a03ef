//! Where answers lead: the OpenAPI links from what was made to what can be done with it.

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
    "index_changes",
    "index_notices",
    "index_bins",
    "create_bin",
    "index_classes",
    "create_class",
    "import_members",
];
const OF_A_CLASS: &[&str] = &[
    "show_class",
    "update_class",
    "end_class",
    "create_pupils",
    "show_sheet",
];
const OF_A_BIN: &[&str] = &[
    "show_bin",
    "create_stocking",
    "show_room",
    "show_forecast",
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
];
const TAKEN_BACK: &[&str] = &["delete_entry"];

const TRAILS: &[Trail] = &[
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
        &["update_pupil", "delete_pupil"],
    ),
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}/classes/{class_id}",
        ("member_id", "$response.body#/adults/0/member_id"),
        &["put_helper", "delete_helper"],
    ),
    trail(
        HttpMethod::Get,
        "/v1/sites/{site_id}/notices",
        ("notice_id", FIRST),
        &["see_notice"],
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
                    let link = RefOr::T(link(trail, to));
                    response.links.insert((*to).to_owned(), link);
                }
            }
        }
    }
}

fn link(trail: &Trail, to: &str) -> Link {
    let (name, place) = trail.found;
    // What the path of the answer named already still holds.
    let kept = ["site_id", "bin_id", "class_id"]
        .into_iter()
        .filter(|known| trail.path.contains(&format!("{{{known}}}")))
        .map(|known| (known, format!("$request.path.{known}")));
    kept.chain([(name, place.to_owned())])
        .fold(
            LinkBuilder::new().operation_id(to),
            |link, (name, place)| link.parameter(name, place),
        )
        .build()
}
