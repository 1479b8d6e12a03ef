//! JSON that is read into a type: what is no JSON is placed, and a wrong field is named without
//! repeating what was sent.

use super::problem::{self, Problem};
use crate::desk::FieldError;
use serde::de::{DeserializeOwned, IgnoredAny};
use serde_path_to_error::Segment;

/// Characters of a field name that may be repeated to the client.
const LONGEST_NAME: usize = 64;

/// Turns bytes into a value, or says where they are no JSON or which field is wrong.
pub(super) fn parse<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, Problem> {
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let detail = format!(
            "The body is not UTF-8 from byte {}.",
            error.valid_up_to() + 1
        );
        Problem::new(&problem::BAD_JSON, detail)
    })?;
    // First as JSON of any kind: serde_json calls some wrong types errors of syntax.
    serde_json::from_str::<IgnoredAny>(text).map_err(|error| not_json(&error))?;
    // Serde would take a list for an object, member by member.
    if text.trim_ascii_start().starts_with('[') {
        return Err(Problem::fields(vec![FieldError::new(
            "",
            "must be an object",
        )]));
    }
    let mut json = serde_json::Deserializer::from_str(text);
    serde_path_to_error::deserialize(&mut json).map_err(|error| explain(&error))
}

fn not_json(error: &serde_json::Error) -> Problem {
    Problem::new(
        &problem::BAD_JSON,
        format!(
            "The body is not JSON from line {}, column {}.",
            error.line(),
            error.column()
        ),
    )
}

fn explain(error: &serde_path_to_error::Error<serde_json::Error>) -> Problem {
    let mut pointer = String::new();
    for segment in error.path() {
        match segment {
            Segment::Seq { index } => pointer = pointer + "/" + &index.to_string(),
            Segment::Map { key } | Segment::Enum { variant: key } => {
                pointer = pointer + "/" + &name_for_pointer(key);
            }
            Segment::Unknown => {}
        }
    }
    let text = error.inner().to_string();
    let message = text
        .rsplit_once(" at line ")
        .map_or(text.as_str(), |(message, _)| message);
    let (member, detail) = reword(message);
    if let Some(member) = member {
        let member = name_for_pointer(member);
        if !pointer.ends_with(&format!("/{member}")) {
            pointer = pointer + "/" + &member;
        }
    }
    Problem::fields(vec![FieldError::new(pointer, detail)])
}

/// Takes serde's message apart: the member it names, if any, and what is expected. The
/// value that was sent is left out, since it may be long or a secret.
fn reword(message: &str) -> (Option<&str>, String) {
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
    match message.rsplit_once(", expected ") {
        Some((_, expected)) => (None, format!("must be {}", plainly(expected))),
        None => (None, "must be of another form".to_owned()),
    }
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

/// A member's name as it stands in a JSON pointer, cut short.
fn name_for_pointer(name: &str) -> String {
    let short: String = name
        .chars()
        .filter(|c| !c.is_control())
        .take(LONGEST_NAME)
        .collect();
    short.replace('~', "~0").replace('/', "~1")
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde::Deserialize;

    #[derive(Debug, Deserialize)]
    #[serde(deny_unknown_fields)]
    #[expect(dead_code, reason = "only parsed")]
    struct Offer {
        name: String,
        items: Vec<Item>,
    }

    #[derive(Debug, Deserialize)]
    #[serde(deny_unknown_fields)]
    #[expect(dead_code, reason = "only parsed")]
    struct Item {
        grams: u32,
    }

    fn wrong(json: &str) -> (String, String) {
        let problem = parse::<Offer>(json.as_bytes()).unwrap_err();
        assert_eq!(problem.kind.code, "invalid_fields", "{json}");
        let error = problem.errors()[0].clone();
        (error.pointer, error.detail)
    }

    #[test]
    fn a_wrong_field_is_pointed_at() {
        for (json, pointer, detail) in [
            (
                r#"{"name":"a","items":[{"grams":1},{"grams":"x"}]}"#,
                "/items/1/grams",
                "must be a whole number",
            ),
            (r#"{"name":7,"items":[]}"#, "/name", "must be a string"),
            (r#"{"items":[]}"#, "/name", "must be given"),
            (
                r#"{"name":"a","items":[{}]}"#,
                "/items/0/grams",
                "must be given",
            ),
            (
                r#"{"name":"a","items":[],"extra":1}"#,
                "/extra",
                "must not be given: there is no such field",
            ),
            (
                r#"{"name":"a","items":[],"name":"b"}"#,
                "/name",
                "must not come twice",
            ),
            (
                r#"{"name":"a","items":[{"grams":1,"grams":2}]}"#,
                "/items/0/grams",
                "must not come twice",
            ),
            (r#"{"name":"a","items":null}"#, "/items", "must be a list"),
            (
                r#"{"name":"a","items":[7]}"#,
                "/items/0",
                "must be an object",
            ),
            (r#"["a",[]]"#, "", "must be an object"),
            (r"7", "", "must be an object"),
            (r"[]", "", "must be an object"),
        ] {
            let (got_pointer, got_detail) = wrong(json);
            assert_eq!(got_pointer, pointer, "{json}");
            assert_eq!(got_detail, detail, "{json}");
        }
    }

    #[test]
    fn what_was_sent_is_not_repeated() {
        let long = "x".repeat(10_000);
        let (pointer, detail) = wrong(&format!(r#"{{"name":"a","items":[],"{long}":1}}"#));
        assert!(pointer.len() <= 65 && detail.len() < 100);
        let (_, detail) = wrong(r#"{"name":"a","items":"hunter2hunter2"}"#);
        assert!(!detail.contains("hunter2"), "{detail}");
    }

    #[test]
    fn text_that_is_no_json_is_placed() {
        let deep = "[".repeat(1_000);
        for json in [
            "",
            "{",
            "{]",
            r#"{"name":"a","items":[]} x"#,
            "\u{feff}{}",
            "NaN",
            &deep,
        ] {
            let problem = parse::<Offer>(json.as_bytes()).unwrap_err();
            assert_eq!(problem.kind.code, "bad_json", "{json}");
            assert!(problem.detail().contains("line 1"), "{}", problem.detail());
        }
        assert_eq!(
            parse::<Offer>(b"{\"name\":\"\xff\",\"items\":[]}")
                .unwrap_err()
                .kind
                .code,
            "bad_json"
        );
    }
}
