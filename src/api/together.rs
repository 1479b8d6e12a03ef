//! What the fields of a body must be together, said in its schema. `derive(ToSchema)` has
//! words for each field only.

use super::schemas::{and_any_of, any, having};
use utoipa::Modify;
use utoipa::openapi::schema::{Object, ObjectBuilder, SchemaType};
use utoipa::openapi::{ArrayBuilder, OpenApi, RefOr, Schema, Type};

/// Adds to the schemas of bodies what their fields must be together.
pub(super) struct Together;

impl Modify for Together {
    fn modify(&self, openapi: &mut OpenApi) {
        let Some(components) = openapi.components.as_mut() else {
            return;
        };
        for (name, ways) in [
            ("OfferItem", item()),
            ("NewCheck", check()),
            ("NewBin", bin()),
        ] {
            if let Some(schema) = components.schemas.remove(name) {
                components
                    .schemas
                    .insert(name.to_owned(), and_any_of(schema, ways));
            }
        }
    }
}

/// Weighed, or by a measure.
fn item() -> Vec<Object> {
    vec![
        having(
            [
                ("amount_kg", any(Type::Number)),
                ("measure", any(Type::Null)),
                ("quarters", any(Type::Null)),
            ],
            &["amount_kg"],
        ),
        having(
            [
                ("amount_kg", any(Type::Null)),
                ("measure", any(Type::String)),
                ("quarters", any(Type::Integer)),
            ],
            &["measure", "quarters"],
        ),
    ]
}

/// At least one thing that was seen.
fn check() -> Vec<Object> {
    let seen = |name: &'static str| having([(name, any(Type::String))], &[name]);
    vec![
        seen("left"),
        seen("smell"),
        seen("dampness"),
        having(
            [("unlogged", only(Type::Boolean, true.into()))],
            &["unlogged"],
        ),
        having([("visitors", some())], &["visitors"]),
    ]
}

/// A tub has no layers.
fn bin() -> Vec<Object> {
    let one = ArrayBuilder::new()
        .items(any(Type::Object))
        .max_items(Some(1));
    vec![
        having([("vessel", only(Type::String, "trays".into()))], &[]),
        having([("trays", RefOr::T(Schema::Array(one.build())))], &[]),
    ]
}

fn only(kind: Type, value: serde_json::Value) -> RefOr<Schema> {
    let object = ObjectBuilder::new()
        .schema_type(SchemaType::Type(kind))
        .enum_values(Some([value]));
    RefOr::T(Schema::Object(object.build()))
}

fn some() -> RefOr<Schema> {
    let list = ArrayBuilder::new()
        .items(any(Type::String))
        .min_items(Some(1));
    RefOr::T(Schema::Array(list.build()))
}
