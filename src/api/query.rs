//! The queries of requests: one reader for all handlers.

use super::problem::{self, Problem};
use super::reword::{name_of, reword};
use actix_web::HttpRequest;
use serde::de::DeserializeOwned;
use serde_path_to_error::Segment;

/// The query of a request; a parameter that is not known is refused.
pub(super) fn read<T: DeserializeOwned>(request: &HttpRequest) -> Result<T, Problem> {
    parse(request.query_string())
}

fn parse<T: DeserializeOwned>(query: &str) -> Result<T, Problem> {
    let pairs = form_urlencoded::parse(query.as_bytes());
    let query = serde_urlencoded::Deserializer::new(pairs);
    serde_path_to_error::deserialize(query).map_err(|error| explain(&error))
}

/// Names the parameter and says what it may be.
fn explain(error: &serde_path_to_error::Error<serde_urlencoded::de::Error>) -> Problem {
    let named = error.path().iter().find_map(|segment| match segment {
        Segment::Map { key } => Some(key.as_str()),
        _ => None,
    });
    let message = error.inner().to_string();
    let (own, must) = reword(&message, named.unwrap_or_default());
    let name = own.or(named).map(name_of);
    let known = message
        .strip_prefix("unknown field `")
        .and_then(|rest| rest.split_once(", expected "));
    let detail = match (name, known) {
        (Some(name), Some((_, known))) => {
            let known = known.trim_start_matches("one of ");
            format!("`{name}` is no parameter here; what can be given is {known}.")
        }
        (Some(name), None) => format!("`{name}` {must}."),
        (None, _) => "The query cannot be read.".to_owned(),
    };
    Problem::new(&problem::BAD_QUERY, detail)
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::NaiveDate;
    use serde::Deserialize;
    use uuid::Uuid;

    #[derive(Debug, Deserialize)]
    #[serde(rename_all = "snake_case")]
    enum Heating {
        On,
        Off,
    }

    #[derive(Debug, Deserialize)]
    #[serde(deny_unknown_fields)]
    #[expect(dead_code, reason = "only parsed")]
    struct Query {
        first_day: NaiveDate,
        bin_id: Option<Uuid>,
        limit: Option<u16>,
        free: Option<bool>,
        heating: Option<Heating>,
    }

    /// Protects whoever writes a query from having to find out which parameter is meant, and what
    /// it may be.
    #[test]
    fn a_wrong_parameter_is_named_with_what_it_may_be() {
        let day = "first_day=2026-09-07";
        for (query, detail) in [
            ("", "`first_day` must be given."),
            (
                "first_day=2026-9-x",
                "`first_day` must be a day, such as 2026-09-07.",
            ),
            (
                "first_day=2026-09-07&first_day=2026-09-08",
                "`first_day` must not come twice.",
            ),
            (
                "first_day=2026-09-07&bin_id=7",
                "`bin_id` must be a key, such as 0198f2c0-5f5e-7000-8000-9a2b7c1d4e6f.",
            ),
            (
                "first_day=2026-09-07&limit=many",
                "`limit` must be a whole number.",
            ),
            (
                "first_day=2026-09-07&free=maybe",
                "`free` must be true or false.",
            ),
            (
                "first_day=2026-09-07&heating=warm",
                "`heating` must be `on` or `off`.",
            ),
            (
                "first_day=2026-09-07&bni_id=7",
                "`bni_id` is no parameter here; what can be given is `first_day`, `bin_id`, \
                 `limit`, `free`, `heating`.",
            ),
        ] {
            let problem = parse::<Query>(query).unwrap_err();
            assert_eq!(problem.kind.code, "bad_query");
            assert_eq!(problem.detail(), detail, "{query}");
        }
        let known = parse::<Query>(&format!("{day}&heating=off&limit=7"));
        assert!(matches!(known.unwrap().heating, Some(Heating::Off)));
    }

    /// Protects answers from what others wrote into an address.
    #[test]
    fn a_long_name_is_not_said_back_in_full() {
        let long = "x".repeat(5_000);
        let problem = parse::<Query>(&format!("{long}=1")).unwrap_err();
        assert!(problem.detail().len() < 250, "{}", problem.detail());
    }
}
