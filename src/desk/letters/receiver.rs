//! Whom a letter about a site goes to, and whether they want it.

use super::content::{Content, Letter, Part};
use super::{Found, Reading};
use crate::desk::membership::Membership;
use crate::store::letter_sources::Reader;
use crate::store::{Conn, StoreError, members};
use chrono::{DateTime, Utc};
use uuid::Uuid;
use wormrota_domain::ids::{MemberId, SiteId};
use wormrota_domain::letters::{LetterKind, Reason};
use wormrota_domain::phrase::Phrase;
use wormrota_domain::speech::SpeechOf;

/// A member of a site who can be written to.
pub(super) struct Receiver {
    /// The site.
    pub site: SiteId,
    /// Who.
    pub member: MemberId,
    /// What they are called.
    pub name: Option<String>,
    /// What the site is called.
    pub site_name: String,
    /// How they want things said.
    pub speech: SpeechOf,
    address: String,
    not_before: Option<DateTime<Utc>>,
}

/// Somebody who is not written to, and why.
pub(super) type Nobody = Found;

impl Receiver {
    /// Whom the row is for, if they are there, have an address and want such letters.
    pub(super) fn of(at: &Reading) -> Result<Result<Self, Nobody>, StoreError> {
        let unreadable = |what| StoreError::Unreadable { what };
        let kind = LetterKind::from_code(&at.row.kind).ok_or(unreadable("letters.kind"))?;
        let there = at.whom.as_ref();
        let Some(whom) = there.filter(|whom| whom.reader.left_at.is_none()) else {
            return Ok(Err(Found::Settled));
        };
        let (reader, words) = (&whom.reader, &whom.words);
        if let Some(reason) = unwanted(kind, reader) {
            return Ok(Err(Found::Unwanted(reason)));
        }
        let Some(address) = reader.email_lower.clone() else {
            return Ok(Err(Found::Settled));
        };
        let speech = words.speech_of_member(reader.speech.language.as_deref())?;
        let wait = words.site.quiet.not_before(at.by.now, speech.zone) - at.by.now;
        let waits = kind.manner().keeps_quiet && wait.num_seconds() > 0;
        Ok(Ok(Self {
            site: whom.site,
            member: whom.member,
            name: reader.name.clone(),
            site_name: reader.site_name.clone(),
            speech,
            address,
            not_before: waits.then(|| at.by.wall + wait),
        }))
    }

    /// Who they are at the site: what they see of others depends on it.
    pub(super) async fn membership(&self, conn: &mut Conn) -> Result<Membership, StoreError> {
        let (site, member) = (self.site, self.member);
        let person = members::person(conn, site, member).await?;
        Ok(Membership {
            site,
            member,
            roles: person.map(|person| person.roles).unwrap_or_default(),
        })
    }

    /// A letter to them.
    pub(super) fn letter(self, content: Content) -> Found {
        self.letter_for(Vec::new(), content)
    }

    /// A letter to them that speaks for other owed ones too.
    pub(super) fn letter_for(self, speaks_for: Vec<Uuid>, content: Content) -> Found {
        Found::Letter(Box::new(Letter {
            address: self.address,
            name: self.name,
            speech: self.speech,
            content,
            fewer: None,
            not_before: self.not_before,
            speaks_for,
        }))
    }
}

/// Hello, with their name where it is known.
pub(super) fn greeting(name: Option<&str>) -> Part {
    Part::sentence(match name {
        Some(name) => Phrase::of("letter-greeting").with_text("name", name),
        None => Phrase::of("letter-greeting-nameless"),
    })
}

fn unwanted(kind: LetterKind, reader: &Reader) -> Option<Reason> {
    let manner = kind.manner();
    if reader.bounced_at.is_some() && !manner.goes_anyhow {
        return Some(Reason::AddressPaused);
    }
    let group = manner.group?;
    let off = reader.letters_off.iter().any(|code| code == group.code());
    off.then_some(Reason::TurnedOff)
}
