//! Reading classes, and who may see and keep which: an educator all of a site, others only
//! those of which they are an adult. Another teacher's class does not exist for them.

use super::membership::{Membership, admit};
use super::{Desk, DeskError, Errand, Noun, Page};
use crate::store::classes::{self, ClassAdultRow, ClassRow, PupilRow};
use crate::store::{Conn, members};
use chrono::{DateTime, NaiveDate, Utc};
use futures_util::FutureExt;
use std::fmt;
use uuid::Uuid;
use wormrota_domain::access::{Deed, Role};
use wormrota_domain::ids::{ClassId, MemberId, PupilId, SiteId};

/// What an adult is to a class.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// Answers for it.
    Teacher,
    /// Helps with it.
    Helper,
}

impl Part {
    /// The word that stands in the database and in the API.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::Teacher => "teacher",
            Self::Helper => "helper",
        }
    }
}

/// A class in a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ClassSummary {
    /// The key within the site.
    pub id: ClassId,
    /// What it is called.
    pub name: String,
    /// The last day of its school year.
    pub ends_on: NaiveDate,
    /// How many pupils it has.
    pub pupils: usize,
}

/// A class with its people. Its `Debug` output holds no name.
#[derive(Clone, PartialEq, Eq)]
pub struct Class {
    /// The key within the site.
    pub id: ClassId,
    /// What it is called.
    pub name: String,
    /// The last day of its school year; its pupils are erased after it.
    pub ends_on: NaiveDate,
    /// Since when.
    pub created_at: DateTime<Utc>,
    /// Since when it is over.
    pub ended_at: Option<DateTime<Utc>>,
    /// Its adults.
    pub adults: Vec<Adult>,
    /// Its pupils, in the order in which they were added.
    pub pupils: Vec<Pupil>,
    /// Grows with every change, its pupils' and adults' included.
    pub revision: i64,
}

/// An adult of a class.
#[derive(Clone, PartialEq, Eq)]
pub struct Adult {
    /// The member.
    pub member: MemberId,
    /// What they are to it.
    pub part: Part,
    /// What they are called: a helper's name only for who may see everybody's.
    pub name: Option<String>,
}

/// A pupil.
#[derive(Clone, PartialEq, Eq)]
pub struct Pupil {
    /// The key within the site.
    pub id: PupilId,
    /// The first name or initials.
    pub label: String,
    /// Since when.
    pub added_at: DateTime<Utc>,
}

impl fmt::Debug for Class {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Class({}, {} pupils)", self.id, self.pupils.len())
    }
}

/// The classes that the caller may see and that go on.
pub async fn list_classes(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    after: Option<Uuid>,
    limit: u16,
) -> Result<Page<ClassSummary>, DeskError> {
    desk.store()
        .read("list classes", errand, move |conn, errand| {
            async move {
                let who = admit(conn, errand, site, Deed::SeeClasses).await?;
                let of = (!sees_all(&who)).then_some(who.member);
                let rows = classes::going_on(conn, site, of, after, i64::from(limit) + 1).await?;
                let ids: Vec<ClassId> = rows.iter().map(|row| ClassId(row.id)).collect();
                let pupils = classes::pupils_of(conn, site, &ids).await?;
                let summaries = rows.into_iter().map(|row| ClassSummary {
                    pupils: pupils.iter().filter(|one| one.class_id == row.id).count(),
                    id: ClassId(row.id),
                    name: row.name,
                    ends_on: row.ends_on,
                });
                Ok(Page::cut(summaries.collect(), limit))
            }
            .boxed()
        })
        .await
}

/// One class with its people.
pub async fn see_class(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    class: ClassId,
) -> Result<Class, DeskError> {
    desk.store()
        .read("see a class", errand, move |conn, errand| {
            async move {
                let who = admit(conn, errand, site, Deed::SeeClasses).await?;
                seen(conn, &who, class).await
            }
            .boxed()
        })
        .await
}

/// A class as somebody who was let in sees it.
pub(super) async fn seen(
    conn: &mut Conn,
    who: &Membership,
    class: ClassId,
) -> Result<Class, DeskError> {
    let site = who.site;
    let adults = adults_if_own(conn, who, class).await?;
    let row = classes::by_id(conn, site, class)
        .await?
        .ok_or(DeskError::NotFound(Noun::Class))?;
    let members: Vec<MemberId> = adults.iter().map(|row| MemberId(row.member_id)).collect();
    let names = members::names_of(conn, site, &members).await?;
    let pupils = classes::pupils_of(conn, site, &[class]).await?;
    let all_names = who.may(Deed::SeePeopleInFull);
    Ok(Class {
        id: class,
        name: row.name,
        ends_on: row.ends_on,
        created_at: row.created_at,
        ended_at: row.ended_at,
        adults: adults
            .into_iter()
            .map(|row| adult(&row, &names, all_names))
            .collect(),
        pupils: pupils.into_iter().filter_map(pupil).collect(),
        revision: row.revision,
    })
}

/// The adults of a class, if the caller may see it.
pub(super) async fn adults_if_own(
    conn: &mut Conn,
    who: &Membership,
    class: ClassId,
) -> Result<Vec<ClassAdultRow>, DeskError> {
    let adults = classes::adults_of(conn, who.site, &[class]).await?;
    let own = adults.iter().any(|row| row.member_id == who.member.0);
    if own || sees_all(who) {
        Ok(adults)
    } else {
        Err(DeskError::NotFound(Noun::Class))
    }
}

/// Whether every class of the site is the caller's to see.
pub(super) fn sees_all(who: &Membership) -> bool {
    who.roles.contains(&Role::Educator)
}

/// A class that is about to change, locked, with its adults: it is the caller's to keep and
/// goes on. With `expected`, only if its revision is still that one.
pub(super) async fn kept(
    conn: &mut Conn,
    who: &Membership,
    class: ClassId,
    expected: Option<i64>,
) -> Result<(ClassRow, Vec<ClassAdultRow>), DeskError> {
    let row = classes::lock(conn, who.site, class).await?;
    let adults = adults_if_own(conn, who, class).await?;
    let row = row.ok_or(DeskError::NotFound(Noun::Class))?;
    if expected.is_some_and(|revision| revision != row.revision) {
        return Err(DeskError::ChangedMeanwhile);
    }
    if row.ended_at.is_some() {
        return Err(DeskError::ClassEnded);
    }
    Ok((row, adults))
}

/// Writes a class that was changed, or whose people were.
pub(super) async fn touch(conn: &mut Conn, mut row: ClassRow) -> Result<(), DeskError> {
    row.revision += 1;
    classes::update(conn, &row).await.map_err(|error| {
        let taken = DeskError::NameTaken { pointer: "/name" };
        DeskError::from(error).where_taken("classes_name_once", taken)
    })
}

fn adult(row: &ClassAdultRow, names: &[(MemberId, String)], all_names: bool) -> Adult {
    let member = MemberId(row.member_id);
    let part = if row.part == Part::Teacher.code() {
        Part::Teacher
    } else {
        Part::Helper
    };
    let name = names.iter().find(|(id, _)| *id == member);
    Adult {
        member,
        part,
        name: name
            .filter(|_| all_names || part == Part::Teacher)
            .map(|(_, name)| name.clone()),
    }
}

fn pupil(row: PupilRow) -> Option<Pupil> {
    Some(Pupil {
        id: PupilId(row.id),
        label: row.label?,
        added_at: row.added_at,
    })
}
