//! Reading what owed letters say, several at once: what they share is read once for all of them.

use super::{Answer, Found, invitation, read};
use crate::desk::credentials::{Credentials, LinkFor};
use crate::desk::reckoning::Reckoning;
use crate::desk::sites::{Words, words};
use crate::desk::{Desk, DeskError};
use crate::store::letter_sources::{self, InvitationLetter, Reader};
use crate::store::letters::LetterRow;
use crate::store::{Conn, Failure, StoreError};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use serde::de::DeserializeOwned;
use std::collections::HashMap;
use std::panic::AssertUnwindSafe;
use std::sync::Arc;
use uuid::Uuid;
use wormrota_domain::ids::{InvitationId, MemberId, SiteId};
use wormrota_domain::letters::{LetterDeed, LetterKind};
use wormrota_domain::phrase::Phrase;

/// A row that is read, with what it is read by.
pub(super) struct Reading {
    /// The row.
    pub row: LetterRow,
    /// The member it is for and the words of their site, if it is for one who is there.
    pub whom: Option<Whom>,
    /// The clocks and constants.
    pub by: Reckoning,
    /// What makes the secrets of links.
    pub credentials: Arc<Credentials>,
    /// The invitations that rows of the same tray are about.
    pub invitations: Arc<HashMap<(SiteId, InvitationId), InvitationLetter>>,
}

/// A member who is written to, and how their site says things.
pub(super) struct Whom {
    /// The site.
    pub site: SiteId,
    /// The member.
    pub member: MemberId,
    /// What is known of them.
    pub reader: Reader,
    /// The words of the site.
    pub words: Arc<Words>,
}

impl Reading {
    /// The keys and numbers that the row was owed with.
    pub(super) fn keys<T: DeserializeOwned>(&self) -> Result<T, StoreError> {
        T::deserialize(&self.row.payload).map_err(|_| StoreError::Unreadable {
            what: "letters.payload",
        })
    }
}

/// Rows that are read together.
struct Tray {
    rows: Vec<LetterRow>,
    by: Reckoning,
    credentials: Arc<Credentials>,
}

/// What is read once for all of them.
struct Shared {
    readers: HashMap<(SiteId, MemberId), Reader>,
    invitations: Arc<HashMap<(SiteId, InvitationId), InvitationLetter>>,
}

/// What rows come to, in their order. `wall` is the machine's time.
///
/// # Errors
/// When the database cannot be reached. A row that cannot be read is [`Found::Unreadable`] and
/// stops no other.
pub async fn letters_for(
    desk: &Desk,
    rows: Vec<LetterRow>,
    wall: DateTime<Utc>,
) -> Result<Vec<Found>, DeskError> {
    if rows.is_empty() {
        return Ok(Vec::new());
    }
    let tray = Tray {
        rows,
        by: Reckoning::at(desk, wall).await?,
        credentials: desk.credentials_shared(),
    };
    // Not one transaction: a statement that fails for one letter would end it for all.
    desk.store()
        .read("read what letters say", tray, move |conn, tray| {
            read_all(conn, tray).boxed()
        })
        .await
}

async fn read_all(conn: &mut Conn, tray: &Tray) -> Result<Vec<Found>, DeskError> {
    let whom: Vec<_> = tray.rows.iter().filter_map(whom).collect();
    let invitations: Vec<_> = tray.rows.iter().filter_map(invitation::of_row).collect();
    let shared = Shared {
        readers: letter_sources::readers(conn, &whom).await?,
        invitations: Arc::new(letter_sources::invitations(conn, &invitations).await?),
    };
    let mut spoken: HashMap<SiteId, Arc<Words>> = HashMap::new();
    let mut found = Vec::with_capacity(tray.rows.len());
    for row in &tray.rows {
        let one = one(conn, tray, row, &shared, &mut spoken);
        found.push(match AssertUnwindSafe(one).catch_unwind().await {
            Ok(Ok(one)) => one,
            Ok(Err(error)) if is_of_its_row(&error) => Found::Unreadable,
            Ok(Err(error)) => return Err(error),
            Err(_) => {
                tracing::error!(letter = %row.id, "a letter breaks down whoever reads it");
                Found::Unreadable
            }
        });
    }
    Ok(found)
}

async fn one(
    conn: &mut Conn,
    tray: &Tray,
    row: &LetterRow,
    shared: &Shared,
    spoken: &mut HashMap<SiteId, Arc<Words>>,
) -> Result<Found, DeskError> {
    let kind = LetterKind::from_code(&row.kind).ok_or(StoreError::Unreadable {
        what: "letters.kind",
    })?;
    let known = whom(row).and_then(|whom| Some((whom, shared.readers.get(&whom)?.clone())));
    let whom = match known {
        None => None,
        Some(((site, member), reader)) => {
            let words = if let Some(words) = spoken.get(&site) {
                Arc::clone(words)
            } else {
                let words = Arc::new(words(conn, site).await?);
                spoken.insert(site, Arc::clone(&words));
                words
            };
            Some(Whom {
                site,
                member,
                reader,
                words,
            })
        }
    };
    let reading = Reading {
        row: row.clone(),
        whom,
        by: tray.by.clone(),
        credentials: Arc::clone(&tray.credentials),
        invitations: Arc::clone(&shared.invitations),
    };
    let mut found = read(conn, kind, &reading).await?;
    if let Found::Letter(letter) = &mut found {
        letter.fewer = (kind.manner().group).map(|_| fewer(&tray.credentials, row.id));
    }
    Ok(found)
}

/// For which member a row is, if for one.
fn whom(row: &LetterRow) -> Option<(SiteId, MemberId)> {
    Some((SiteId(row.site_id?), MemberId(row.member_id?)))
}

/// Whether it is the row, or what it is about, that is at fault.
fn is_of_its_row(error: &DeskError) -> bool {
    matches!(
        error.store_error(),
        Some(StoreError::Unreadable { .. } | StoreError::Broken(_))
    )
}

/// The link that ends letters of the same sort as this one.
fn fewer(credentials: &Credentials, letter: Uuid) -> Answer {
    let deed = LetterDeed::Stop;
    Answer {
        label: Phrase::of("letter-fewer"),
        deed,
        token: credentials.links.token(LinkFor::Letter(deed), letter),
    }
}
