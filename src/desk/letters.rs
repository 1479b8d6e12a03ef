//! What an owed letter says and to whom, read when it is written: names and addresses stand
//! in no job, and a link that was used meanwhile is not sent.

use super::credentials::LinkFor;
use super::{Desk, DeskError};
use crate::store::letters::{self, InvitationLetter, LinkLetter};
use crate::store::{Conn, StoreError};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use serde::Deserialize;
use serde_json::Value;
use std::fmt;
use uuid::Uuid;
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::ids::{AccountId, InvitationId, LinkId, SiteId};
use wormrota_domain::site::Language;

/// A letter that can be written. Its `Debug` output holds neither name, address nor token.
pub struct Letter {
    /// Whom it goes to.
    pub address: String,
    /// The language that it is written in.
    pub language: Language,
    /// The zone in which its times are meant.
    pub zone: SiteZone,
    /// What it is about.
    pub about: About,
    /// The secret of its link.
    pub token: String,
    /// Until when the link works.
    pub expires_at: DateTime<Utc>,
}

/// What a letter is about.
pub enum About {
    /// An invitation to a site.
    Invitation {
        /// What the receiver is called.
        name: Option<String>,
        /// What the site is called.
        site: String,
    },
    /// Setting a new password.
    Reset,
    /// Signing in without a password.
    SignIn,
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
            Self::Reset => "Reset",
            Self::SignIn => "SignIn",
        })
    }
}

/// What the job of a letter knows.
#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
enum Owed {
    Invitation { invitation: Uuid, site: Uuid },
    Reset { link: Uuid },
    SignIn { link: Uuid },
}

/// The letter that a job owes; none when its link was used, revoked or has expired, or when
/// nobody is there to receive it. `wall` is the machine's time, which links live by.
///
/// # Errors
/// When the job is of no known kind, or the database cannot be reached.
pub async fn letter_for(
    desk: &Desk,
    payload: &Value,
    wall: DateTime<Utc>,
) -> Result<Option<Letter>, DeskError> {
    let owed = Owed::deserialize(payload)
        .map_err(|error| DeskError::broken(format!("a letter of no known kind: {error}")))?;
    let found = desk
        .store()
        .read("read what a letter says", owed, move |conn, owed| {
            async move {
                match *owed {
                    Owed::Invitation { invitation, site } => {
                        let (site, id) = (SiteId(site), InvitationId(invitation));
                        let row = letters::invitation(conn, site, id).await?;
                        row.map_or(Ok(None), |row| invited(row, wall))
                    }
                    Owed::Reset { link } => linked(conn, LinkId(link), "reset", wall).await,
                    Owed::SignIn { link } => linked(conn, LinkId(link), "sign_in", wall).await,
                }
            }
            .boxed()
        })
        .await?;
    let (purpose, row) = match owed {
        Owed::Invitation { invitation, .. } => (LinkFor::Invitation, invitation),
        Owed::Reset { link } => (LinkFor::Reset, link),
        Owed::SignIn { link } => (LinkFor::SignIn, link),
    };
    Ok(found.map(|letter| Letter {
        token: desk.credentials().links.token(purpose, row),
        ..letter
    }))
}

fn invited(row: InvitationLetter, wall: DateTime<Utc>) -> Result<Option<Letter>, DeskError> {
    let over = row.accepted_at.is_some() || row.revoked_at.is_some() || row.left_at.is_some();
    let Some(address) = row.email_lower else {
        return Ok(None);
    };
    if over || row.expires_at <= wall {
        return Ok(None);
    }
    let language = row.language.unwrap_or(row.site_language);
    Ok(Some(Letter {
        address,
        language: language_of(&language)?,
        zone: zone_of(&row.zone)?,
        about: About::Invitation {
            name: row.name,
            site: row.site_name,
        },
        token: String::new(),
        expires_at: row.expires_at,
    }))
}

async fn linked(
    conn: &mut Conn,
    id: LinkId,
    kind: &str,
    wall: DateTime<Utc>,
) -> Result<Option<Letter>, DeskError> {
    let row = letters::link(conn, id).await?;
    let alive = |row: &LinkLetter| {
        row.kind == kind
            && row.used_at.is_none()
            && row.revoked_at.is_none()
            && row.expires_at > wall
    };
    let Some(row) = row.filter(alive) else {
        return Ok(None);
    };
    let Some(address) = row.email_lower else {
        return Ok(None);
    };
    let known = letters::language_and_zone(conn, AccountId(row.account_id)).await?;
    let (language, zone) = match known {
        Some((language, zone)) => (language_of(&language)?, zone_of(&zone)?),
        None => (Language::English, SiteZone::UTC),
    };
    Ok(Some(Letter {
        address,
        language,
        zone,
        about: match kind {
            "reset" => About::Reset,
            _ => About::SignIn,
        },
        token: String::new(),
        expires_at: row.expires_at,
    }))
}

fn language_of(code: &str) -> Result<Language, DeskError> {
    let unreadable = StoreError::Unreadable { what: "a language" };
    Language::from_code(code).ok_or_else(|| unreadable.into())
}

fn zone_of(name: &str) -> Result<SiteZone, DeskError> {
    let unreadable = StoreError::Unreadable { what: "sites.zone" };
    name.parse().map_err(|_| unreadable.into())
}
