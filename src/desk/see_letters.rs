//! What became of letters to members of a site. What they said and where they went stands
//! nowhere.

use super::membership::admit;
use super::{Desk, DeskError, Errand, Page};
use crate::store::StoreError;
use crate::store::letters::{self, LetterRow};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use uuid::Uuid;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{MemberId, SiteId};
use wormrota_domain::letters::{LetterDeed, LetterKind, LetterState, Reason};

/// A letter, seen from outside.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LetterSeen {
    /// The key.
    pub id: Uuid,
    /// What it is about.
    pub kind: LetterKind,
    /// Whom it is for.
    pub member: Option<MemberId>,
    /// Where it is in its life.
    pub state: LetterState,
    /// Why it was not sent, or not yet.
    pub reason: Option<Reason>,
    /// How often it was tried.
    pub attempts: u32,
    /// Since when it is owed.
    pub created_at: DateTime<Utc>,
    /// When it is tried next, while it is owed.
    pub due_at: Option<DateTime<Utc>>,
    /// Since when nothing more becomes of it: when it was sent, or closed.
    pub closed_at: Option<DateTime<Utc>>,
    /// What was answered by one of its links.
    pub answer: Option<LetterDeed>,
    /// When.
    pub answered_at: Option<DateTime<Utc>>,
}

/// Letters of a site, newest first; with `state`, only those in it.
pub async fn list_letters(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    state: Option<LetterState>,
    before: Option<Uuid>,
    limit: u16,
) -> Result<Page<LetterSeen>, DeskError> {
    desk.store()
        .read("list letters", errand, move |conn, errand| {
            async move {
                admit(conn, errand, site, Deed::SeeLetters).await?;
                let wanted = i64::from(limit) + 1;
                let rows = letters::page(conn, site, state, before, wanted).await?;
                let seen: Vec<LetterSeen> = rows.iter().map(seen).collect::<Result<_, _>>()?;
                Ok(Page::cut(seen, limit))
            }
            .boxed()
        })
        .await
}

fn seen(row: &LetterRow) -> Result<LetterSeen, StoreError> {
    let unreadable = |what| StoreError::Unreadable { what };
    let state = LetterState::from_code(&row.state).ok_or(unreadable("letters.state"))?;
    let answer = |code: &str| LetterDeed::from_code(code).ok_or(unreadable("letters.answer"));
    let reason = |code: &str| Reason::from_code(code).ok_or(unreadable("letters.reason"));
    Ok(LetterSeen {
        id: row.id,
        kind: LetterKind::from_code(&row.kind).ok_or(unreadable("letters.kind"))?,
        member: row.member_id.map(MemberId),
        state,
        reason: row.reason.as_deref().map(reason).transpose()?,
        attempts: u32::try_from(row.attempts).unwrap_or(0),
        created_at: row.created_at,
        due_at: (state == LetterState::Owed).then_some(row.due_at),
        closed_at: row.closed_at,
        answer: row.answer.as_deref().map(answer).transpose()?,
        answered_at: row.answered_at,
    })
}
