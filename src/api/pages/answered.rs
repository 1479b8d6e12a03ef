//! From a page, or what was in its way, to an answer.

use super::frame;
use crate::api::problem::Problem;
use crate::clock;
use crate::desk::letter_links::LinkPage;
use crate::desk::{Desk, DeskError};
use actix_web::http::header::{AcceptLanguage, Header, Preference};
use actix_web::{HttpRequest, HttpResponse};
use chrono::{DateTime, Utc};
use wormrota_domain::site::Language;

/// The answer with a page, as it reads now.
pub(super) async fn answered(
    desk: &Desk,
    request: &HttpRequest,
    page: Result<LinkPage, Problem>,
) -> HttpResponse {
    let page = match page {
        Ok(page) => time(desk).await.map(|now| (page, now)),
        Err(problem) => Err(problem),
    };
    let browser = language_of(request);
    match page {
        Ok((page, now)) => frame::page(&page, now, browser),
        Err(problem) => frame::trouble(&problem, clock::wall(), browser),
    }
}

async fn time(desk: &Desk) -> Result<DateTime<Utc>, Problem> {
    Ok(desk.now().await.map_err(|error: DeskError| error)?)
}

/// Of the languages that there are the one that the browser asks for first (RFC 9110, section
/// 12.5.4).
fn language_of(request: &HttpRequest) -> Language {
    let asked = AcceptLanguage::parse(request).map_or_else(|_| Vec::new(), |asked| asked.ranked());
    let known = |preference: &Preference<_>| {
        let tag: &actix_web::http::header::LanguageTag = preference.item()?;
        Language::from_code(&tag.primary_language().to_ascii_lowercase())
    };
    asked.iter().find_map(known).unwrap_or(Language::English)
}

#[cfg(test)]
mod tests {
    use super::*;
    use actix_web::http::header::ACCEPT_LANGUAGE;
    use actix_web::test::TestRequest;

    /// Protects people of whom nothing is known from a language that they do not read.
    #[test]
    fn a_browser_is_answered_in_the_first_language_that_there_is() {
        let of = |asked: &str| {
            let request = TestRequest::default();
            language_of(
                &request
                    .insert_header((ACCEPT_LANGUAGE, asked))
                    .to_http_request(),
            )
        };
        for spanish in [
            "es",
            "es-MX, en;q=0.5",
            "de, ES-419;q=0.9, en;q=0.8",
            "en;q=0.1, es",
        ] {
            assert_eq!(of(spanish), Language::Spanish, "{spanish}");
        }
        for english in [
            "",
            "*",
            "en",
            "de",
            "en-US, es;q=0.9",
            ";;=, !",
            "de, *;q=0.1",
        ] {
            assert_eq!(of(english), Language::English, "{english}");
        }
        let without = TestRequest::default().to_http_request();
        assert_eq!(language_of(&without), Language::English);
    }
}
