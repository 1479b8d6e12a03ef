//! The OpenAPI 3.1 document, generated from the handlers.

use super::problem::{FieldProblem, ProblemBody};
use super::{demo_routes, routes};
use actix_web::App;
use utoipa::openapi::security::{HttpAuthScheme, HttpBuilder, SecurityScheme};
use utoipa::{Modify, OpenApi};
use utoipa_actix_web::AppExt;

#[derive(OpenApi)]
#[openapi(
    info(
        title = "Wormrota",
        description = "Shared worm bins: what each can take today, and what became of it. \
            Quantities carry their unit in their name; times are RFC 3339; errors are \
            problem details (RFC 9457) whose codes `/problems` lists. Send an \
            Idempotency-Key with writes, so that a repetition gets the first answer.",
    ),
    components(schemas(ProblemBody, FieldProblem)),
    modifiers(&BearerTokens),
    tags(
        (name = "sessions", description = "Signing in"),
        (name = "sites", description = "Buildings and schools with shared bins"),
        (name = "bins", description = "Worm bins and what they can take"),
        (name = "feedings", description = "Ask, put in, tell"),
        (name = "bookings", description = "Room booked for a day"),
        (name = "checks", description = "Looking into a bin, and tending its bed"),
        (name = "readings", description = "Measured values, by hand and by probe"),
        (name = "foods", description = "What may go in"),
        (name = "notices", description = "What a caretaker has to know"),
        (name = "demo", description = "Only in the demo: moving its clock"),
        (name = "service", description = "About the service itself"),
    ),
)]
struct Base;

struct BearerTokens;

impl Modify for BearerTokens {
    fn modify(&self, openapi: &mut utoipa::openapi::OpenApi) {
        let scheme = HttpBuilder::new()
            .scheme(HttpAuthScheme::Bearer)
            .bearer_format("JWT")
            .description(Some("The access_token of POST /v1/sessions."))
            .build();
        openapi
            .components
            .get_or_insert_default()
            .add_security_scheme("bearer", SecurityScheme::Http(scheme));
        let probe = HttpBuilder::new()
            .scheme(HttpAuthScheme::Bearer)
            .description(Some("The key of a probe, as shown when it was added."))
            .build();
        openapi
            .components
            .get_or_insert_default()
            .add_security_scheme("probe", SecurityScheme::Http(probe));
    }
}

/// The document for everything that is served.
#[must_use]
pub fn document(demo: bool) -> utoipa::openapi::OpenApi {
    let (_, document) = App::new()
        .into_utoipa_app()
        .openapi(Base::openapi())
        .configure(|config| {
            routes(config);
            if demo {
                demo_routes(config);
            }
        })
        .split_for_parts();
    document
}
