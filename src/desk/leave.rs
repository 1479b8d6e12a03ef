//! Leaving a site, and being removed from one.

use super::classes::sees_all;
use super::give_place_back::give_all_back;
use super::membership::{Membership, admit_to_change};
use super::people::let_in;
use super::people_rules::insist_on_successor;
use super::place_at_hand::SiteDays;
use super::trail::{self, Subject};
use super::{Desk, DeskError, Errand, Noun};
use crate::clock;
use crate::store::members::WishChange;
use crate::store::{Conn, absences, bookings, classes, codes, invitations, limits, members, sites};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use serde_json::json;
use wormrota_domain::access::{Deed, Role, may_manage};
use wormrota_domain::ids::{MemberId, SiteId};

/// Ends a membership: one's own, or that of somebody whose every role is the caller's to
/// take away. What they did stays without their name; their account stays theirs.
///
/// # Errors
/// [`DeskError::LastKeeper`] when somebody has to take over and `successor` names nobody.
pub async fn end_for(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    member: MemberId,
    successor: Option<MemberId>,
) -> Result<(), DeskError> {
    desk.write("end a membership", errand, (), move |conn, errand, ()| {
        async move {
            let who = admit_to_change(conn, errand, site, Deed::SeePeople).await?;
            let own = who.member == member;
            let deed = if own { Deed::Leave } else { Deed::RemovePeople };
            if !who.may(deed) {
                return Err(DeskError::Forbidden(deed));
            }
            let person = let_in(conn, site, member).await?;
            if !own && !may_manage(&who.roles, &person.roles) {
                return Err(DeskError::Forbidden(Deed::RemovePeople));
            }
            let handed = insist_on_successor(conn, site, member, &[], successor).await?;
            end_membership(conn, site, member, errand.now, true).await?;
            let word = if own { "member_left" } else { "member_removed" };
            let detail = json!({ "roles": codes_of(&person.roles) });
            trail::leave(
                conn,
                &who,
                errand.now,
                word,
                Subject::Member(member.0),
                detail,
            )
            .await?;
            if let (Some(successor), false) = (successor, handed.is_empty()) {
                let detail = json!({ "roles": codes_of(&handed), "after": member });
                let subject = Subject::Member(successor.0);
                trail::leave(conn, &who, errand.now, "role_taken_over", subject, detail).await?;
            }
            Ok(())
        }
        .boxed()
    })
    .await
}

/// Insists that whoever could come to act as a member, with a slip or by another address for
/// their link, may see the classes that the member sees: pupils are for a class's own adults
/// and educators.
pub(super) async fn insist_on_keeper_of_classes(
    conn: &mut Conn,
    who: &Membership,
    member: MemberId,
) -> Result<(), DeskError> {
    let theirs = classes::of_adult(conn, who.site, member).await?;
    let own = classes::of_adult(conn, who.site, who.member).await?;
    if sees_all(who) || theirs.iter().all(|class| own.contains(class)) {
        Ok(())
    } else {
        Err(DeskError::Forbidden(Deed::KeepClasses))
    }
}

/// The words of roles, for the trail.
pub(super) fn codes_of(roles: &[Role]) -> Vec<&'static str> {
    roles.iter().map(|role| role.code()).collect()
}

/// Ends a membership without asking anybody: gives back places from today on and what was
/// booked, takes away roles, household, classes and the deputy's part, forgets limits, absences
/// and pairs, and lets open invitations and slips die, and the slips and joining sheets that
/// they printed. With `forget_name` nothing is left of what they were called. The caller holds
/// the site's lock and has asked [`insist_on_successor`].
pub(super) async fn end_membership(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
    now: DateTime<Utc>,
    forget_name: bool,
) -> Result<(), DeskError> {
    let person = members::person(conn, site, member).await?;
    let mut row = person.ok_or(DeskError::NotFound(Noun::Member))?.member;
    let wall = clock::wall();
    let today = SiteDays::load(conn, site, now).await?.today;
    give_all_back(conn, site, member, today, now).await?;
    bookings::withdraw_all_of(conn, site, member).await?;
    invitations::revoke_of(conn, site, member, wall).await?;
    codes::revoke_slips(conn, site, member, wall).await?;
    codes::revoke_made_by(conn, site, member, wall).await?;
    classes::leave_classes(conn, site, member).await?;
    limits::forget(conn, site, member).await?;
    absences::forget(conn, site, member).await?;
    members::replace_roles(conn, site, member, &[]).await?;
    sites::clear_deputy(conn, site, member).await?;
    if forget_name {
        members::forget_name(conn, site, member).await?;
    }
    // The demo's clock may have been moved back since they came.
    row.left_at = Some(now.max(row.joined_at));
    row.household_id = None;
    row.waiting_since = None;
    row.language = None;
    row.shares_phone_since = None;
    row.shares_email_since = None;
    row.revision += 1;
    members::update(conn, &row).await?;
    Ok(members::change_wishes(conn, site, member, &WishChange::none()).await?)
}
