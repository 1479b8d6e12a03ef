//! A second adult for a class, and taking one off it.

use super::classes::{Part, kept, touch};
use super::keep_class::adult;
use super::membership::admit_to_change;
use super::trail::{self, Subject};
use super::{Desk, DeskError, Errand, Noun};
use crate::store::{classes, members};
use futures_util::FutureExt;
use serde_json::json;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{ClassId, MemberId, SiteId};

/// Adults that a class may have.
const MOST_ADULTS: usize = 10;

/// Lets a member of the site help with a class. Whoever is an adult of it already stays what
/// they are.
pub async fn add_helper(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    class: ClassId,
    helper: MemberId,
) -> Result<(), DeskError> {
    desk.write("add a helper", errand, (), move |conn, errand, ()| {
        async move {
            let who = admit_to_change(conn, errand, site, Deed::KeepClasses).await?;
            // Behind the lock: whoever leaves is taken off their classes under the same one.
            let (row, adults) = kept(conn, &who, class, None).await?;
            if members::roles_today(conn, site, helper).await?.is_empty() {
                return Err(DeskError::NotFound(Noun::Member));
            }
            if adults.iter().any(|row| row.member_id == helper.0) {
                return Ok(());
            }
            if adults.len() >= MOST_ADULTS {
                return Err(DeskError::TooMany {
                    what: "adults of a class",
                });
            }
            classes::add_adults(conn, &[adult(site, class, helper, Part::Helper)]).await?;
            touch(conn, row).await?;
            let detail = json!({ "member_id": helper });
            let subject = Subject::Class(class.0);
            trail::leave(
                conn,
                &who,
                errand.now,
                "class_helper_added",
                subject,
                detail,
            )
            .await
        }
        .boxed()
    })
    .await
}

/// Takes an adult off a class.
///
/// # Errors
/// [`DeskError::LastTeacher`]: a class is never left without one.
pub async fn remove_adult(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    class: ClassId,
    member: MemberId,
) -> Result<(), DeskError> {
    desk.write(
        "take an adult off a class",
        errand,
        (),
        move |conn, errand, ()| {
            async move {
                let who = admit_to_change(conn, errand, site, Deed::KeepClasses).await?;
                let (row, adults) = kept(conn, &who, class, None).await?;
                let is_teacher = |part: &str| part == Part::Teacher.code();
                let theirs = adults.iter().find(|row| row.member_id == member.0);
                let theirs = theirs.ok_or(DeskError::NotFound(Noun::Member))?;
                let teachers = adults.iter().filter(|row| is_teacher(&row.part)).count();
                if is_teacher(&theirs.part) && teachers == 1 {
                    return Err(DeskError::LastTeacher);
                }
                classes::remove_adult(conn, site, class, member).await?;
                touch(conn, row).await?;
                let detail = json!({ "member_id": member, "part": theirs.part });
                let subject = Subject::Class(class.0);
                trail::leave(
                    conn,
                    &who,
                    errand.now,
                    "class_adult_removed",
                    subject,
                    detail,
                )
                .await
            }
            .boxed()
        },
    )
    .await
}
