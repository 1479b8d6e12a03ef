//! The rows of everybody on a list of people.

use super::Imported;
use super::classes::Group;
use super::line::{Line, ToBe};
use super::list::List;
use crate::clock;
use crate::desk::DeskError;
use crate::desk::classes::{Part, sees_all, touch};
use crate::desk::keep_class::{adult, insist_on_last_day};
use crate::desk::letters::of_invitation;
use crate::desk::membership::Membership;
use crate::desk::pupils::pupil_row;
use crate::desk::trail::{self, Subject};
use crate::store::audit::AuditRow;
use crate::store::classes::{self, ClassRow};
use crate::store::imports::{self, Everything};
use crate::store::invitations::InvitationRow;
use crate::store::members::{MemberNameRow, MemberRow};
use crate::store::sites::SiteRow;
use crate::store::{Conn, households};
use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use serde_json::json;
use std::collections::BTreeMap;
use uuid::Uuid;
use wormrota_domain::access::Role;
use wormrota_domain::ids::{ClassId, HouseholdId, InvitationId, MemberId};
use wormrota_domain::site::flat_key;

pub(super) struct Writing<'a> {
    pub who: &'a Membership,
    pub site: &'a SiteRow,
    pub now: DateTime<Utc>,
    /// Invitations and letters live by the machine's clock.
    pub wall: DateTime<Utc>,
    pub invitation_good_for: TimeDelta,
}

impl Writing<'_> {
    pub(super) async fn write(
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
