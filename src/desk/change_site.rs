//! Changing a site: its name, how things are shown, its food list and its containers.

use super::change::Change;
use super::fields::Check;
use super::membership::admit;
use super::site_change::{AirChange, SiteChange, air_is_sane};
use super::site_lists::{check_containers, check_foods, food_rows};
use super::trail::{self, Subject};
use super::{Desk, DeskError, Errand, Noun};
use crate::clock;
use crate::store::sites::{self, ContainerRow};
use crate::store::{Conn, letters, members};
use futures_util::FutureExt;
use serde_json::json;
use std::collections::BTreeSet;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{MemberId, SiteId};
use wormrota_domain::site::MOST_GIVE_BACK_DAYS;

/// Changes a site; with `expected`, only if its revision is still that one.
///
/// # Errors
/// [`DeskError::ChangedMeanwhile`].
pub async fn change_site(
    desk: &Desk,
    errand: Errand,
    id: SiteId,
    expected: Option<i64>,
    mut change: SiteChange,
) -> Result<(), DeskError> {
    let mut check = Check::default();
    if let Some(name) = &mut change.name {
        *name = check.name("/name", name, 100);
    }
    if let AirChange::To(air) = &change.monthly_air_c
        && !air_is_sane(air)
    {
        check.wrong("/monthly_air_c", "must be between -60 and 60 degrees");
    }
    let most = u32::from(MOST_GIVE_BACK_DAYS);
    if change.give_back_days.is_some_and(|days| days > most) {
        check.wrong("/give_back_days", format!("must be 0 to {most} days"));
    }
    if let Some(days) = &change.reminder_days {
        let days = check.reminder_days(days);
        change.reminder_days = Some(days.into_iter().map(u32::from).collect());
    }
    if let Some(foods) = &change.foods {
        check_foods(&mut check, foods);
    }
    if let Some(containers) = &mut change.containers {
        check_containers(&mut check, containers);
    }
    check.done()?;

    desk.write(
        "change a site",
        errand,
        change,
        move |conn, errand, change| {
            async move {
                let who = admit(conn, errand, id, Deed::ChangeSite).await?;
                let mut row = sites::lock(conn, id)
                    .await?
                    .ok_or(DeskError::NotFound(Noun::Site))?;
                if expected.is_some_and(|revision| revision != row.revision) {
                    return Err(DeskError::ChangedMeanwhile);
                }
                if let Change::To(deputy) = change.deputy {
                    insist_on_deputy(conn, id, deputy).await?;
                }
                change.apply(&mut row);
                change.apply_quiet_hours(&mut row)?;
                sites::update(conn, &row).await?;
                if change.quiet_from.is_some() || change.quiet_until.is_some() {
                    letters::wake(conn, id, clock::wall()).await?;
                }
                if let Some(foods) = &change.foods {
                    sites::replace_foods(conn, id, &food_rows(id, foods)).await?;
                }
                if let Some(containers) = &change.containers {
                    let known: BTreeSet<_> = sites::containers(conn, id)
                        .await?
                        .into_iter()
                        .map(|row| row.id)
                        .collect();
                    let mut rows = Vec::new();
                    for (index, container) in containers.iter().enumerate() {
                        if container.id.is_some_and(|old| !known.contains(&old.0)) {
                            return Err(DeskError::conflict(
                                format!("/containers/{index}/id"),
                                "must be a container of this site, or absent for a new one",
                            ));
                        }
                        rows.push(ContainerRow {
                            site_id: id.0,
                            id: container.id.map_or_else(clock::fresh_id, |old| old.0),
                            name: container.name.clone(),
                            volume_ml: container.volume_ml,
                        });
                    }
                    sites::replace_containers(conn, id, &rows).await?;
                }
                let changed = json!({ "fields": change.fields() });
                trail::leave(
                    conn,
                    &who,
                    errand.now,
                    "site_changed",
                    Subject::Site,
                    changed,
                )
                .await
            }
            .boxed()
        },
    )
    .await
}

/// A deputy is somebody who can sign in and was let in: pupils are no members.
async fn insist_on_deputy(
    conn: &mut Conn,
    site: SiteId,
    deputy: MemberId,
) -> Result<(), DeskError> {
    let people = members::who_can_sign_in(conn, site).await?;
    if people.iter().any(|(member, _)| *member == deputy) {
        Ok(())
    } else {
        Err(DeskError::conflict(
            "/deputy_id",
            "must be a member of this site who can sign in",
        ))
    }
}
