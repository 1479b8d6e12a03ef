//! What a member cannot, likes and would rather not, and what the planner has to know of them:
//! read and said, for oneself or, by whoever looks after the site, for anybody.

use super::at_hand::unreadable;
use super::membership::{Membership, admit};
use super::people::let_in;
use super::said_limits::NewLimits;
use super::trail::{self, Subject};
use super::{Desk, DeskError, Errand, Noun};
use crate::store::limits::{self, LimitsRow};
use crate::store::{Conn, bins, members};
use futures_util::FutureExt;
use serde_json::json;
use std::collections::BTreeSet;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BinId, MemberId, SiteId};
use wormrota_domain::rota::share::Share;

/// The revision of limits that nobody has said yet.
const UNSAID: i64 = 1;

/// The limits of a member.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Limits {
    /// What they say themselves.
    pub own: OwnLimits,
    /// What only whoever looks after the site says.
    pub by_keepers: ByKeepers,
    /// Grows with every change; 1 as long as nobody has said anything.
    pub revision: i64,
}

/// What members say of themselves. Weekdays are numbers, 1 is Monday, each once and in order.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct OwnLimits {
    /// Weekdays that do not work.
    pub cannot_weekdays: Vec<i16>,
    /// Weekdays that they like.
    pub likes_weekdays: Vec<i16>,
    /// Weekdays that they would rather not.
    pub rather_not_weekdays: Vec<i16>,
    /// Free days between two turns.
    pub rest_days: i16,
    /// The most turns in any 28 days in a row.
    pub most_in_28_days: Option<i16>,
    /// What part of the turns is theirs; that of their role and household without.
    pub share: Option<Share>,
}

/// What is known of a member's hand with the bins.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ByKeepers {
    /// Whether they only get bins that they are trained for.
    pub only_trained_bins: bool,
    /// The bins that they are trained for, in the order of their keys.
    pub trained_bins: Vec<BinId>,
    /// May stand beside somebody who is not to be alone.
    pub experienced: bool,
    /// Needs somebody experienced on the same turn.
    pub not_alone: bool,
}

/// The limits of a member: one's own, or anybody's for who looks after the site.
pub async fn see_limits(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    member: MemberId,
) -> Result<Limits, DeskError> {
    desk.store()
        .read("see limits", errand, move |conn, errand| {
            async move {
                admit_to_limits(conn, errand, site, member).await?;
                let_in(conn, site, member).await?;
                of(conn, site, member).await
            }
            .boxed()
        })
        .await
}

/// Says the limits of a member anew; with `expected`, only if their revision is still that one.
/// Who says what is there already changes nothing.
///
/// # Errors
/// [`DeskError::ChangedMeanwhile`]; [`DeskError::Forbidden`] when a resident changes what is
/// for whoever looks after the site.
pub async fn change_limits(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    member: MemberId,
    expected: Option<i64>,
    new: NewLimits,
) -> Result<(), DeskError> {
    let new = new.checked()?;
    desk.write("change limits", errand, new, move |conn, errand, new| {
        async move {
            let (own, by_keepers) = new;
            let who = admit_to_limits(conn, errand, site, member).await?;
            let_in(conn, site, member).await?;
            // Whoever leaves takes their limits along.
            if members::lock(conn, site, &[member]).await?.is_empty() {
                return Err(DeskError::NotFound(Noun::Member));
            }
            let before = of(conn, site, member).await?;
            let by_keepers = by_keepers.as_ref().unwrap_or(&before.by_keepers);
            if *by_keepers != before.by_keepers {
                if !who.may(Deed::ChangeLimits) {
                    return Err(DeskError::Forbidden(Deed::ChangeLimits));
                }
                insist_on_bins(conn, site, &by_keepers.trained_bins).await?;
            }
            // A stale tag is the last thing that a request is refused for.
            if expected.is_some_and(|revision| revision != before.revision) {
                return Err(DeskError::ChangedMeanwhile);
            }
            let fields = changed(&before, own, by_keepers);
            if fields.is_empty() {
                return Ok(());
            }
            limits::put(
                conn,
                &row(site, member, own, by_keepers, before.revision + 1),
            )
            .await?;
            if by_keepers.trained_bins != before.by_keepers.trained_bins {
                limits::replace_bins(conn, site, member, &by_keepers.trained_bins).await?;
            }
            let detail = json!({ "fields": fields });
            let subject = Subject::Member(member.0);
            trail::leave(conn, &who, errand.now, "limits_changed", subject, detail).await
        }
        .boxed()
    })
    .await
}

/// Lets the caller in to limits or absences of a member: to their own, and to anybody's
/// whoever looks after the site.
pub(super) async fn admit_to_limits(
    conn: &mut Conn,
    errand: &Errand,
    site: SiteId,
    member: MemberId,
) -> Result<Membership, DeskError> {
    let who = admit(conn, errand, site, Deed::ChangeOwnLimits).await?;
    if who.member == member || who.may(Deed::ChangeLimits) {
        Ok(who)
    } else {
        Err(DeskError::Forbidden(Deed::ChangeLimits))
    }
}

async fn of(conn: &mut Conn, site: SiteId, member: MemberId) -> Result<Limits, DeskError> {
    let trained = limits::bins_of(conn, site, &[member]).await?;
    let row = limits::of_members(conn, site, &[member])
        .await?
        .into_iter()
        .next();
    let Some(row) = row else {
        return Ok(Limits {
            own: OwnLimits::default(),
            by_keepers: ByKeepers::default(),
            revision: UNSAID,
        });
    };
    let read = |code: &str| Share::from_code(code).ok_or_else(|| unreadable("member_limits.share"));
    Ok(Limits {
        own: OwnLimits {
            share: row.share.as_deref().map(read).transpose()?,
            cannot_weekdays: row.cannot_weekdays,
            likes_weekdays: row.likes_weekdays,
            rather_not_weekdays: row.rather_not_weekdays,
            rest_days: row.rest_days,
            most_in_28_days: row.most_in_28_days,
        },
        by_keepers: ByKeepers {
            only_trained_bins: row.only_trained_bins,
            trained_bins: trained.into_iter().map(|(_, bin)| bin).collect(),
            experienced: row.experienced,
            not_alone: row.not_alone,
        },
        revision: row.revision,
    })
}

fn row(
    site: SiteId,
    member: MemberId,
    own: &OwnLimits,
    by_keepers: &ByKeepers,
    revision: i64,
) -> LimitsRow {
    LimitsRow {
        site_id: site.0,
        member_id: member.0,
        cannot_weekdays: own.cannot_weekdays.clone(),
        likes_weekdays: own.likes_weekdays.clone(),
        rather_not_weekdays: own.rather_not_weekdays.clone(),
        rest_days: own.rest_days,
        most_in_28_days: own.most_in_28_days,
        share: own.share.map(|share| share.code().to_owned()),
        only_trained_bins: by_keepers.only_trained_bins,
        experienced: by_keepers.experienced,
        not_alone: by_keepers.not_alone,
        revision,
    }
}

/// The names of what changes.
fn changed(before: &Limits, own: &OwnLimits, by_keepers: &ByKeepers) -> Vec<&'static str> {
    let (old, known) = (&before.own, &before.by_keepers);
    [
        (
            "cannot_weekdays",
            old.cannot_weekdays != own.cannot_weekdays,
        ),
        ("likes_weekdays", old.likes_weekdays != own.likes_weekdays),
        (
            "rather_not_weekdays",
            old.rather_not_weekdays != own.rather_not_weekdays,
        ),
        ("rest_days", old.rest_days != own.rest_days),
        (
            "most_in_28_days",
            old.most_in_28_days != own.most_in_28_days,
        ),
        ("share", old.share != own.share),
        (
            "only_trained_bins",
            known.only_trained_bins != by_keepers.only_trained_bins,
        ),
        (
            "trained_bin_ids",
            known.trained_bins != by_keepers.trained_bins,
        ),
        ("experienced", known.experienced != by_keepers.experienced),
        ("not_alone", known.not_alone != by_keepers.not_alone),
    ]
    .into_iter()
    .filter_map(|(name, changes)| changes.then_some(name))
    .collect()
}

async fn insist_on_bins(conn: &mut Conn, site: SiteId, named: &[BinId]) -> Result<(), DeskError> {
    let there: BTreeSet<BinId> = bins::names_of_site(conn, site)
        .await?
        .into_iter()
        .map(|(bin, _)| bin)
        .collect();
    if named.iter().all(|bin| there.contains(bin)) {
        Ok(())
    } else {
        Err(DeskError::conflict(
            "/by_keepers/trained_bin_ids",
            "must be bins of this site",
        ))
    }
}
