//! Schemas of plain values that many bodies have: names, zones, foods. What the service
//! takes one by one stands here exactly, so that a client that keeps to the document never
//! meets `invalid_fields`.

use utoipa::openapi::schema::{AllOfBuilder, AnyOfBuilder, Object, ObjectBuilder, SchemaType};
use utoipa::openapi::{ArrayBuilder, KnownFormat, RefOr, Schema, SchemaFormat, Type};
use utoipa::{PartialSchema, ToSchema};
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::food::{Container, Group, catalogue};
use wormrota_domain::site::MOST_REMINDER_DAYS;

/// No control characters and no marks that turn the direction of text, and something that
/// can be seen. The same as `desk::fields` takes, written as ECMA-262 has it.
const NAME: &str = r"^[^\u0000-\u001F\u007F-\u009F\u202A-\u202E\u2066-\u2069\uFEFF]*[^\s\u0000-\u001F\u007F-\u009F\u202A-\u202E\u2066-\u2069\uFEFF][^\u0000-\u001F\u007F-\u009F\u202A-\u202E\u2066-\u2069\uFEFF]*$";

/// Letters, blanks and a few marks, among them a letter. The same as `desk::labels` takes.
const LABEL: &str = r"^[^\u0000-\u001F!-&(-,/-@\[-`{-\u009F\u202A-\u202E\u2066-\u2069\uFEFF]*[^\u0000-@\[-`{-\u009F\u202A-\u202E\u2066-\u2069\uFEFF\s][^\u0000-\u001F!-&(-,/-@\[-`{-\u009F\u202A-\u202E\u2066-\u2069\uFEFF]*$";

/// The same with what may stand between labels.
const LABELS: &str = r"^[^\u0000-\u0008\u000B\u000C\u000E-\u001F!-&(-+/-:<-@\[-`{-\u009F\u202A-\u202E\u2066-\u2069\uFEFF]*[^\u0000-@\[-`{-\u009F\u202A-\u202E\u2066-\u2069\uFEFF\s][^\u0000-\u0008\u000B\u000C\u000E-\u001F!-&(-+/-:<-@\[-`{-\u009F\u202A-\u202E\u2066-\u2069\uFEFF]*$";

/// The name of a bin or a probe.
pub(super) struct ShortName;

/// What a pupil is called.
pub(super) struct Label;

/// Labels of pupils, pasted in one go.
pub(super) struct PastedLabels;

/// The name of a site or a person.
pub(super) struct LongName;

/// The name of a container.
pub(super) struct ContainerName;

/// The number of a flat, or what else a home is called.
pub(super) struct FlatName;

/// An e-mail address.
pub(super) struct EmailAddress;

/// A phone number as people write it.
pub(super) struct PhoneNumber;

/// A time zone of the IANA database.
pub(super) struct ZoneName;

/// A food of the catalogue.
pub(super) struct FoodKey;

/// A food of the catalogue, or a group of foods.
pub(super) struct FoodOrGroup;

/// The mean outdoor air of each month in degrees Celsius, January first.
pub(super) struct YearOfAir;

/// How many days before a turn somebody is reminded.
pub(super) struct ReminderDays;

/// What If-Match takes: any state at all, or the one with this `ETag`.
pub(super) struct EntityTag;

/// A weekday by its number.
pub(super) struct Weekday;

/// The keys of two who go together.
pub(super) struct TwoKeys;

fn name(longest: usize, description: &str) -> RefOr<Schema> {
    let object = ObjectBuilder::new()
        .schema_type(SchemaType::Type(Type::String))
        .description(Some(description))
        .min_length(Some(1))
        .max_length(Some(longest))
        .pattern(Some(NAME));
    RefOr::T(Schema::Object(object.build()))
}

fn labels(longest: usize, pattern: &str, description: &str) -> RefOr<Schema> {
    let object = ObjectBuilder::new()
        .schema_type(SchemaType::Type(Type::String))
        .description(Some(description))
        .min_length(Some(1))
        .max_length(Some(longest))
        .pattern(Some(pattern));
    RefOr::T(Schema::Object(object.build()))
}

fn one_of(codes: impl Iterator<Item = &'static str>, description: &str) -> RefOr<Schema> {
    let object = ObjectBuilder::new()
        .schema_type(SchemaType::Type(Type::String))
        .description(Some(description))
        .enum_values(Some(codes.collect::<Vec<_>>()));
    RefOr::T(Schema::Object(object.build()))
}

impl PartialSchema for ShortName {
    fn schema() -> RefOr<Schema> {
        name(60, "A name of at most 60 characters on one line.")
    }
}

impl PartialSchema for Label {
    fn schema() -> RefOr<Schema> {
        labels(
            30,
            LABEL,
            "A first name or initials: at most two words besides initials.",
        )
    }
}

impl PartialSchema for PastedLabels {
    fn schema() -> RefOr<Schema> {
        let description = "First names or initials, one a line or with commas between them.";
        labels(4_000, LABELS, description)
    }
}

impl PartialSchema for LongName {
    fn schema() -> RefOr<Schema> {
        name(100, "A name of at most 100 characters on one line.")
    }
}

impl PartialSchema for ContainerName {
    fn schema() -> RefOr<Schema> {
        name(Container::LONGEST_NAME, "What people call a container.")
    }
}

impl PartialSchema for FlatName {
    fn schema() -> RefOr<Schema> {
        name(30, "A flat, in at most 30 characters on one line.")
    }
}

impl PartialSchema for EmailAddress {
    fn schema() -> RefOr<Schema> {
        let object = ObjectBuilder::new()
            .schema_type(SchemaType::Type(Type::String))
            .description(Some("An e-mail address; case does not matter."))
            .min_length(Some(5))
            .max_length(Some(254))
            .pattern(Some(
                r"^[!-?A-~]{1,64}@[!-\-/-?A-~][!-?A-~]*\.[!-?A-~]*[!-\-/-?A-~]$",
            ))
            .examples([serde_json::json!("sam@elmcourt.example")]);
        RefOr::T(Schema::Object(object.build()))
    }
}

impl PartialSchema for PhoneNumber {
    fn schema() -> RefOr<Schema> {
        let object = ObjectBuilder::new()
            .schema_type(SchemaType::Type(Type::String))
            .description(Some("A phone number with at least three digits."))
            .min_length(Some(3))
            .max_length(Some(30))
            .pattern(Some(r"^[-0-9 +./()]*([0-9][-0-9 +./()]*){3}$"))
            .examples([serde_json::json!("+1 312 555 0117")]);
        RefOr::T(Schema::Object(object.build()))
    }
}

impl PartialSchema for ZoneName {
    fn schema() -> RefOr<Schema> {
        let description = "A time zone, by its name in the IANA database.";
        one_of(SiteZone::all().map(SiteZone::name), description)
    }
}

impl PartialSchema for FoodKey {
    fn schema() -> RefOr<Schema> {
        let description = "A food of the catalogue (GET /v1/foods).";
        one_of(catalogue().iter().map(|item| item.key), description)
    }
}

impl PartialSchema for FoodOrGroup {
    fn schema() -> RefOr<Schema> {
        let foods = catalogue().iter().map(|item| item.key);
        let groups = Group::ALL.iter().map(|group| group.code());
        one_of(
            foods.chain(groups),
            "A food of the catalogue, or a group of foods.",
        )
    }
}

impl PartialSchema for YearOfAir {
    fn schema() -> RefOr<Schema> {
        let month = ObjectBuilder::new()
            .schema_type(SchemaType::Type(Type::Number))
            .minimum(Some(-60))
            .maximum(Some(60));
        let year = ArrayBuilder::new()
            .items(month)
            .min_items(Some(12))
            .max_items(Some(12))
            .description(Some(
                "The mean outdoor air of each month in degrees Celsius, January first.",
            ));
        RefOr::T(Schema::Array(year.build()))
    }
}

impl PartialSchema for ReminderDays {
    fn schema() -> RefOr<Schema> {
        let days = ObjectBuilder::new()
            .schema_type(SchemaType::Type(Type::Integer))
            .minimum(Some(0))
            .maximum(Some(MOST_REMINDER_DAYS));
        let list = ArrayBuilder::new()
            .items(days)
            .unique_items(true)
            .description(Some("How many days before a turn; 0 is its morning."));
        RefOr::T(Schema::Array(list.build()))
    }
}

impl PartialSchema for Weekday {
    fn schema() -> RefOr<Schema> {
        let object = ObjectBuilder::new()
            .schema_type(SchemaType::Type(Type::Integer))
            .description(Some("A weekday; 1 is Monday."))
            .minimum(Some(1))
            .maximum(Some(7));
        RefOr::T(Schema::Object(object.build()))
    }
}

impl PartialSchema for TwoKeys {
    fn schema() -> RefOr<Schema> {
        let key = ObjectBuilder::new()
            .schema_type(SchemaType::Type(Type::String))
            .format(Some(SchemaFormat::KnownFormat(KnownFormat::Uuid)));
        let two = ArrayBuilder::new()
            .items(key)
            .min_items(Some(2))
            .max_items(Some(2))
            .description(Some("The keys of two, in any order."));
        RefOr::T(Schema::Array(two.build()))
    }
}

impl PartialSchema for EntityTag {
    fn schema() -> RefOr<Schema> {
        let text = || ObjectBuilder::new().schema_type(SchemaType::Type(Type::String));
        let any = AnyOfBuilder::new()
            .item(text().enum_values(Some(["*"])))
            .item(text().pattern(Some(r#"^(W/)?"[!#-~]*"$"#)));
        RefOr::T(Schema::AnyOf(any.build()))
    }
}

impl ToSchema for EntityTag {}
impl ToSchema for Label {}
impl ToSchema for PastedLabels {}
impl ToSchema for ShortName {}
impl ToSchema for LongName {}
impl ToSchema for ContainerName {}
impl ToSchema for FlatName {}
impl ToSchema for EmailAddress {}
impl ToSchema for PhoneNumber {}
impl ToSchema for ZoneName {}
impl ToSchema for FoodKey {}
impl ToSchema for FoodOrGroup {}
impl ToSchema for YearOfAir {}
impl ToSchema for ReminderDays {}
impl ToSchema for Weekday {}
impl ToSchema for TwoKeys {}

/// The schema, and besides at least one of the others: what fields must go together.
pub(super) fn and_any_of(schema: RefOr<Schema>, ways: Vec<Object>) -> RefOr<Schema> {
    let any = ways
        .into_iter()
        .fold(AnyOfBuilder::new(), AnyOfBuilder::item);
    RefOr::T(Schema::AllOf(
        AllOfBuilder::new()
            .item(schema)
            .item(Schema::AnyOf(any.build()))
            .build(),
    ))
}

/// An object of which members must look so; `given` names those that must be there.
pub(super) fn having(
    members: impl IntoIterator<Item = (&'static str, RefOr<Schema>)>,
    given: &[&'static str],
) -> Object {
    let object = members
        .into_iter()
        .fold(ObjectBuilder::new(), |object, (name, schema)| {
            object.property(name, schema)
        });
    given
        .iter()
        .fold(object, |object, name| object.required(*name))
        .build()
}

/// Any value of a type.
pub(super) fn any(kind: Type) -> RefOr<Schema> {
    let object = ObjectBuilder::new().schema_type(SchemaType::Type(kind));
    RefOr::T(Schema::Object(object.build()))
}
