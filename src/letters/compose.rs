//! From what a letter is about to a message (RFC 5322). Headers are only built by `lettre`,
//! which lets nobody's name begin a new one.

use super::folder::Common;
use crate::desk::letters::{About, Letter};
use crate::wording::{LetterAbout, Voice};
use chrono::{DateTime, Utc};
use lettre::message::header::{
    ContentTransferEncoding, ContentType, Header, HeaderName, HeaderValue,
};
use lettre::message::{Body, Mailbox, Message};
use std::error::Error;
use std::time::SystemTime;
use uuid::Uuid;

type Built<T> = Result<T, Box<dyn Error + Send + Sync>>;

/// Says to other programs that none of them should answer (RFC 3834).
#[derive(Clone)]
struct AutoSubmitted;

impl Header for AutoSubmitted {
    fn name() -> HeaderName {
        HeaderName::new_from_ascii_str("Auto-Submitted")
    }

    fn parse(_: &str) -> Built<Self> {
        Ok(Self)
    }

    fn display(&self) -> HeaderValue {
        HeaderValue::new(Self::name(), "auto-generated".to_owned())
    }
}

/// The message, which is the same whenever it is built for the same job.
pub(super) fn message(
    letter: &Letter,
    job: Uuid,
    owed_at: DateTime<Utc>,
    common: &Common,
) -> Built<Vec<u8>> {
    let voice = Voice {
        language: letter.language,
        zone: letter.zone,
        ..Voice::plain_english()
    };
    let (name, site) = match &letter.about {
        About::Invitation { name, site } => (name.as_deref().map(on_one_line), on_one_line(site)),
        About::Reset | About::SignIn => (None, String::new()),
    };
    let (about, path, rest) = match &letter.about {
        About::Invitation { .. } => (
            LetterAbout::Invitation {
                name: name.as_deref(),
                site: &site,
            },
            "/v1/invitations/accept",
            ", \"password\": \"…\"",
        ),
        About::Reset => (
            LetterAbout::Reset,
            "/v1/password_resets/use",
            ", \"new_password\": \"…\"",
        ),
        About::SignIn => (LetterAbout::SignIn, "/v1/sign_in_links/use", ""),
    };
    let words = voice.letter(about, letter.expires_at, owed_at);
    let url = &common.public_url;
    let token = &letter.token;
    let request = format!(
        "curl {url}{path} -H 'content-type: application/json' -d '{{\"token\": \"{token}\"{rest}}}'"
    );
    let mut paragraphs = words.before;
    paragraphs.push(request);
    paragraphs.extend(words.after);
    let text = paragraphs.join("\n\n") + "\n";

    let to = Mailbox::new(name, letter.address.parse()?);
    let host = common.from.email.domain();
    let body = readable(&text)?;
    let message = Message::builder()
        .from(common.from.clone())
        .to(to)
        .subject(words.subject)
        .message_id(Some(format!("<{job}@{host}>")))
        .date(SystemTime::from(owed_at))
        .header(AutoSubmitted)
        .header(ContentType::TEXT_PLAIN)
        .body(body)?;
    Ok(message.formatted())
}

/// What people are called holds no control characters; `lettre` panics on one in a header, so
/// this does not take the database's word for it.
fn on_one_line(name: &str) -> String {
    name.replace(char::is_control, " ")
}

/// The text as it is, so that whoever opens the file can read it and copy the request; the
/// usual encoding would break the token where its line is long.
fn readable(text: &str) -> Built<Body> {
    let lines: Vec<&str> = text.lines().collect();
    // RFC 5322, section 2.1.1, and RFC 2045, section 2.8.
    let fits = |line: &&str| line.len() <= 998 && !line.contains(['\r', '\0']);
    if !lines.iter().all(fits) {
        return Err("a line of the letter is too long or holds a control character".into());
    }
    let bytes = (lines.join("\r\n") + "\r\n").into_bytes();
    let encoding = ContentTransferEncoding::EightBit;
    Ok(Body::dangerous_pre_encoded(bytes, encoding))
}
