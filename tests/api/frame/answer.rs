//! What comes back from the service.

use reqwest::StatusCode;
use reqwest::header::HeaderMap;
use serde_json::Value;

/// What came back.
#[derive(Debug)]
pub(crate) struct Answer {
    pub(crate) status: StatusCode,
    pub(crate) headers: HeaderMap,
    pub(crate) text: String,
}

impl Answer {
    pub(crate) fn json(&self) -> Value {
        serde_json::from_str(&self.text).unwrap_or_else(|_| panic!("no JSON: {}", self.text))
    }

    pub(crate) fn header(&self, name: &str) -> Option<&str> {
        self.headers.get(name).map(|value| value.to_str().unwrap())
    }

    /// Insists on success and gives the body.
    #[track_caller]
    pub(crate) fn ok(&self, status: u16) -> Value {
        assert_eq!(self.status.as_u16(), status, "{}", self.text);
        self.json()
    }

    /// Insists on a well-formed problem of one kind and gives its body.
    #[track_caller]
    pub(crate) fn problem(&self, status: u16, code: &str) -> Value {
        assert_eq!(self.status.as_u16(), status, "{}", self.text);
        assert_eq!(
            self.header("content-type"),
            Some("application/problem+json")
        );
        assert_eq!(self.header("cache-control"), Some("no-store"));
        let body = self.json();
        assert_eq!(body["code"], code, "{body}");
        assert_eq!(body["status"], status);
        assert_eq!(body["type"], format!("/problems/{code}"));
        assert_eq!(body["request_id"].as_str(), self.header("x-request-id"));
        for member in ["title", "detail"] {
            assert!(
                body[member].as_str().is_some_and(|text| !text.is_empty()),
                "{body}"
            );
        }
        body
    }

    /// Insists that exactly these fields are wrong.
    #[track_caller]
    pub(crate) fn wrong_fields(&self, pointers: &[&str]) {
        self.named_fields(422, "invalid_fields", pointers);
    }

    /// Insists that exactly these fields are well formed, but not possible.
    #[track_caller]
    pub(crate) fn conflicting_fields(&self, pointers: &[&str]) {
        self.named_fields(409, "conflicting_fields", pointers);
    }

    #[track_caller]
    fn named_fields(&self, status: u16, code: &str, pointers: &[&str]) {
        let body = self.problem(status, code);
        let found: Vec<&str> = body["errors"]
            .as_array()
            .unwrap()
            .iter()
            .map(|error| {
                assert!(
                    error["detail"].as_str().unwrap().starts_with("must "),
                    "{error}"
                );
                error["pointer"].as_str().unwrap()
            })
            .collect();
        assert_eq!(found, pointers, "{body}");
    }
}
