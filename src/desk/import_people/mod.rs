//! Many people at once, from a list: all of them or none, in one transaction and a fixed
//! number of statements.

mod classes;
mod line;
mod line_counter;
mod list;
mod writing;

use crate::clock;
use crate::desk::fields::Check;
use crate::desk::membership::{Membership, admit_to_change, lock_people};
use crate::desk::{Desk, DeskError, Errand};
use crate::store::{Conn, imports};
use chrono::{NaiveDate, TimeDelta};
use classes::group;
use futures_util::FutureExt;
use line::ToBe;
use list::{List, cut};
use serde::{Deserialize, Serialize};
use std::fmt;
use wormrota_domain::access::{Deed, may_grant};
use wormrota_domain::ids::SiteId;
use writing::Writing;

/// A list to be imported. Its `Debug` output hides it.
pub struct Import {
    /// The list as it came.
    pub bytes: Vec<u8>,
    /// The last day of the classes that it makes.
    pub classes_end_on: Option<NaiveDate>,
}

impl fmt::Debug for Import {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Import({} bytes)", self.bytes.len())
    }
}

/// What came of an import, in figures.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Imported {
    /// New members.
    pub members: usize,
    /// Of them, those who get an invitation.
    pub invited: usize,
    /// New classes.
    pub classes: usize,
    /// New pupils.
    pub pupils: usize,
}

/// Adds everybody on a list.
///
/// # Errors
/// [`DeskError::ImportRefused`] with what is wrong with each line.
pub async fn import_people(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    import: Import,
) -> Result<Imported, DeskError> {
    let people = desk.people();
    let list = list::read(&import.bytes, people.import_most_lines);
    let ends_on = import.classes_end_on;
    desk.write("import people", errand, list, move |conn, errand, list| {
        async move {
            let who = admit_to_change(conn, errand, site, Deed::InvitePeople).await?;
            // Nobody joins, leaves or moves meanwhile.
            let at = lock_people(conn, site).await?;
            let mut check = list.check.clone();
            check_members(conn, &who, list, &mut check).await?;
            let groups = group(conn, &who, list, &mut check).await?;
            let errors = check.into_errors();
            if !errors.is_empty() {
                let (errors, total) = cut(errors);
                return Err(DeskError::ImportRefused { errors, total });
            }
            let written = Writing {
                who: &who,
                site: &at,
                now: errand.now,
                wall: clock::wall(),
                invitation_good_for: TimeDelta::days(people.invitation_days.into()),
            };
            written.write(conn, list, groups, ends_on).await
        }
        .boxed()
    })
    .await
}

/// Whether the caller may hand out these roles, and nobody is a member already.
async fn check_members(
    conn: &mut Conn,
    who: &Membership,
    list: &List,
    check: &mut Check,
) -> Result<(), DeskError> {
    let emails: Vec<String> = list.lines.iter().filter_map(|l| l.email.clone()).collect();
    let taken = imports::addresses_taken(conn, who.site, &emails).await?;
    for line in &list.lines {
        if let ToBe::Member(roles) = &line.to_be
            && !roles.iter().all(|role| may_grant(&who.roles, *role))
        {
            check.wrong(line.at("role"), "must be roles that you may hand out");
        }
        if line
            .email
            .as_ref()
            .is_some_and(|email| taken.contains(email))
        {
            let detail = "must not be the address of a member of this site already";
            check.wrong(line.at("email"), detail);
        }
    }
    Ok(())
}
