//! Owing letters: a letter is owed in the transaction of its cause, and sent by whichever copy
//! leases it.

use crate::clock;
use crate::store::letters::LetterRow;
use chrono::{DateTime, Utc};
use serde::Serialize;
use wormrota_domain::ids::{AccountId, MemberId, SiteId};
use wormrota_domain::letters::{LetterKind, LetterState};

/// Whom a letter is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum For {
    /// Somebody at a site.
    Member(SiteId, MemberId),
    /// An account; none when an address has none, and then nobody gets it.
    Account(Option<AccountId>),
}

/// A letter that is owed from now on.
#[derive(Debug, Clone)]
pub(super) struct Owing {
    /// What it is about.
    pub kind: LetterKind,
    /// In keys that the program composes: owing the same letter twice is one row.
    pub purpose: String,
    /// Whom it is for.
    pub whom: For,
    /// From then on it helps nobody, by the machine's clock.
    pub too_late_at: DateTime<Utc>,
    /// Until when its links do something, by the machine's clock; none where it has no links.
    pub links_until: Option<DateTime<Utc>>,
}

impl Owing {
    /// Its row, with the keys and numbers that it is read by. `wall` is the machine's time.
    pub(super) fn row(self, keys: &impl Serialize, wall: DateTime<Utc>) -> LetterRow {
        let (site, member, account) = match self.whom {
            For::Member(site, member) => (Some(site.0), Some(member.0), None),
            For::Account(account) => (None, None, account.map(|account| account.0)),
        };
        let nobodys = self.whom == For::Account(None);
        let state = if nobodys {
            LetterState::NotWanted
        } else {
            LetterState::Owed
        };
        LetterRow {
            id: clock::fresh_id(),
            site_id: site,
            kind: self.kind.code().to_owned(),
            purpose: self.purpose,
            account_id: account,
            member_id: member,
            // What cannot be written as JSON is told when it is to be read.
            payload: serde_json::to_value(keys).unwrap_or_default(),
            goes_first: self.kind.manner().goes_first,
            state: state.code().to_owned(),
            due_at: wall,
            too_late_at: self.too_late_at,
            attempts: 0,
            leased_until: None,
            reason: None,
            created_at: wall,
            closed_at: nobodys.then_some(wall),
            links_until: self.links_until,
            answer: None,
            answered_at: None,
            links_revoked_at: None,
        }
    }
}
