//! Links of one's own account: which were asked for, and taking one back.

use super::ask_for_link::LinkKind;
use super::{Desk, DeskError, Errand, Noun, Page};
use crate::clock;
use crate::store::account_links::{self, LinkRow};
use crate::store::{Conn, accounts};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use uuid::Uuid;
use wormrota_domain::ids::{AccountId, LinkId};

/// Links that are listed at most.
const MOST_LISTED: i64 = 50;

/// How a link stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LinkState {
    /// It can be used.
    Open,
    /// It was used.
    Used,
    /// It was taken back.
    Revoked,
    /// Its time is over.
    Expired,
}

impl LinkState {
    /// The word for it.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Used => "used",
            Self::Revoked => "revoked",
            Self::Expired => "expired",
        }
    }

    /// How a link stands at an instant.
    #[must_use]
    pub fn of(link: &LinkRow, wall: DateTime<Utc>) -> Self {
        if link.used_at.is_some() {
            Self::Used
        } else if link.revoked_at.is_some() {
            Self::Revoked
        } else if link.expires_at <= wall {
            Self::Expired
        } else {
            Self::Open
        }
    }
}

/// The caller's links of the last weeks with how each stands, the newest first.
pub async fn list_links(
    desk: &Desk,
    errand: Errand,
) -> Result<Page<(LinkRow, LinkState)>, DeskError> {
    let rows = desk
        .store()
        .read("list links", errand.account, |conn, account| {
            async move {
                let links = account_links::newest_of(conn, *account, MOST_LISTED).await?;
                Ok::<_, DeskError>(links)
            }
            .boxed()
        })
        .await?;
    let wall = clock::wall();
    let stands = |link: LinkRow| {
        let state = LinkState::of(&link, wall);
        (link, state)
    };
    Ok(Page {
        items: rows.into_iter().map(stands).collect(),
        more: false,
    })
}

/// Takes back one of the caller's links.
///
/// # Errors
/// [`DeskError::NotFound`] when the caller has no such link open.
pub async fn revoke_link(desk: &Desk, errand: Errand, link: LinkId) -> Result<(), DeskError> {
    let revoked = desk
        .store()
        .transact("revoke a link", errand.account, move |conn, account| {
            async move {
                let wall = clock::wall();
                Ok::<_, DeskError>(account_links::revoke(conn, *account, &[link], wall).await?)
            }
            .boxed()
        })
        .await?;
    (revoked == 1)
        .then_some(())
        .ok_or(DeskError::NotFound(Noun::Link))
}

/// The account of a link of one kind that can be used now.
pub(super) async fn owner(
    conn: &mut Conn,
    kind: LinkKind,
    link: LinkId,
) -> Result<AccountId, DeskError> {
    let row = account_links::by_id(conn, link).await?;
    let open = |row: &LinkRow| LinkState::of(row, clock::wall()) == LinkState::Open;
    row.filter(|row| row.kind == kind.code() && open(row))
        .and_then(|row| row.account_id)
        .map(AccountId)
        .ok_or(DeskError::LinkRefused)
}

/// The link that a token is for.
pub(super) fn of_token(desk: &Desk, kind: LinkKind, token: &str) -> Result<LinkId, DeskError> {
    let links = &desk.credentials().links;
    let row: Option<Uuid> = links.verify(kind.purpose(), token);
    row.map(LinkId).ok_or(DeskError::LinkRefused)
}

/// Uses a link up within a transaction that holds its account.
pub(super) async fn use_up(conn: &mut Conn, link: LinkId) -> Result<(), DeskError> {
    let used = account_links::use_up(conn, link, clock::wall()).await?;
    used.then_some(()).ok_or(DeskError::LinkRefused)
}

/// The account of a link, with its address.
pub(super) async fn account_of(
    conn: &mut Conn,
    kind: LinkKind,
    link: LinkId,
) -> Result<accounts::AccountRow, DeskError> {
    let owner = owner(conn, kind, link).await?;
    let account = accounts::by_id(conn, owner).await?;
    account.ok_or(DeskError::LinkRefused)
}
