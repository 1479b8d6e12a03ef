//! What serde says of a value that it cannot read, in words for whoever sent it.

/// The longest name that is said back: those of the service are shorter.
const LONGEST_NAME: usize = 64;

/// Takes serde's message about a member with this name apart: the member that it names itself, if
/// any, and what is expected. The value that was sent is left out, since it may be long or a
/// secret.
pub(super) fn reword<'a>(message: &'a str, name: &str) -> (Option<&'a str>, String) {
    let quoted = |rest: &'static str| {
        message
            .strip_prefix(rest)
            .and_then(|rest| rest.split('`').next())
    };
    if let Some(member) = quoted("missing field `") {
        return (Some(member), "must be given".to_owned());
    }
    if let Some(member) = quoted("unknown field `") {
        return (
            Some(member),
            "must not be given: there is no such field".to_owned(),
        );
    }
    if let Some(member) = quoted("duplicate field `") {
        return (Some(member), "must not come twice".to_owned());
    }
    if message.starts_with("must ") {
        return (None, message.to_owned());
    }
    let expected = match message.rsplit_once(", expected ") {
        Some((_, expected)) => plainly(expected),
        None => form_of(message, name),
    };
    (None, format!("must be {expected}"))
}

/// Rust's words for what is expected in JSON's.
fn plainly(expected: &str) -> &str {
    match expected {
        "u8" | "u16" | "u32" | "u64" | "i8" | "i16" | "i32" | "i64" => "a whole number",
        "f32" | "f64" => "a number",
        "a sequence" => "a list",
        "a map" => "an object",
        struct_or_its_length if struct_or_its_length.starts_with("struct ") => "an object",
        other => other,
    }
}

/// The form of a value whose text was not understood, by who says so: the standard library of
/// numbers, `uuid`, or `chrono`, which says the same of a day and of an instant. In this service
/// the names of instants end with `_at`.
fn form_of(message: &str, name: &str) -> &'static str {
    let says = |part: &str| message.contains(part);
    if says("digit found in string") || says("integer from empty string") || says("number too") {
        "a whole number"
    } else if says("`true` or `false`") {
        "true or false"
    } else if says("UUID") {
        "a key, such as 0198f2c0-5f5e-7000-8000-9a2b7c1d4e6f"
    } else if !says("input") {
        "of another form"
    } else if name.ends_with("_at") {
        "an instant, such as 2026-09-07T18:30:00Z"
    } else {
        "a day, such as 2026-09-07"
    }
}

/// A name that somebody sent, cut short.
pub(super) fn name_of(name: &str) -> String {
    let shown = name.chars().filter(|c| !c.is_control());
    shown.take(LONGEST_NAME).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{DateTime, NaiveDate, Utc};
    use uuid::Uuid;

    /// Protects whoever sends a value of another form from having to guess which one is meant:
    /// the messages are those of the libraries as they are now.
    #[test]
    fn the_form_of_a_value_is_said() {
        let of = |message: String, name| reword(&message, name).1;
        let day = |text: &str| text.parse::<NaiveDate>().unwrap_err().to_string();
        for wrong in [
            "2026-9",
            "yesterday",
            "2026-13-01",
            "2026-09-07T10:00:00Z",
            "",
        ] {
            let said = of(day(wrong), "first_day");
            assert_eq!(said, "must be a day, such as 2026-09-07", "{wrong}");
        }
        let instant = |text: &str| text.parse::<DateTime<Utc>>().unwrap_err().to_string();
        for wrong in ["2026-09-07", "noon", "2026-09-07T25:00:00Z", ""] {
            let said = of(instant(wrong), "fed_at");
            let right = "must be an instant, such as 2026-09-07T18:30:00Z";
            assert_eq!(said, right, "{wrong}");
        }
        let key = |text: &str| text.parse::<Uuid>().unwrap_err().to_string();
        for wrong in ["", "7", "0198f2c0-5f5e-7000-8000-9a2b7c1d4e6g"] {
            let message = format!("UUID parsing failed: {}", key(wrong));
            assert!(of(message, "bin_id").starts_with("must be a key, such as "));
        }
        for wrong in ["", "x", "70000", "-1"] {
            let message = wrong.parse::<u16>().unwrap_err().to_string();
            assert_eq!(of(message, "limit"), "must be a whole number", "{wrong}");
        }
        let message = "yes".parse::<bool>().unwrap_err().to_string();
        assert_eq!(of(message, "free"), "must be true or false");
    }
}
