//! From what a letter is about to a message (RFC 5322) with a plain and an HTML part (RFC
//! 2046, section 5.1.4), and where it is about a turn, with a part for calendars. Headers are
//! only built by `lettre`, which lets nobody's name begin a new one.

use super::headers::{AutoSubmitted, ListUnsubscribe, ListUnsubscribePost};
use super::signer::Signer;
use super::{appointment, page, render};
use crate::desk::letters::Letter;
use crate::icalendar::Message as Calendar;
use crate::settings::{Letters, SettingsError};
use chrono::{DateTime, Utc};
use lettre::address::Envelope;
use lettre::message::header::{ContentTransferEncoding, ContentType};
use lettre::message::{Attachment, Body, Mailbox, Message, MultiPart, MultiPartKind, SinglePart};
use std::error::Error;
use std::time::SystemTime;
use uuid::Uuid;

/// What programs take for a file of a calendar.
const ICS: &str = "application/ics";

type Built<T> = Result<T, Box<dyn Error + Send + Sync>>;

/// What all letters have in common.
#[derive(Debug, Clone)]
pub(super) struct Common {
    /// Where the service is reached from outside, without a slash at the end.
    public_url: String,
    /// From whom they come.
    from: Mailbox,
    /// Whom those who answer them write to, if it is somebody else.
    reply_to: Option<Mailbox>,
    /// What signs those that go to a mail server.
    signer: Option<Signer>,
}

impl Common {
    pub(super) fn of(settings: &Letters) -> Result<Self, SettingsError> {
        Ok(Self {
            public_url: settings.outside().to_owned(),
            from: settings.sender()?,
            reply_to: settings.answered_to()?,
            signer: Signer::of(&settings.dkim)?,
        })
    }
}

/// How the parts of a message are encoded.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Form {
    /// As they are, so that whoever opens the file can read it and copy the request.
    Readable,
    /// In seven bits and short lines, which every mail server takes.
    Portable,
}

/// A message with whom it comes from and goes to.
#[derive(Debug)]
pub(super) struct Composed {
    pub(super) envelope: Envelope,
    pub(super) message: Vec<u8>,
}

/// The message, which is the same whenever it is built for the same letter.
pub(super) fn message(
    letter: &Letter,
    id: Uuid,
    owed_at: DateTime<Utc>,
    common: &Common,
    form: Form,
) -> Built<Composed> {
    let words = render::words(letter, owed_at, &common.public_url);
    let text = render::text(&words);
    let html = page::of(&words, letter.speech.language);

    let name = letter.name.as_deref().map(on_one_line);
    let to = Mailbox::new(name, letter.address.parse()?);
    let from = &common.from;
    let envelope = Envelope::new(Some(from.email.clone()), vec![to.email.clone()])?;
    // The last part is the one that a program shows if it can.
    let parts = MultiPart::builder()
        .kind(MultiPartKind::Alternative)
        .boundary(format!("part-{}", id.simple()))
        .singlepart(part(ContentType::TEXT_PLAIN, &text, form)?)
        .singlepart(part(ContentType::TEXT_HTML, &html, form)?);
    let appointments = letter.content.calendar.iter();
    let calendars: Vec<Calendar> = appointments
        .map(|one| appointment::message(letter, one, owed_at, from))
        .collect();
    let parts = with_calendars(parts, &calendars, id, form)?;
    let mut head = Message::builder()
        .from(from.clone())
        .to(to)
        .subject(words.subject)
        .message_id(Some(format!("<{id}@{}>", from.email.domain())))
        .date(SystemTime::from(owed_at))
        .header(AutoSubmitted);
    if let Some(reply_to) = &common.reply_to {
        head = head.reply_to(reply_to.clone());
    }
    if let Some(thread) = thread(letter) {
        // No letter has this identifier, so that the order does not matter in which those about
        // one thing are sent, and forgotten (RFC 5322, section 3.6.4).
        head = head.references(format!("<about-{thread}@{}>", from.email.domain()));
    }
    if let Some(fewer) = &letter.fewer {
        let address = render::address_of(fewer, &common.public_url);
        // A program that ends letters by itself needs an address that nobody can read along
        // (RFC 8058, section 3.1).
        let by_itself = address.starts_with("https://");
        head = head.header(ListUnsubscribe(address));
        if by_itself {
            head = head.header(ListUnsubscribePost);
        }
    }
    let message = match (form, &common.signer) {
        (Form::Portable, Some(signer)) => signer.signed(head, &parts)?,
        _ => head.multipart(parts)?,
    };
    let message = message.formatted();
    Ok(Composed { envelope, message })
}

/// The parts with what the letter says to its reader's calendar: what is about one turn is shown
/// and attached, what is about several is attached. A message says nothing of two events that are
/// not one series (RFC 5546, section 3.2), and of several none can be shown in the others' stead.
fn with_calendars(
    mut parts: MultiPart,
    calendars: &[Calendar],
    id: Uuid,
    form: Form,
) -> Built<MultiPart> {
    if calendars.is_empty() {
        return Ok(parts);
    }
    // RFC 6047, section 2.4.
    let kind = |calendar: &Calendar| {
        let method = calendar.method();
        ContentType::parse(&format!("text/calendar; charset=utf-8; method={method}"))
    };
    let mut files = Vec::with_capacity(calendars.len());
    if let [calendar] = calendars {
        // Some programs take only what is shown, some only what is attached: common practice,
        // no source. Both have one UID, so that nobody gets the turn twice.
        parts = parts.singlepart(part(kind(calendar)?, &calendar.write(), form)?);
        files.push(("turn.ics".to_owned(), ContentType::parse(ICS)?));
    } else {
        for (calendar, number) in calendars.iter().zip(1..) {
            files.push((format!("turn-{number}.ics"), kind(calendar)?));
        }
    }
    let mut all = MultiPart::builder()
        .kind(MultiPartKind::Mixed)
        .boundary(format!("all-{}", id.simple()))
        .multipart(parts);
    for (calendar, (name, kind)) in calendars.iter().zip(files) {
        let body = file(&calendar.write(), form)?;
        all = all.singlepart(Attachment::new(name).body(body, kind));
    }
    Ok(all)
}

fn part(content_type: ContentType, text: &str, form: Form) -> Built<SinglePart> {
    let body = encoded(text, form)?;
    Ok(SinglePart::builder().header(content_type).body(body))
}

/// What the letter is about, if others may be about the same.
fn thread(letter: &Letter) -> Option<Uuid> {
    let content = &letter.content;
    let turn = match content.calendar.as_slice() {
        [one] => Some(one.turn.0),
        _ => None,
    };
    content.thread.or(turn)
}

/// What people are called holds no control characters; `lettre` panics on one in a header, so
/// this does not take the database's word for it.
fn on_one_line(name: &str) -> String {
    name.replace(char::is_control, " ")
}

fn encoded(text: &str, form: Form) -> Built<Body> {
    match form {
        Form::Readable => readable(text),
        Form::Portable => portable(text),
    }
}

/// The usual encoding would break the token where its line is long.
/// A file goes byte for byte: quoted-printable would make its ends of lines those of whoever
/// reads it (RFC 2045, section 6.7).
fn file(text: &str, form: Form) -> Built<Body> {
    match form {
        Form::Readable => readable(text),
        Form::Portable => {
            let bytes = text.as_bytes().to_vec();
            Body::new_with_encoding(bytes, ContentTransferEncoding::Base64)
                .map_err(|_| "a file cannot be encoded".into())
        }
    }
}

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

fn portable(text: &str) -> Built<Body> {
    let encoding = ContentTransferEncoding::QuotedPrintable;
    Body::new_with_encoding(text.to_owned(), encoding)
        .map_err(|_| "a part cannot be encoded".into())
}
