//! What an owed letter says and to whom, read when it is sent: names and addresses stand in
//! no row of its own, and a link that was used meanwhile is not sent.

use super::credentials::LinkFor;
use super::{Desk, DeskError};
use crate::store::letter_sources::{
    self, BookingLetter, InvitationLetter, LinkLetter, Reader, Speech,
};
use crate::store::letters::LetterRow;
use crate::store::{Conn, StoreError};
use chrono::{DateTime, NaiveDate, Utc};
use futures_util::FutureExt;
use serde::Deserialize;
use std::fmt;
use uuid::Uuid;
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::ids::{AccountId, BookingId, InvitationId, LinkId, SiteId};
use wormrota_domain::letters::LetterKind;
use wormrota_domain::site::{Language, UnitSystem};
use wormrota_domain::units::Grams;

/// A letter that can be sent. Its `Debug` output holds neither name, address nor token.
pub struct Letter {
    /// Whom it goes to.
    pub address: String,
    /// The language that it is written in.
    pub language: Language,
    /// The units that it speaks in.
    pub units: UnitSystem,
    /// The zone in which its times are meant.
    pub zone: SiteZone,
    /// What it is about.
    pub about: About,
}

/// What a letter is about.
pub enum About {
    /// An invitation to a site.
    Invitation {
        /// What the receiver is called.
        name: Option<String>,
        /// What the site is called.
        site: String,
        /// What accepts it.
        link: Link,
    },
    /// Setting a new password.
    Reset(Link),
    /// Signing in without a password.
    SignIn(Link),
    /// A booking that the bin can no longer take in full.
    BookingShrunk {
        /// What the receiver is called.
        name: Option<String>,
        /// What the bin is called.
        bin: String,
        /// The booked day, as the site counts days.
        on: NaiveDate,
        /// What was promised.
        promised: Grams,
        /// What is left of it.
        kept: Grams,
    },
}

/// A link that works once.
pub struct Link {
    /// Its secret.
    pub token: String,
    /// Until when it works.
    pub expires_at: DateTime<Utc>,
}

impl fmt::Debug for Letter {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Letter({:?}, {})", self.about, self.language.code())
    }
}

impl fmt::Debug for About {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Invitation { .. } => "Invitation",
            Self::Reset(_) => "Reset",
            Self::SignIn(_) => "SignIn",
            Self::BookingShrunk { .. } => "BookingShrunk",
        })
    }
}

impl fmt::Debug for Link {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Link(until {})", self.expires_at)
    }
}

/// What a row's payload says, with what its columns say.
#[derive(Debug, Clone, Copy)]
enum Owed {
    Invitation(SiteId, InvitationId),
    Link(LinkKind, LinkId),
    BookingShrunk(SiteId, BookingId, Grams),
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum LinkKind {
    Reset,
    SignIn,
}

impl LinkKind {
    const fn code(self) -> &'static str {
        match self {
            Self::Reset => LetterKind::Reset.code(),
            Self::SignIn => LetterKind::SignIn.code(),
        }
    }
}

#[derive(Deserialize)]
struct InvitationKeys {
    invitation: Uuid,
}

#[derive(Deserialize)]
struct LinkKeys {
    link: Uuid,
}

#[derive(Deserialize)]
struct BookingKeys {
    booking_id: Uuid,
    kept_g: i64,
}

impl Owed {
    fn read(row: &LetterRow) -> Option<Self> {
        let payload = &row.payload;
        let link = || Some(LinkId(LinkKeys::deserialize(payload).ok()?.link));
        Some(match LetterKind::from_code(&row.kind)? {
            LetterKind::Invitation => {
                let keys = InvitationKeys::deserialize(payload).ok()?;
                Self::Invitation(SiteId(row.site_id?), InvitationId(keys.invitation))
            }
            LetterKind::Reset => Self::Link(LinkKind::Reset, link()?),
            LetterKind::SignIn => Self::Link(LinkKind::SignIn, link()?),
            LetterKind::BookingShrunk => {
                let keys = BookingKeys::deserialize(payload).ok()?;
                let site = SiteId(row.site_id?);
                Self::BookingShrunk(site, BookingId(keys.booking_id), Grams(keys.kept_g))
            }
        })
    }
}

/// The letter that a row owes; none when what it is about is settled, or when nobody is there
/// to receive it. `wall` is the machine's time, which links live by.
///
/// # Errors
/// [`StoreError::Unreadable`] when the row, or what it is about, cannot be read.
pub async fn letter_for(
    desk: &Desk,
    row: &LetterRow,
    wall: DateTime<Utc>,
) -> Result<Option<Letter>, DeskError> {
    let owed = Owed::read(row).ok_or(StoreError::Unreadable { what: "letters" })?;
    let links = &desk.credentials().links;
    let token = match owed {
        Owed::Invitation(_, id) => links.token(LinkFor::Invitation, id.0),
        Owed::Link(LinkKind::Reset, id) => links.token(LinkFor::Reset, id.0),
        Owed::Link(LinkKind::SignIn, id) => links.token(LinkFor::SignIn, id.0),
        Owed::BookingShrunk(..) => String::new(),
    };
    desk.store()
        .read("read what a letter says", token, move |conn, token| {
            async move {
                match owed {
                    Owed::Invitation(site, id) => {
                        let row = letter_sources::invitation(conn, site, id).await?;
                        row.map_or(Ok(None), |row| invited(row, token, wall))
                    }
                    Owed::Link(kind, id) => {
                        let row = letter_sources::link(conn, id).await?;
                        match row.filter(|row| row.kind == kind.code() && is_open(row, wall)) {
                            Some(row) => linked(conn, row, kind, token).await,
                            None => Ok(None),
                        }
                    }
                    Owed::BookingShrunk(site, id, kept) => {
                        let row = letter_sources::booking(conn, site, id).await?;
                        row.map_or(Ok(None), |row| booked(row, kept))
                    }
                }
            }
            .boxed()
        })
        .await
}

fn invited(
    row: InvitationLetter,
    token: &str,
    wall: DateTime<Utc>,
) -> Result<Option<Letter>, DeskError> {
    let over = row.accepted_at.is_some() || row.revoked_at.is_some();
    let link = Link {
        token: token.to_owned(),
        expires_at: row.expires_at,
    };
    if over || link.expires_at <= wall {
        return Ok(None);
    }
    let site = row.reader.site_name.clone();
    letter_to(row.reader, |name| About::Invitation { name, site, link })
}

fn is_open(row: &LinkLetter, wall: DateTime<Utc>) -> bool {
    row.used_at.is_none() && row.revoked_at.is_none() && row.expires_at > wall
}

async fn linked(
    conn: &mut Conn,
    row: LinkLetter,
    kind: LinkKind,
    token: &str,
) -> Result<Option<Letter>, DeskError> {
    let Some(address) = row.email_lower else {
        return Ok(None);
    };
    let link = Link {
        token: token.to_owned(),
        expires_at: row.expires_at,
    };
    let speaks = letter_sources::speech_of_account(conn, AccountId(row.account_id)).await?;
    let (language, units, zone) = match speaks {
        Some(speech) => spoken(&speech)?,
        None => (Language::English, UnitSystem::Metric, SiteZone::UTC),
    };
    Ok(Some(Letter {
        address,
        language,
        units,
        zone,
        about: match kind {
            LinkKind::Reset => About::Reset(link),
            LinkKind::SignIn => About::SignIn(link),
        },
    }))
}

fn booked(row: BookingLetter, kept: Grams) -> Result<Option<Letter>, DeskError> {
    if !row.is_open {
        return Ok(None);
    }
    letter_to(row.reader, |name| About::BookingShrunk {
        name,
        bin: row.bin_name,
        on: row.on_date,
        promised: Grams(row.promised_g),
        kept,
    })
}

/// A letter to somebody, if they are still there and have an address.
fn letter_to(
    reader: Reader,
    about: impl FnOnce(Option<String>) -> About,
) -> Result<Option<Letter>, DeskError> {
    let Some(address) = reader.email_lower.filter(|_| reader.left_at.is_none()) else {
        return Ok(None);
    };
    let (language, units, zone) = spoken(&reader.speech)?;
    Ok(Some(Letter {
        address,
        language,
        units,
        zone,
        about: about(reader.name),
    }))
}

fn spoken(speech: &Speech) -> Result<(Language, UnitSystem, SiteZone), StoreError> {
    let unreadable = |what| StoreError::Unreadable { what };
    let language = speech.language.as_ref().unwrap_or(&speech.site_language);
    Ok((
        Language::from_code(language).ok_or(unreadable("a language"))?,
        UnitSystem::from_code(&speech.units).ok_or(unreadable("sites.units"))?,
        speech.zone.parse().map_err(|_| unreadable("sites.zone"))?,
    ))
}
