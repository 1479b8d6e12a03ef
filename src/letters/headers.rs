//! Headers that `lettre` does not know.

use lettre::message::header::{Header, HeaderName, HeaderValue};
use std::error::Error;

type Read<T> = Result<T, Box<dyn Error + Send + Sync>>;

/// Says to other programs that none of them should answer (RFC 3834).
#[derive(Clone)]
pub(super) struct AutoSubmitted;

/// Where a mail program ends letters like this one (RFC 2369, section 3.2): the address of a
/// page that asks.
#[derive(Clone)]
pub(super) struct ListUnsubscribe(pub(super) String);

/// That a mail program may do so itself, without a page (RFC 8058).
#[derive(Clone)]
pub(super) struct ListUnsubscribePost;

impl Header for AutoSubmitted {
    fn name() -> HeaderName {
        HeaderName::new_from_ascii_str("Auto-Submitted")
    }

    fn parse(_: &str) -> Read<Self> {
        Ok(Self)
    }

    fn display(&self) -> HeaderValue {
        HeaderValue::new(Self::name(), "auto-generated".to_owned())
    }
}

impl Header for ListUnsubscribe {
    fn name() -> HeaderName {
        HeaderName::new_from_ascii_str("List-Unsubscribe")
    }

    fn parse(value: &str) -> Read<Self> {
        Ok(Self(value.trim_matches(['<', '>']).to_owned()))
    }

    fn display(&self) -> HeaderValue {
        HeaderValue::new(Self::name(), format!("<{}>", self.0))
    }
}

impl Header for ListUnsubscribePost {
    fn name() -> HeaderName {
        HeaderName::new_from_ascii_str("List-Unsubscribe-Post")
    }

    fn parse(_: &str) -> Read<Self> {
        Ok(Self)
    }

    fn display(&self) -> HeaderValue {
        HeaderValue::new(Self::name(), "List-Unsubscribe=One-Click".to_owned())
    }
}
