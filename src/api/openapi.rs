//! The OpenAPI 3.1 document, generated from the handlers.

use super::links::Links;
use super::problem::{FieldProblem, ProblemBody};
use super::together::Together;
use super::{demo_routes, rate, routes};
use actix_web::App;
use utoipa::openapi::schema::ArrayItems;
use utoipa::openapi::security::{HttpAuthScheme, HttpBuilder, SecurityScheme};
use utoipa::openapi::{Ref, RefOr, Schema};
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
    servers((url = "/", description = "Where this document came from")),
    modifiers(&BearerTokens),
    tags(
        (name = "sessions", description = "Signing in and out, and forgotten passwords"),
        (name = "me", description = "One's own account"),
        (name = "sites", description = "Buildings and schools with shared bins"),
        (name = "people", description = "Who belongs to a site, and how people get in"),
        (name = "bins", description = "Worm bins and what they can take"),
        (name = "feedings", description = "Ask, put in, tell"),
        (name = "bookings", description = "Room booked for a day"),
        (name = "checks", description = "Looking into a bin, and tending its bed"),
        (name = "readings", description = "Measured values, by hand and by probe"),
        (name = "foods", description = "What may go in"),
        (name = "notices", description = "What a caretaker has to know"),
        (name = "classes", description = "Classes, their pupils and their adults"),
        (name = "turns", description = "When which bin is due, and who has which place"),
        (name = "rota", description = "Who can when, who holds which place, and rotas: drafted, put up, explained"),
        (name = "cover", description = "Who comes in the stead of who cannot, and what is not covered"),
        (name = "members", description = "Who belongs to a site"),
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
    let (_, mut document) = App::new()
        .into_utoipa_app()
        .openapi(Base::openapi())
        .configure(|config| {
            routes(config);
            if demo {
                demo_routes(config);
            }
        })
        .split_for_parts();
    // What the handlers add stands only now.
    for finish in [
        &OpenDoors as &dyn Modify,
        &PagesOfNamed,
        &Together,
        &Links,
        &rate::Described,
    ] {
        finish.modify(&mut document);
    }
    document
}

/// Says of operations that need nobody to be signed in that it is meant so.
struct OpenDoors;

impl Modify for OpenDoors {
    fn modify(&self, openapi: &mut utoipa::openapi::OpenApi) {
        for item in openapi.paths.paths.values_mut() {
            for operation in [&mut item.get, &mut item.post].into_iter().flatten() {
                operation.security.get_or_insert_default();
            }
        }
    }
}

/// Lets pages name the schema of their items, which the generator writes out in full.
struct PagesOfNamed;

impl Modify for PagesOfNamed {
    fn modify(&self, openapi: &mut utoipa::openapi::OpenApi) {
        let schemas = &mut openapi.components.get_or_insert_default().schemas;
        for (name, schema) in schemas.iter_mut() {
            let (Some(item), RefOr::T(Schema::Object(page))) =
                (name.strip_prefix("PageOf_"), schema)
            else {
                continue;
            };
            if let Some(RefOr::T(Schema::Array(list))) = page.properties.get_mut("items") {
                let named = Ref::from_schema_name(item);
                list.items = ArrayItems::RefOrSchema(Box::new(RefOr::Ref(named)));
            }
        }
    }
}
