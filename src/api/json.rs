//! JSON that is read into a type: what is no JSON is placed, and a wrong field is named without
//! repeating what was sent.

use super::problem::{self, Problem};
use super::reword::{name_of, reword};
use crate::desk::FieldError;
use serde::de::{DeserializeOwned, IgnoredAny};
use serde_path_to_error::Segment;

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
    let (member, detail) = reword(message, pointer.rsplit('/').next().unwrap_or_default());
    if let Some(member) = member {
        let member = name_for_pointer(member);
        if !pointer.ends_with(&format!("/{member}")) {
            pointer = pointer + "/" + &member;
        }
    }
    Problem::fields(vec![FieldError::new(pointer, detail)])
}

/// A member's name as it stands in a JSON pointer, cut short.
fn name_for_pointer(name: &str) -> String {
    name_of(name).replace('~', "~0").replace('/', "~1")
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
