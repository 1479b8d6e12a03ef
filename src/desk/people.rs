//! Who belongs to a site, and how much of it a member sees.

use super::membership::{Membership, admit};
use super::sites::reminder_days;
use super::{Desk, DeskError, Errand, Noun, Page};
use crate::store::members::{self, MemberRow, Which};
use crate::store::{Conn, StoreError, sites};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use std::collections::BTreeMap;
use std::fmt;
use uuid::Uuid;
use wormrota_domain::access::{Deed, KEEPERS, Role};
use wormrota_domain::ids::{HouseholdId, MemberId, SiteId};
use wormrota_domain::letters::LetterGroup;
use wormrota_domain::site::{Language, NeighboursSee};

/// A person at a site, as far as the reader may see them. Its `Debug` output hides the name.
#[derive(Clone, PartialEq, Eq)]
pub struct Person {
    /// The key within the site.
    pub id: MemberId,
    /// The name, unless it was erased.
    pub name: Option<String>,
    /// The flat, where there are flats and the reader may know it.
    pub flat: Option<String>,
    /// The roles.
    pub roles: Vec<Role>,
    /// The address, where the reader may know it.
    pub email: Option<String>,
    /// The phone number, where the reader may know it.
    pub phone: Option<String>,
    /// What only they themselves see, and whoever looks after the site.
    pub details: Option<Details>,
    /// Grows with every change.
    pub revision: i64,
}

/// What is nobody else's business.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Details {
    /// Whether they can sign in.
    pub has_account: bool,
    /// Since when they belong.
    pub joined_at: DateTime<Utc>,
    /// With whom they share a fair share of turns.
    pub household: Option<HouseholdId>,
    /// The language that they are written to in, if not the site's.
    pub language: Option<Language>,
    /// Whether fellow members may see their phone number.
    pub shares_phone: bool,
    /// Whether fellow members may see their address.
    pub shares_email: bool,
    /// Since when letters to their address come back.
    pub bounced_at: Option<DateTime<Utc>>,
    /// How many days before a turn they are reminded, if not as their site does.
    pub reminder_days: Option<Vec<u8>>,
    /// The sorts of letters that they do without.
    pub letters_off: Vec<LetterGroup>,
}

impl fmt::Debug for Person {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Person({}, {:?})", self.id, self.roles)
    }
}

/// Who looks, and what the site lets them see.
pub(super) struct Eyes {
    who: Membership,
    in_full: bool,
    neighbours: NeighboursSee,
}

impl Eyes {
    async fn open(conn: &mut Conn, errand: &Errand, site: SiteId) -> Result<Self, DeskError> {
        let who = admit(conn, errand, site, Deed::SeePeople).await?;
        Self::of(conn, who).await
    }

    /// Those of somebody who was let in.
    pub(super) async fn of(conn: &mut Conn, who: Membership) -> Result<Self, DeskError> {
        Ok(Self {
            in_full: who.may(Deed::SeePeopleInFull),
            neighbours: neighbours_see(conn, who.site).await?,
            who,
        })
    }

    fn which(&self) -> Which {
        if self.in_full || self.neighbours != NeighboursSee::Keepers {
            Which::Members
        } else {
            Which::InRoles(KEEPERS.to_vec(), self.who.member)
        }
    }

    /// The person as these eyes see them, if they see them at all.
    pub(super) fn see(&self, row: members::Person) -> Result<Option<Person>, StoreError> {
        let looks_after = row.roles.iter().any(|role| KEEPERS.contains(role));
        let own = row.member.id == self.who.member.0;
        if self.in_full || own {
            return in_full(row).map(Some);
        }
        if self.neighbours == NeighboursSee::Keepers && !looks_after {
            return Ok(None);
        }
        let flats = self.neighbours == NeighboursSee::NamesAndFlats;
        let shared = |since: Option<DateTime<Utc>>| since.is_some();
        let phone = shared(row.member.shares_phone_since);
        let email = shared(row.member.shares_email_since);
        let mut person = in_full(row)?;
        person.details = None;
        person.flat = person.flat.filter(|_| flats);
        person.phone = person.phone.filter(|_| phone);
        person.email = person.email.filter(|_| email);
        Ok(Some(person))
    }
}

/// People of a site who were let in and have not left, as far as the reader may see them.
pub async fn list_people(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    after: Option<Uuid>,
    limit: u16,
) -> Result<Page<Person>, DeskError> {
    desk.store()
        .read("list people", errand, move |conn, errand| {
            async move {
                let eyes = Eyes::open(conn, errand, site).await?;
                let wanted = i64::from(limit) + 1;
                let rows = members::people(conn, site, eyes.which(), after, wanted).await?;
                let seen: Vec<Option<Person>> = rows
                    .into_iter()
                    .map(|row| eyes.see(row))
                    .collect::<Result<_, _>>()?;
                Ok(Page::cut(seen.into_iter().flatten().collect(), limit))
            }
            .boxed()
        })
        .await
}

/// One of them.
pub async fn see_person(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    id: MemberId,
) -> Result<Person, DeskError> {
    desk.store()
        .read("see a person", errand, move |conn, errand| {
            async move {
                let eyes = Eyes::open(conn, errand, site).await?;
                let row = let_in(conn, site, id).await?;
                eyes.see(row)?.ok_or(DeskError::NotFound(Noun::Member))
            }
            .boxed()
        })
        .await
}

/// Those of some members whom the reader may see, with what they are called. Who looks after
/// the site sees that there was somebody, even if they have left and their name is erased.
pub(super) async fn names_seen(
    conn: &mut Conn,
    who: &Membership,
    of: &[MemberId],
) -> Result<BTreeMap<MemberId, Option<String>>, DeskError> {
    let eyes = Eyes {
        in_full: who.may(Deed::SeePeopleInFull),
        neighbours: neighbours_see(conn, who.site).await?,
        who: who.clone(),
    };
    let mut seen = BTreeMap::new();
    if eyes.in_full {
        seen.extend(of.iter().map(|member| (*member, None)));
    }
    let these = Which::These(of.iter().map(|member| member.0).collect());
    let most = i64::try_from(of.len()).unwrap_or(i64::MAX);
    for row in members::people(conn, who.site, these, None, most).await? {
        if let Some(person) = eyes.see(row)? {
            seen.insert(person.id, person.name);
        }
    }
    Ok(seen)
}

/// Somebody who was let in and has not left.
pub(super) async fn let_in(
    conn: &mut Conn,
    site: SiteId,
    id: MemberId,
) -> Result<members::Person, DeskError> {
    members::person(conn, site, id)
        .await?
        .filter(|row| row.member.waiting_since.is_none())
        .ok_or(DeskError::NotFound(Noun::Member))
}

/// What a site lets residents see of each other.
pub(super) async fn neighbours_see(
    conn: &mut Conn,
    site: SiteId,
) -> Result<NeighboursSee, DeskError> {
    let row = sites::by_id(conn, site)
        .await?
        .ok_or(DeskError::NotFound(Noun::Site))?;
    Ok(seen_by_neighbours(row.neighbours_see.as_deref())?)
}

/// The same, from the table's word: without one, only whom to ask.
pub(super) fn seen_by_neighbours(word: Option<&str>) -> Result<NeighboursSee, StoreError> {
    word.map_or(Ok(NeighboursSee::Keepers), |word| {
        NeighboursSee::from_code(word).ok_or(StoreError::Unreadable {
            what: "sites.neighbours_see",
        })
    })
}

/// The language of somebody, if it is not the site's.
pub(super) fn language_of(row: &MemberRow) -> Result<Option<Language>, StoreError> {
    let read = |code: &str| {
        Language::from_code(code).ok_or(StoreError::Unreadable {
            what: "members.language",
        })
    };
    row.language.as_deref().map(read).transpose()
}

fn groups(kept: Option<Vec<String>>) -> Result<Vec<LetterGroup>, StoreError> {
    let read = |code: &String| {
        LetterGroup::from_code(code).ok_or(StoreError::Unreadable {
            what: "members.letters_off",
        })
    };
    kept.unwrap_or_default().iter().map(read).collect()
}

fn in_full(row: members::Person) -> Result<Person, StoreError> {
    let details = Details {
        has_account: row.member.account_id.is_some(),
        joined_at: row.member.joined_at,
        household: row.member.household_id.map(HouseholdId),
        language: language_of(&row.member)?,
        shares_phone: row.member.shares_phone_since.is_some(),
        shares_email: row.member.shares_email_since.is_some(),
        bounced_at: row.bounced_at,
        reminder_days: reminder_days(row.wishes.reminder_days)?,
        letters_off: groups(row.wishes.letters_off)?,
    };
    let (name, flat, email, phone) = row.name.map_or((None, None, None, None), |row| {
        (Some(row.name), row.flat, row.email_lower, row.phone)
    });
    Ok(Person {
        id: MemberId(row.member.id),
        name,
        flat,
        roles: row.roles,
        email: row.account_email.or(email),
        phone,
        details: Some(details),
        revision: row.member.revision,
    })
}
