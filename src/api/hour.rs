//! Times of day in JSON: hours and minutes on a clock on the site's wall.

use chrono::NaiveTime;
use serde::Deserialize;
use serde::de::{Deserializer, Error};
use utoipa::openapi::schema::{ObjectBuilder, SchemaType};
use utoipa::openapi::{RefOr, Schema, Type};
use utoipa::{PartialSchema, ToSchema};

/// A time of day to the minute, such as `17:00`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Hour(pub(super) NaiveTime);

/// A time of day as it is written.
#[must_use]
pub(super) fn hour(time: NaiveTime) -> String {
    time.format("%H:%M").to_string()
}

impl<'de> Deserialize<'de> for Hour {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        // Chrono takes fewer digits and blanks, too.
        Some(&text)
            .filter(|text| text.len() == 5)
            .and_then(|text| NaiveTime::parse_from_str(text, "%H:%M").ok())
            .filter(|time| hour(*time) == text)
            .map(Self)
            .ok_or_else(|| Error::custom("must be a time of day such as 17:00"))
    }
}

impl PartialSchema for Hour {
    fn schema() -> RefOr<Schema> {
        let object = ObjectBuilder::new()
            .schema_type(SchemaType::Type(Type::String))
            .description(Some("A time of day on a clock on the site's wall."))
            .pattern(Some("^([01][0-9]|2[0-3]):[0-5][0-9]$"))
            .examples([serde_json::json!("17:00")]);
        RefOr::T(Schema::Object(object.build()))
    }
}

impl ToSchema for Hour {}

#[cfg(test)]
mod tests {
    use super::*;

    /// Guards against times that only some programs would read.
    #[test]
    fn a_time_of_day_has_two_digits_each() {
        let read = |text: &str| serde_json::from_value::<Hour>(text.into());
        for good in ["00:00", "07:05", "23:59"] {
            assert_eq!(hour(read(good).unwrap().0), good);
        }
        for bad in [
            "24:00", "7:05", "07:5", " 7:05", "07:05:00", "0705", "", "07:60", "+7:05",
        ] {
            assert!(read(bad).is_err(), "{bad}");
        }
    }
}
