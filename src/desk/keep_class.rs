//! Making a class, changing it, and ending it.

use super::classes::{Part, kept, sees_all, touch};
use super::duty_at_hand::give_back_of;
use super::fields::Check;
use super::membership::{Membership, admit_to_change, lock_people};
use super::settle_turns::end_turns_of_class;
use super::trail::{self, Subject};
use super::{Desk, DeskError, Errand};
use crate::clock;
use crate::store::classes::{self, ClassAdultRow, ClassRow};
use crate::store::sites::SiteRow;
use crate::store::{Conn, StoreError, members};
use chrono::{DateTime, Days, NaiveDate, Utc};
use futures_util::FutureExt;
use serde_json::json;
use wormrota_domain::access::{Deed, Role};
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::ids::{ClassId, MemberId, PupilId, SiteId};

/// Classes that may go on at a site at once.
pub(super) const MOST_CLASSES: usize = 200;
/// Days for which a class can be made: two school years. Pupils are not kept for longer.
const LONGEST_DAYS: u64 = 731;

/// A class to be made.
#[derive(Debug, Clone)]
pub struct NewClass {
    /// What it is called.
    pub name: String,
    /// The last day of its school year.
    pub ends_on: NaiveDate,
    /// Whose it is; the caller's without. Only an educator names somebody else.
    pub teacher: Option<MemberId>,
}

/// What is to change; `None` leaves a thing as it is.
#[derive(Debug, Clone, Default)]
pub struct ClassChange {
    /// Another name.
    pub name: Option<String>,
    /// Another last day.
    pub ends_on: Option<NaiveDate>,
    /// One more teacher. Only an educator names one.
    pub teacher: Option<MemberId>,
}

/// Makes a class.
pub async fn make_class(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    mut new: NewClass,
) -> Result<ClassId, DeskError> {
    let mut check = Check::default();
    new.name = check.name("/name", &new.name, 60);
    check.done()?;
    desk.write("make a class", errand, new, move |conn, errand, new| {
        async move {
            let who = admit_to_change(conn, errand, site, Deed::KeepClasses).await?;
            // Whoever is named as its teacher must not leave meanwhile.
            let at = lock_people(conn, site).await?;
            insist_on_last_day(&at, errand.now, new.ends_on, "/ends_on")?;
            let going_on = classes::count_going_on(conn, site).await?;
            if usize::try_from(going_on).is_ok_and(|count| count >= MOST_CLASSES) {
                return Err(DeskError::TooMany { what: "classes" });
            }
            let teacher = new.teacher.unwrap_or(who.member);
            insist_on_teacher(conn, &who, teacher).await?;
            let id = ClassId(clock::fresh_id());
            let row = ClassRow {
                site_id: site.0,
                id: id.0,
                name: new.name.clone(),
                ends_on: new.ends_on,
                created_at: errand.now,
                ended_at: None,
                revision: 1,
            };
            classes::insert(conn, &row).await.map_err(|error| {
                let taken = DeskError::NameTaken { pointer: "/name" };
                DeskError::from(error).where_taken("classes_name_once", taken)
            })?;
            classes::add_adults(conn, &[adult(site, id, teacher, Part::Teacher)]).await?;
            let detail = json!({ "ends_on": new.ends_on, "teacher_id": teacher });
            let subject = Subject::Class(id.0);
            trail::leave(conn, &who, errand.now, "class_made", subject, detail).await?;
            Ok(id)
        }
        .boxed()
    })
    .await
}

/// Changes a class; with `expected`, only if its revision is still that one.
///
/// # Errors
/// [`DeskError::ChangedMeanwhile`].
pub async fn change_class(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    class: ClassId,
    expected: Option<i64>,
    mut change: ClassChange,
) -> Result<(), DeskError> {
    let mut check = Check::default();
    if let Some(name) = &mut change.name {
        *name = check.name("/name", name, 60);
    }
    check.done()?;
    desk.write(
        "change a class",
        errand,
        change,
        move |conn, errand, change| {
            async move {
                let who = admit_to_change(conn, errand, site, Deed::KeepClasses).await?;
                let at = lock_people(conn, site).await?;
                let (mut row, _) = kept(conn, &who, class, expected).await?;
                let mut detail = json!({});
                if let Some(name) = &change.name {
                    row.name.clone_from(name);
                    detail["name"] = true.into();
                }
                if let Some(day) = change.ends_on {
                    insist_on_last_day(&at, errand.now, day, "/ends_on")?;
                    row.ends_on = day;
                    detail["ends_on"] = json!(day);
                }
                if let Some(teacher) = change.teacher {
                    insist_on_teacher(conn, &who, teacher).await?;
                    classes::remove_adult(conn, site, class, teacher).await?;
                    let teaching = adult(site, class, teacher, Part::Teacher);
                    classes::add_adults(conn, &[teaching]).await?;
                    detail["teacher_id"] = json!(teacher);
                }
                touch(conn, row).await?;
                let subject = Subject::Class(class.0);
                trail::leave(conn, &who, errand.now, "class_changed", subject, detail).await
            }
            .boxed()
        },
    )
    .await
}

/// Ends a class and erases its pupils. Doing it again changes nothing.
pub async fn end_class(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    class: ClassId,
) -> Result<(), DeskError> {
    desk.write("end a class", errand, (), move |conn, errand, ()| {
        async move {
            let who = admit_to_change(conn, errand, site, Deed::KeepClasses).await?;
            match kept(conn, &who, class, None).await {
                Ok((row, _)) => end(conn, row, Some(who.member), errand.now).await,
                Err(DeskError::ClassEnded) => Ok(()),
                Err(other) => Err(other),
            }
        }
        .boxed()
    })
    .await
}

/// Ends a class that is locked and goes on: its pupils' places from today on are free, and its
/// turns from tomorrow on go. Without a member it was the school year's end.
pub(super) async fn end(
    conn: &mut Conn,
    mut row: ClassRow,
    by: Option<MemberId>,
    now: DateTime<Utc>,
) -> Result<(), DeskError> {
    let (site, class) = (SiteId(row.site_id), ClassId(row.id));
    let there = classes::pupils_of(conn, site, &[class]).await?;
    let there: Vec<PupilId> = there.iter().map(|row| PupilId(row.id)).collect();
    give_back_of(conn, site, &there, now).await?;
    let pupils = classes::erase_pupils(conn, site, class, now).await?;
    end_turns_of_class(conn, site, class, now).await?;
    row.ended_at = Some(now);
    touch(conn, row).await?;
    let detail = json!({ "pupils": pupils });
    let subject = Subject::Class(class.0);
    trail::leave_for(conn, site, by, now, "class_ended", subject, detail).await
}

/// A class ends today or later, and not later than two school years from now.
pub(super) fn insist_on_last_day(
    site: &SiteRow,
    now: DateTime<Utc>,
    day: NaiveDate,
    pointer: &str,
) -> Result<(), DeskError> {
    let today = zone_of(&site.zone)?.local_date(now);
    let last = today.checked_add_days(Days::new(LONGEST_DAYS));
    if day < today || last.is_none_or(|last| day > last) {
        return Err(DeskError::conflict(
            pointer,
            format!("must be today or within {LONGEST_DAYS} days from today"),
        ));
    }
    Ok(())
}

pub(super) fn zone_of(name: &str) -> Result<SiteZone, DeskError> {
    let unreadable = StoreError::Unreadable { what: "sites.zone" };
    name.parse().map_err(|_| unreadable.into())
}

/// Whoever teaches a class is a teacher or educator of the site, and named by an educator
/// if it is not the caller.
async fn insist_on_teacher(
    conn: &mut Conn,
    who: &Membership,
    teacher: MemberId,
) -> Result<(), DeskError> {
    if teacher == who.member {
        return Ok(());
    }
    if !sees_all(who) {
        return Err(DeskError::conflict(
            "/teacher_id",
            "must be yourself: only an educator names somebody else",
        ));
    }
    let roles = members::roles_today(conn, who.site, teacher).await?;
    let mut allowed = [Role::Teacher, Role::Educator].map(Role::code).into_iter();
    if allowed.any(|role| roles.iter().any(|has| has == role)) {
        Ok(())
    } else {
        Err(DeskError::conflict(
            "/teacher_id",
            "must be a teacher or an educator of this site",
        ))
    }
}

/// A row that makes a member an adult of a class.
pub(super) fn adult(site: SiteId, class: ClassId, member: MemberId, part: Part) -> ClassAdultRow {
    ClassAdultRow {
        site_id: site.0,
        class_id: class.0,
        member_id: member.0,
        part: part.code().to_owned(),
    }
}
