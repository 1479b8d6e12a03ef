//! Whose letters come back.

use crate::store::schema::members;
use crate::store::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{AccountId, MemberId, SiteId};

/// Whose letters come back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bounced {
    /// A member's.
    Member(SiteId, MemberId),
    /// An account's, and so those of every member that it is.
    Account(AccountId),
}

/// Notes since when letters to somebody come back, or that they do not, for several at once.
/// What is noted already stays; says whose letters begin to come back.
pub async fn note_bounces(
    conn: &mut Conn,
    all: &[(Bounced, Option<DateTime<Utc>>)],
) -> Result<Vec<(SiteId, MemberId)>, StoreError> {
    let mut news = Vec::new();
    let (mut sites, mut ids, mut accounts) = (Vec::new(), Vec::new(), Vec::new());
    for (whose, since) in all {
        match (*whose, *since) {
            (whose, Some(since)) => news.extend(note_bounce(conn, whose, since).await?),
            (Bounced::Member(site, member), None) => {
                sites.push(site.0);
                ids.push(member.0);
            }
            (Bounced::Account(account), None) => accounts.push(account.0),
        }
    }
    let over = || members::bounced_at.eq(None::<DateTime<Utc>>);
    let noted = || members::table.filter(members::bounced_at.is_not_null());
    if !ids.is_empty() {
        // A key belongs to one member of one site.
        let whose = noted()
            .filter(members::site_id.eq_any(sites))
            .filter(members::id.eq_any(ids));
        diesel::update(whose).set(over()).execute(conn).await?;
    }
    if !accounts.is_empty() {
        let whose = noted().filter(members::account_id.eq_any(accounts));
        diesel::update(whose).set(over()).execute(conn).await?;
    }
    Ok(news)
}

async fn note_bounce(
    conn: &mut Conn,
    whose: Bounced,
    since: DateTime<Utc>,
) -> Result<Vec<(SiteId, MemberId)>, StoreError> {
    let query = diesel::update(members::table)
        .set(members::bounced_at.eq(since))
        .filter(members::bounced_at.is_null())
        .into_boxed();
    let query = match whose {
        Bounced::Member(site, member) => query
            .filter(members::site_id.eq(site.0))
            .filter(members::id.eq(member.0)),
        Bounced::Account(account) => query.filter(members::account_id.eq(account.0)),
    };
    let news: Vec<(Uuid, Uuid)> = query
        .returning((members::site_id, members::id))
        .get_results(conn)
        .await?;
    Ok(news
        .into_iter()
        .map(|(site, member)| (SiteId(site), MemberId(member)))
        .collect())
}
