//! Many people at once, from a list: all of them or none, in one transaction and a fixed
//! number of statements.

use super::classes::{Part, sees_all, touch};
use super::fields::Check;
use super::import_list::{self, Line, List, ToBe, cut};
use super::keep_class::{MOST_CLASSES, adult, insist_on_last_day};
use super::labels::alike;
use super::letters::of_invitation;
use super::membership::{Membership, admit_to_change, lock_people};
use super::pupils::{MOST_PUPILS, pupil_row};
use super::trail::{self, Subject};
use super::{Desk, DeskError, Errand};
use crate::clock;
use crate::store::audit::AuditRow;
use crate::store::classes::{self, ClassAdultRow, ClassRow, PupilRow};
use crate::store::imports::{self, Everything};
use crate::store::invitations::InvitationRow;
use crate::store::members::{MemberNameRow, MemberRow};
use crate::store::{Conn, households, sites::SiteRow};
use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use futures_util::FutureExt;
use serde::{Deserialize, Serialize};
use serde_json::json;
use std::collections::BTreeMap;
use std::fmt;
use uuid::Uuid;
use wormrota_domain::access::{Deed, Role, may_grant};
use wormrota_domain::ids::{ClassId, HouseholdId, InvitationId, MemberId, SiteId};
use wormrota_domain::site::flat_key;

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
    let list = import_list::read(&import.bytes, people.import_most_lines);
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

/// A class with the lines that speak of it.
struct Group<'a> {
    name: &'a str,
    /// The class that goes on under this name, if there is one.
    there: Option<ClassRow>,
    pupils: Vec<&'a Line>,
}

/// The classes of a list, by name without case, each of them the caller's to keep.
async fn group<'a>(
    conn: &mut Conn,
    who: &Membership,
    list: &'a List,
    check: &mut Check,
) -> Result<BTreeMap<String, Group<'a>>, DeskError> {
    let mut groups: BTreeMap<String, Group<'a>> = BTreeMap::new();
    let mut first: BTreeMap<String, &Line> = BTreeMap::new();
    for line in &list.lines {
        let Some(class) = &line.class else { continue };
        let key = class.to_lowercase();
        first.entry(key.clone()).or_insert(line);
        let group = groups.entry(key).or_insert_with(|| Group {
            name: class,
            there: None,
            pupils: Vec::new(),
        });
        if line.to_be == ToBe::Pupil {
            group.pupils.push(line);
        }
    }
    if groups.is_empty() {
        return Ok(groups);
    }
    if !who.may(Deed::KeepClasses) {
        for line in list.lines.iter().filter(|line| line.class.is_some()) {
            let detail = "must be empty: only teachers and educators keep classes";
            check.wrong(line.at("class"), detail);
        }
        return Ok(groups);
    }
    let limit = i64::try_from(MOST_CLASSES).unwrap_or(i64::MAX);
    let going_on = classes::going_on(conn, who.site, None, None, limit).await?;
    let already = going_on.len();
    for row in going_on {
        if let Some(group) = groups.get_mut(&row.name.to_lowercase()) {
            group.there = Some(row);
        }
    }
    let there: Vec<ClassId> = groups
        .values()
        .filter_map(|group| group.there.as_ref().map(|row| ClassId(row.id)))
        .collect();
    let adults = classes::adults_of(conn, who.site, &there).await?;
    let pupils = classes::pupils_of(conn, who.site, &there).await?;
    let mut new = 0;
    for (key, group) in &groups {
        let id = group.there.as_ref().map(|row| row.id);
        new += usize::from(id.is_none());
        let own = |row: &ClassAdultRow| Some(row.class_id) == id && row.member_id == who.member.0;
        if id.is_some() && !sees_all(who) && !adults.iter().any(own) {
            let detail = "must not be a class that somebody else keeps";
            check.wrong(first[key].at("class"), detail);
            continue;
        }
        let known = pupils.iter().filter(|row| Some(row.class_id) == id);
        check_pupils(group, known, check);
    }
    if already + new > MOST_CLASSES {
        return Err(DeskError::TooMany { what: "classes" });
    }
    Ok(groups)
}

/// No label comes twice in a class, and a class is not too large.
fn check_pupils<'a>(
    group: &Group<'_>,
    known: impl Iterator<Item = &'a PupilRow>,
    check: &mut Check,
) {
    let mut seen: BTreeMap<String, Option<usize>> = known
        .filter_map(|row| row.label.as_deref())
        .map(|label| (alike(label), None))
        .collect();
    if seen.len() + group.pupils.len() > MOST_PUPILS
        && let Some(last) = group.pupils.last()
    {
        let detail = format!("must have at most {MOST_PUPILS} pupils");
        check.wrong(last.at("class"), detail);
    }
    for line in &group.pupils {
        match seen.get(&alike(&line.name)) {
            Some(Some(first)) => check.wrong(
                line.at("name"),
                format!("must not repeat line {first} in one class: add an initial"),
            ),
            Some(None) => check.wrong(
                line.at("name"),
                "must not repeat a pupil who is in the class already: add an initial",
            ),
            None => {
                seen.insert(alike(&line.name), Some(line.number));
            }
        }
    }
}

struct Writing<'a> {
    who: &'a Membership,
    site: &'a SiteRow,
    now: DateTime<Utc>,
    /// Invitations and letters live by the machine's clock.
    wall: DateTime<Utc>,
    invitation_good_for: TimeDelta,
}

impl Writing<'_> {
    async fn write(
        &self,
        conn: &mut Conn,
        list: &List,
        groups: BTreeMap<String, Group<'_>>,
        ends_on: Option<NaiveDate>,
    ) -> Result<Imported, DeskError> {
        let site = self.who.site;
        let mut all = Everything::default();
        let mut teachers: BTreeMap<String, Vec<MemberId>> = BTreeMap::new();
        let mut homes: BTreeMap<String, HouseholdId> = BTreeMap::new();
        for (flat, household) in households::flats(conn, site).await? {
            homes.entry(flat_key(&flat)).or_insert(household);
        }
        for line in &list.lines {
            if let ToBe::Member(roles) = &line.to_be {
                let member = self.add_member(line, roles, &mut homes, &mut all);
                if let Some(class) = &line.class {
                    let of = teachers.entry(class.to_lowercase()).or_default();
                    of.push(member);
                }
            }
        }
        let mut done = Imported {
            members: all.members.len(),
            invited: all.invitations.len(),
            ..Imported::default()
        };
        let mut new_classes = Vec::new();
        let mut adults = Vec::new();
        let mut pupils = Vec::new();
        for (key, group) in groups {
            let named = teachers.remove(&key).unwrap_or_default();
            let class = if let Some(row) = group.there {
                let id = ClassId(row.id);
                touch(conn, row).await?;
                id
            } else {
                let row = self.new_class(group.name, ends_on)?;
                let id = ClassId(row.id);
                // Only an educator makes a class for somebody else alone.
                if named.is_empty() || !sees_all(self.who) {
                    adults.push(adult(site, id, self.who.member, Part::Teacher));
                }
                let detail = json!({ "ends_on": row.ends_on });
                all.trail
                    .push(self.line("class_made", Subject::Class(row.id), detail));
                new_classes.push(row);
                id
            };
            adults.extend(named.iter().map(|m| adult(site, class, *m, Part::Teacher)));
            let labels = group.pupils.iter().map(|line| line.name.clone());
            pupils.extend(labels.map(|label| pupil_row(site, class, label, self.now)));
            if !group.pupils.is_empty() {
                let detail = json!({ "count": group.pupils.len() });
                all.trail
                    .push(self.line("pupils_added", Subject::Class(class.0), detail));
            }
        }
        done.classes = new_classes.len();
        done.pupils = pupils.len();
        all.trail
            .push(self.line("people_imported", Subject::Site, json!(done)));
        imports::insert(conn, site, &all).await?;
        classes::insert_all(conn, &new_classes).await?;
        classes::add_adults(conn, &adults).await?;
        classes::add_pupils(conn, &pupils).await?;
        Ok(done)
    }

    /// The rows of a member, and of an invitation where there is an address.
    fn add_member(
        &self,
        line: &Line,
        roles: &[Role],
        homes: &mut BTreeMap<String, HouseholdId>,
        all: &mut Everything,
    ) -> MemberId {
        let (site, id) = (self.who.site.0, clock::fresh_id());
        let household = line
            .flat
            .as_deref()
            .filter(|_| roles.contains(&Role::Resident))
            .map(|flat| {
                *homes.entry(flat_key(flat)).or_insert_with(|| {
                    let new = HouseholdId(clock::fresh_id());
                    all.households.push((new, self.now));
                    new
                })
            });
        all.members.push(MemberRow {
            site_id: site,
            id,
            account_id: None,
            joined_at: self.now,
            left_at: None,
            household_id: household.map(|household| household.0),
            language: line.language.map(|language| language.code().to_owned()),
            waiting_since: None,
            shares_phone_since: None,
            shares_email_since: None,
            revision: 1,
        });
        let member = MemberId(id);
        all.roles.extend(roles.iter().map(|role| (member, *role)));
        all.names.push(MemberNameRow {
            site_id: site,
            member_id: id,
            name: line.name.clone(),
            flat: line.flat.clone(),
            email_lower: line.email.clone(),
            phone: None,
        });
        let mut detail = json!({ "roles": roles });
        if line.email.is_some() {
            let invitation = self.invite(id, all);
            detail["invitation_id"] = json!(invitation);
        }
        all.trail
            .push(self.line("member_imported", Subject::Member(id), detail));
        member
    }

    fn invite(&self, member: Uuid, all: &mut Everything) -> Uuid {
        let (site, id) = (self.who.site, clock::fresh_id());
        let expires_at = self.wall + self.invitation_good_for;
        all.invitations.push(InvitationRow {
            site_id: site.0,
            id,
            member_id: member,
            invited_by: self.who.member.0,
            created_at: self.wall,
            expires_at,
            accepted_at: None,
            revoked_at: None,
        });
        let (member, invitation) = (MemberId(member), InvitationId(id));
        let letter = of_invitation((site, member), invitation, false, expires_at, self.wall);
        all.letters.push(letter);
        id
    }

    fn new_class(&self, name: &str, ends_on: Option<NaiveDate>) -> Result<ClassRow, DeskError> {
        let pointer = "/classes_end_on";
        let ends_on = ends_on.ok_or_else(|| {
            DeskError::conflict(pointer, "must be given, because the list makes classes")
        })?;
        insist_on_last_day(self.site, self.now, ends_on, pointer)?;
        Ok(ClassRow {
            site_id: self.who.site.0,
            id: clock::fresh_id(),
            name: name.to_owned(),
            ends_on,
            created_at: self.now,
            ended_at: None,
            revision: 1,
        })
    }

    fn line(&self, deed: &'static str, subject: Subject, detail: serde_json::Value) -> AuditRow {
        let (site, member) = (self.who.site, Some(self.who.member));
        trail::line(site, member, self.now, deed, subject, detail)
    }
}
