//! Changing what is known of a member: their own details, and, by whoever looks after the
//! site, everybody's.

use super::change::Change;
use super::fields::{Check, LONGEST_PERSON};
use super::households::home_of;
use super::invitations::owe_invitation;
use super::leave::{codes_of, insist_on_keeper_of_classes};
use super::membership::{Membership, admit_to_change};
use super::people::let_in;
use super::people_rules::insist_on_successor;
use super::trail::{self, Subject};
use super::{Desk, DeskError, Errand};
use crate::clock;
use crate::settings::People;
use crate::store::members::{self, Bounced, Person, WishChange};
use crate::store::{Conn, classes, codes, invitations};
use futures_util::FutureExt;
use serde_json::json;
use std::collections::BTreeSet;
use std::fmt;
use wormrota_domain::access::{Deed, Role, any_may, may_grant, may_manage};
use wormrota_domain::ids::{MemberId, SiteId};
use wormrota_domain::letters::LetterGroup;
use wormrota_domain::site::Language;

/// What is to change. Its `Debug` output hides what is typed.
#[derive(Clone, Default)]
pub struct MemberChange {
    /// Another name.
    pub name: Option<String>,
    /// The language that they want to be written to in.
    pub language: Change<Language>,
    /// A phone number.
    pub phone: Change<String>,
    /// Whether fellow members may see the phone number.
    pub shares_phone: Option<bool>,
    /// Whether fellow members may see the address.
    pub shares_email: Option<bool>,
    /// Another flat.
    pub flat: Change<String>,
    /// The address of somebody without an account.
    pub email: Change<String>,
    /// Whether letters are tried again at an address from which they came back.
    pub try_letters_again: bool,
    /// Other roles, in the place of all the old ones.
    pub roles: Option<Vec<Role>>,
    /// How many days before a turn they want to be reminded; as their site does when cleared.
    pub reminder_days: Change<Vec<u32>>,
    /// Other sorts of letters that they do without, in the place of all the old ones.
    pub letters_off: Option<Vec<LetterGroup>>,
    /// Who takes over, where a role may not stay empty.
    pub successor: Option<MemberId>,
}

impl fmt::Debug for MemberChange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "MemberChange({:?})", self.fields())
    }
}

impl MemberChange {
    /// The names of what is to change.
    fn fields(&self) -> Vec<&'static str> {
        [
            ("name", self.name.is_some()),
            ("language", self.language.is_one()),
            ("phone", self.phone.is_one()),
            ("shares_phone", self.shares_phone.is_some()),
            ("shares_email", self.shares_email.is_some()),
            ("flat", self.flat.is_one()),
            ("email", self.email.is_one()),
            ("try_letters_again", self.try_letters_again),
            ("roles", self.roles.is_some()),
            ("reminder_days", self.reminder_days.is_one()),
            ("letters_off", self.letters_off.is_some()),
        ]
        .into_iter()
        .filter_map(|(name, changes)| changes.then_some(name))
        .collect()
    }

    /// What the table gets of how they want to be written to.
    fn wishes(&self) -> WishChange {
        let stored = |days: &[u32]| -> Vec<i16> {
            days.iter()
                .filter_map(|days| i16::try_from(*days).ok())
                .collect()
        };
        let codes = |groups: &Vec<LetterGroup>| {
            let once: BTreeSet<&str> = groups.iter().map(|group| group.code()).collect();
            once.into_iter().map(str::to_owned).collect()
        };
        WishChange {
            reminder_days: match &self.reminder_days {
                Change::Keep => None,
                Change::Clear => Some(None),
                Change::To(days) => Some(Some(stored(days))),
            },
            letters_off: self.letters_off.as_ref().map(codes),
        }
    }

    fn checked(mut self) -> Result<Self, DeskError> {
        let mut check = Check::default();
        self.name = self
            .name
            .map(|name| check.name("/name", &name, LONGEST_PERSON));
        self.phone = self.phone.map(|phone| check.phone(&phone));
        self.flat = self.flat.map(|flat| check.flat(&flat));
        self.email = self.email.map(|email| check.email(&email));
        self.roles = self.roles.map(|roles| check.roles(roles));
        if let Change::To(days) = &self.reminder_days {
            let days = check.reminder_days(days);
            self.reminder_days = Change::To(days.into_iter().map(u32::from).collect());
        }
        check.done()?;
        Ok(self)
    }
}

/// Changes a member; with `expected`, only if their revision is still that one.
///
/// # Errors
/// [`DeskError::ChangedMeanwhile`]; [`DeskError::LastKeeper`] when somebody has to take over
/// a role; [`DeskError::Conflicting`] for what only the owner of an account may decide.
pub async fn change_member(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    id: MemberId,
    expected: Option<i64>,
    change: MemberChange,
) -> Result<(), DeskError> {
    let change = change.checked()?;
    let people = desk.people();
    desk.write(
        "change a member",
        errand,
        change,
        move |conn, errand, change| {
            async move {
                let who = admit_to_change(conn, errand, site, Deed::SeePeople).await?;
                let own = who.member == id;
                insist_on_deeds(&who, own, change)?;
                let person = let_in(conn, site, id).await?;
                if !own && !may_manage(&who.roles, &person.roles) {
                    return Err(DeskError::Forbidden(Deed::ChangePeople));
                }
                if expected.is_some_and(|revision| revision != person.member.revision) {
                    return Err(DeskError::ChangedMeanwhile);
                }
                Changing {
                    conn,
                    errand,
                    who: &who,
                    site,
                    own,
                    people,
                }
                .carry_out(person, change)
                .await
            }
            .boxed()
        },
    )
    .await
}

/// Whether the caller's roles allow every part of the change.
fn insist_on_deeds(who: &Membership, own: bool, change: &MemberChange) -> Result<(), DeskError> {
    let whose = if own {
        Deed::ChangeOwnDetails
    } else {
        Deed::ChangePeople
    };
    let kept = change.flat.is_one() || change.email.is_one();
    let needed = [
        Some(whose),
        kept.then_some(Deed::ChangePeople),
        change.roles.is_some().then_some(Deed::ChangeRoles),
    ];
    match needed.into_iter().flatten().find(|deed| !who.may(*deed)) {
        Some(deed) => Err(DeskError::Forbidden(deed)),
        None => Ok(()),
    }
}

/// A change under way.
struct Changing<'a> {
    conn: &'a mut Conn,
    errand: &'a Errand,
    who: &'a Membership,
    site: SiteId,
    own: bool,
    people: People,
}

impl Changing<'_> {
    async fn carry_out(&mut self, person: Person, change: &MemberChange) -> Result<(), DeskError> {
        let id = MemberId(person.member.id);
        let now = self.errand.now;
        let has_account = person.member.account_id.is_some();
        self.insist_on_owner(has_account, change)?;

        let (mut row, mut roles) = (person.member, person.roles);
        if let Some(after) = &change.roles {
            self.change_roles(id, &roles, after, change.successor)
                .await?;
            roles.clone_from(after);
        }
        change
            .language
            .map(|language| language.code().to_owned())
            .apply(&mut row.language);
        let since = |before: Option<_>, shares: Option<bool>| match shares {
            None => before,
            Some(true) => before.or(Some(now)),
            Some(false) => None,
        };
        row.shares_phone_since = since(row.shares_phone_since, change.shares_phone);
        row.shares_email_since = since(row.shares_email_since, change.shares_email);
        row.revision += 1;
        let mut name = person.name;
        if let Some(name) = &mut name {
            if let Some(new) = &change.name {
                name.name.clone_from(new);
            }
            change.phone.clone().apply(&mut name.phone);
            change.flat.clone().apply(&mut name.flat);
            change.email.clone().apply(&mut name.email_lower);
        }
        if change.flat.is_one() || change.roles.is_some() {
            let flat = name.as_ref().and_then(|name| name.flat.as_deref());
            // Before the new flat is written, or they would be found as its oldest resident.
            let home = home_of(self.conn, self.site, &roles, flat, now).await?;
            row.household_id = home.map(|home| home.0);
        }
        if let Some(name) = &name {
            self.insist_on_new_address(id, change).await?;
            members::update_name(self.conn, name).await?;
        }
        members::update(self.conn, &row).await?;
        if change.try_letters_again || change.email.is_one() {
            let whose = Bounced::Member(self.site, id);
            members::note_bounces(self.conn, &[(whose, None)]).await?;
        }
        members::change_wishes(self.conn, self.site, id, &change.wishes()).await?;
        let detail = json!({ "fields": change.fields() });
        let subject = Subject::Member(id.0);
        trail::leave(self.conn, self.who, now, "member_changed", subject, detail).await?;
        self.invite_anew(id, change).await
    }

    /// What only the owner of an account may decide. Whoever looks after the site decides
    /// for those who have none.
    fn insist_on_owner(&self, has_account: bool, change: &MemberChange) -> Result<(), DeskError> {
        let mut check = Check::default();
        if has_account && change.email.is_one() {
            check.conflict(
                "/email",
                "must stay: it is the address of the member's account",
            );
        }
        for (pointer, shares) in [
            ("/shares_phone", change.shares_phone),
            ("/shares_email", change.shares_email),
        ] {
            if has_account && !self.own && shares == Some(true) {
                check.conflict(pointer, "must be left to the member, who can sign in");
            }
        }
        check.done()
    }

    async fn insist_on_new_address(
        &mut self,
        id: MemberId,
        change: &MemberChange,
    ) -> Result<(), DeskError> {
        let Change::To(email) = &change.email else {
            return Ok(());
        };
        insist_on_keeper_of_classes(self.conn, self.who, id).await?;
        match members::with_address(self.conn, self.site, email).await? {
            Some(other) if other != id => Err(DeskError::conflict(
                "/email",
                "must not be the address of somebody else at this site",
            )),
            _ => Ok(()),
        }
    }

    /// A link that went to another address dies, and the new one gets a link of its own.
    async fn invite_anew(&mut self, id: MemberId, change: &MemberChange) -> Result<(), DeskError> {
        if !change.email.is_one() {
            return Ok(());
        }
        invitations::revoke_of(self.conn, self.site, id, clock::wall()).await?;
        if matches!(change.email, Change::To(_)) {
            let whom = (id, false);
            owe_invitation(self.conn, self.who, whom, self.people, self.errand.now).await?;
        }
        Ok(())
    }

    async fn change_roles(
        &mut self,
        id: MemberId,
        before: &[Role],
        after: &[Role],
        successor: Option<MemberId>,
    ) -> Result<(), DeskError> {
        let only_in = |these: &[Role], those: &[Role]| -> Vec<Role> {
            let mut these = these.to_vec();
            these.retain(|role| !those.contains(role));
            these
        };
        let (added, removed) = (only_in(after, before), only_in(before, after));
        let mut touched = added.iter().chain(&removed);
        if !touched.all(|role| may_grant(&self.who.roles, *role)) {
            return Err(DeskError::Forbidden(Deed::ChangeRoles));
        }
        let handed = insist_on_successor(self.conn, self.site, id, after, successor).await?;
        members::replace_roles(self.conn, self.site, id, after).await?;
        if !any_may(after, Deed::KeepClasses) {
            classes::stop_teaching(self.conn, self.site, id).await?;
        }
        if !any_may(after, Deed::PrintCodes) {
            codes::revoke_made_by(self.conn, self.site, id, clock::wall()).await?;
        }
        let now = self.errand.now;
        let detail = json!({ "added": codes_of(&added), "removed": codes_of(&removed) });
        let subject = Subject::Member(id.0);
        trail::leave(self.conn, self.who, now, "roles_changed", subject, detail).await?;
        if let (Some(successor), false) = (successor, handed.is_empty()) {
            let detail = json!({ "roles": codes_of(&handed), "after": id });
            let subject = Subject::Member(successor.0);
            trail::leave(self.conn, self.who, now, "role_taken_over", subject, detail).await?;
        }
        Ok(())
    }
}
