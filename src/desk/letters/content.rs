//! What a letter says, before it is words.

use chrono::{DateTime, NaiveDate, Utc};
use std::fmt;
use uuid::Uuid;
use wormrota_domain::ids::{MemberId, TurnId};
use wormrota_domain::letters::LetterDeed;
use wormrota_domain::phrase::Phrase;
use wormrota_domain::speech::SpeechOf;

/// A letter that can be sent. Its `Debug` output holds neither name, address nor token.
pub struct Letter {
    /// Whom it goes to.
    pub address: String,
    /// What they are called.
    pub name: Option<String>,
    /// How they want things said.
    pub speech: SpeechOf,
    /// What it says.
    pub content: Content,
    /// The link at its foot that ends letters of its sort, where they can be ended.
    pub fewer: Option<Answer>,
    /// From when on it may go, by the machine's clock; at once without.
    pub not_before: Option<DateTime<Utc>>,
    /// Other owed letters that it speaks for: they need not go once it was sent.
    pub speaks_for: Vec<Uuid>,
}

/// What a letter says.
#[derive(Debug, Clone, PartialEq)]
pub struct Content {
    /// What it is about, in a few words.
    pub subject: Phrase,
    /// What stands in it, one part below the other.
    pub parts: Vec<Part>,
    /// What it brings into its reader's calendar, or takes out of it.
    pub calendar: Vec<Appointment>,
    /// The key of what it is about: mail programs show letters with the same one together.
    /// Without one a letter with one appointment stands with the others about its turn.
    pub thread: Option<Uuid>,
}

/// A member's turn in their calendar. What a letter says about it replaces what every letter
/// that was owed before said.
#[derive(Debug, Clone, PartialEq)]
pub struct Appointment {
    /// Which turn.
    pub turn: TurnId,
    /// Whose.
    pub member: MemberId,
    /// The local day.
    pub on_date: NaiveDate,
    /// From when to when; a turn without hours stands above the day and keeps nobody busy.
    pub hours: Option<(DateTime<Utc>, DateTime<Utc>)>,
    /// What it is called.
    pub title: Phrase,
    /// What else there is to say, each a sentence.
    pub description: Vec<Phrase>,
    /// Where the bin stands: the site's name, as in the calendars that people subscribe to.
    pub location: String,
    /// Whether the reader is not to come any more.
    pub is_off: bool,
}

/// A part of a letter.
#[derive(Clone, PartialEq)]
pub enum Part {
    /// Sentences that belong together.
    Paragraph(Vec<Phrase>),
    /// Points of a list, each a sentence.
    Points(Vec<Phrase>),
    /// What to do, one step after the other.
    Steps(Vec<Phrase>),
    /// A few words above what follows.
    Heading(Phrase),
    /// A request that a program can send.
    Request(Request),
    /// A link to a page of its own, where something is typed.
    Page(PageLink),
    /// Links, of which the reader follows one.
    Answers(Vec<Answer>),
    /// What need not be read first.
    Aside(Vec<Phrase>),
}

/// A request to the API with the secret that lets it in.
#[derive(Clone, PartialEq, Eq)]
pub struct Request {
    /// Its path.
    pub path: &'static str,
    /// The secret.
    pub token: String,
    /// What else stands in its body, as JSON after the token.
    pub rest: &'static str,
}

/// A link to a page of its own.
#[derive(Clone, PartialEq)]
pub struct PageLink {
    /// What it is called.
    pub label: Phrase,
    /// Where such pages stand.
    pub path: &'static str,
    /// Its secret; without one, anybody may open it.
    pub token: Option<String>,
}

/// A link that does one thing, after a page that asks.
#[derive(Clone, PartialEq)]
pub struct Answer {
    /// What it is called.
    pub label: Phrase,
    /// What it does.
    pub deed: LetterDeed,
    /// Its secret.
    pub token: String,
}

impl Content {
    /// A letter that brings nothing into a calendar.
    pub(crate) const fn of(subject: Phrase, parts: Vec<Part>) -> Self {
        Self {
            subject,
            parts,
            calendar: Vec::new(),
            thread: None,
        }
    }

    /// The same among the letters about one thing.
    #[must_use]
    pub(in crate::desk) const fn about(mut self, key: Uuid) -> Self {
        self.thread = Some(key);
        self
    }
}

impl Part {
    /// One sentence that stands for itself.
    pub(in crate::desk) fn sentence(phrase: Phrase) -> Self {
        Self::Paragraph(vec![phrase])
    }
}

impl fmt::Debug for Letter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (subject, language) = (self.content.subject.code, self.speech.language.code());
        write!(f, "Letter({subject}, {language})")
    }
}

impl fmt::Debug for Part {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Paragraph(_) => "Paragraph",
            Self::Points(_) => "Points",
            Self::Steps(_) => "Steps",
            Self::Heading(_) => "Heading",
            Self::Request(_) => "Request",
            Self::Page(_) => "Page",
            Self::Answers(_) => "Answers",
            Self::Aside(_) => "Aside",
        })
    }
}
