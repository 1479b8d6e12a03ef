//! Two who do not share a turn. Only whoever knows the people of the house sees and says so:
//! nobody else learns of it from a list, an export, the trail or a refusal, and no reason is
//! kept.

use super::membership::{admit, admit_to_change};
use super::trail::{self, Subject};
use super::{Desk, DeskError, Errand, Noun, Page};
use crate::clock;
use crate::store::limits::{self, ApartRow};
use crate::store::{Conn, members};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use serde_json::json;
use std::fmt;
use uuid::Uuid;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{ApartPairId, MemberId, SiteId};

/// Pairs that a site may have.
const MOST_PAIRS: i64 = 1_000;

/// A pair that is kept apart. Its `Debug` output holds nobody.
#[derive(Clone, PartialEq, Eq)]
pub struct ApartPair {
    /// The key within the site.
    pub id: ApartPairId,
    /// The two, with what they are called unless it was erased.
    pub members: [(MemberId, Option<String>); 2],
    /// Since when.
    pub created_at: DateTime<Utc>,
}

impl fmt::Debug for ApartPair {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "ApartPair({})", self.id)
    }
}

/// The pairs of a site.
pub async fn list_pairs(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    after: Option<Uuid>,
    limit: u16,
) -> Result<Page<ApartPair>, DeskError> {
    desk.store()
        .read("list pairs apart", errand, move |conn, errand| {
            async move {
                admit(conn, errand, site, Deed::KeepApart).await?;
                let rows = limits::page_of_apart(conn, site, after, i64::from(limit) + 1).await?;
                Ok(Page::cut(named(conn, site, rows).await?, limit))
            }
            .boxed()
        })
        .await
}

/// Keeps two apart from now on; places that they share already stay theirs.
///
/// # Errors
/// [`DeskError::Conflicting`] when the two are one, are kept apart already, or do not belong
/// to the site.
pub async fn keep_apart(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    two: [MemberId; 2],
) -> Result<ApartPairId, DeskError> {
    desk.write("keep two apart", errand, two, move |conn, errand, two| {
        async move {
            let who = admit_to_change(conn, errand, site, Deed::KeepApart).await?;
            let [one, other] = *two;
            if one == other {
                return Err(refused("must be two members"));
            }
            if members::lock(conn, site, two).await?.len() < 2 {
                return Err(refused("must be members of this site"));
            }
            if limits::count_apart(conn, site).await? >= MOST_PAIRS {
                return Err(DeskError::TooMany { what: "pairs" });
            }
            let id = ApartPairId(clock::fresh_id());
            let row = ApartRow {
                site_id: site.0,
                id: id.0,
                one_id: one.min(other).0,
                other_id: one.max(other).0,
                created_at: errand.now,
            };
            limits::insert_pair(conn, &row).await.map_err(|error| {
                let there = refused("must not be kept apart already");
                DeskError::from(error).where_taken("apart_pairs_once", there)
            })?;
            // That a pair came, but not which one: educators read the trail.
            let detail = json!({});
            trail::leave(
                conn,
                &who,
                errand.now,
                "two_kept_apart",
                Subject::Site,
                detail,
            )
            .await?;
            Ok(id)
        }
        .boxed()
    })
    .await
}

/// Keeps two apart no more.
pub async fn end_pair(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    pair: ApartPairId,
) -> Result<(), DeskError> {
    desk.write("end a pair apart", errand, (), move |conn, errand, ()| {
        async move {
            let who = admit_to_change(conn, errand, site, Deed::KeepApart).await?;
            if !limits::remove_pair(conn, site, pair).await? {
                return Err(DeskError::NotFound(Noun::ApartPair));
            }
            let (detail, subject) = (json!({}), Subject::Site);
            trail::leave(
                conn,
                &who,
                errand.now,
                "two_not_kept_apart",
                subject,
                detail,
            )
            .await
        }
        .boxed()
    })
    .await
}

async fn named(
    conn: &mut Conn,
    site: SiteId,
    rows: Vec<ApartRow>,
) -> Result<Vec<ApartPair>, DeskError> {
    let of: Vec<MemberId> = rows
        .iter()
        .flat_map(|row| [MemberId(row.one_id), MemberId(row.other_id)])
        .collect();
    let names = members::names_of(conn, site, &of).await?;
    let called = |id: Uuid| {
        let found = names.iter().find(|(member, _)| member.0 == id);
        (MemberId(id), found.map(|(_, name)| name.clone()))
    };
    Ok(rows
        .into_iter()
        .map(|row| ApartPair {
            id: ApartPairId(row.id),
            members: [called(row.one_id), called(row.other_id)],
            created_at: row.created_at,
        })
        .collect())
}

fn refused(detail: &str) -> DeskError {
    DeskError::conflict("/member_ids", detail)
}
