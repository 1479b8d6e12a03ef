//! Who holds which place, for one reader: keepers see all of it, residents what the site's
//! `neighbours_see` lets them, and pupils only the adults of their class and educators.

use super::DeskError;
use super::at_hand::unreadable;
use super::classes::sees_all;
use super::membership::Membership;
use super::people::{Eyes, Person};
use super::turns::{HolderSeen, Hours, Place, Turn};
use crate::store::members::{self, Which};
use crate::store::places::{Holder, How, PlaceRow};
use crate::store::turns::TurnRow;
use crate::store::{Conn, classes, limits};
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;
use wormrota_domain::access::Deed;
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::ids::{BinId, ClassId, MemberId, PatternId, PlaceId, TurnId};
use wormrota_domain::turns::{CalledOffBy, Duty, Window};

/// Beside whom a reader finds no free place; nobody for who may send people themselves, and is
/// told of the rules.
pub(super) async fn apart_of(
    conn: &mut Conn,
    who: &Membership,
) -> Result<Vec<MemberId>, DeskError> {
    if who.may(Deed::AssignPlaces) {
        return Ok(Vec::new());
    }
    Ok(limits::apart_from(conn, who.site, who.member).await?)
}

/// What a reader knows of those who hold places.
pub(super) struct View {
    who: Membership,
    in_full: bool,
    /// Beside whom no place is free for the reader. To them such a turn is full, or what they
    /// are told when they ask for a place would give the pair away.
    apart: Vec<MemberId>,
    members: BTreeMap<Uuid, Person>,
    classes: BTreeSet<Uuid>,
    pupils: BTreeMap<Uuid, Option<String>>,
}

impl View {
    /// Reads what there is to know about these places.
    pub(super) async fn open(
        conn: &mut Conn,
        who: Membership,
        turns: &[TurnRow],
        places: impl Iterator<Item = &PlaceRow>,
    ) -> Result<Self, DeskError> {
        let site = who.site;
        let holders: BTreeSet<Uuid> = places.filter_map(|place| place.member_id).collect();
        let eyes = Eyes::of(conn, who.clone()).await?;
        let which = Which::These(holders.iter().copied().collect());
        let most = i64::try_from(holders.len()).unwrap_or(i64::MAX);
        let mut members = BTreeMap::new();
        for row in members::people(conn, site, which, None, most).await? {
            let id = row.member.id;
            members.extend(eyes.see(row)?.map(|person| (id, person)));
        }
        let named: BTreeSet<Uuid> = turns.iter().filter_map(|turn| turn.class_id).collect();
        let mut classes = named;
        if !classes.is_empty() && !sees_all(&who) {
            let own = classes::of_adult(conn, site, who.member).await?;
            classes.retain(|class| own.contains(&ClassId(*class)));
        }
        let ids: Vec<ClassId> = classes.iter().copied().map(ClassId).collect();
        let pupils = classes::pupils_of(conn, site, &ids).await?;
        let apart = apart_of(conn, &who).await?;
        Ok(Self {
            in_full: who.may(Deed::SeePeopleInFull),
            apart,
            members,
            classes,
            pupils: pupils.into_iter().map(|row| (row.id, row.label)).collect(),
            who,
        })
    }

    /// A turn as the reader sees it.
    pub(super) fn turn(
        &self,
        zone: SiteZone,
        row: &TurnRow,
        places: Vec<PlaceRow>,
    ) -> Result<Turn, DeskError> {
        let class = row.class_id.filter(|class| self.classes.contains(class));
        let shut = self.is_shut(&places);
        let mut places = places
            .into_iter()
            .map(|place| self.place(&place, class.is_some()))
            .collect::<Result<Vec<_>, _>>()?;
        for place in &mut places {
            place.held |= shut;
        }
        let called_off = row
            .called_off
            .as_deref()
            .map(|code| CalledOffBy::from_code(code).ok_or_else(|| unreadable("turns.called_off")));
        Ok(Turn {
            id: TurnId(row.id),
            bin: BinId(row.bin_id),
            pattern: row.pattern_id.map(PatternId),
            on_date: row.on_date,
            duty: Duty::from_code(&row.duty).ok_or_else(|| unreadable("turns.duty"))?,
            effort: row.effort,
            hours: hours(row, zone)?,
            is_of_a_class: row.class_id.is_some(),
            class: class.map(ClassId),
            called_off: called_off.transpose()?,
            off_pattern: row.off_pattern,
            visit_during: None,
            places,
            revision: row.revision,
        })
    }

    /// Whether the free places of a turn are none for the reader.
    fn is_shut(&self, places: &[PlaceRow]) -> bool {
        let holders = || places.iter().filter_map(|place| place.member_id);
        holders().any(|id| self.apart.contains(&MemberId(id)))
            && !holders().any(|id| id == self.who.member.0)
    }

    fn place(&self, row: &PlaceRow, own_class: bool) -> Result<Place, DeskError> {
        let how = row
            .how
            .as_deref()
            .map(|code| How::from_code(code).ok_or_else(|| unreadable("places.how")))
            .transpose()?;
        let holder = row.holder().and_then(|holder| match holder {
            Holder::Member(id) => self.member(id),
            Holder::Pupil(id) => own_class.then(|| HolderSeen::Pupil {
                id,
                label: self.pupils.get(&id.0).cloned().flatten(),
            }),
        });
        Ok(Place {
            id: PlaceId(row.id),
            seat: row.seat,
            held: how.is_some(),
            mine: row.member_id == Some(self.who.member.0),
            how: how.filter(|_| holder.is_some()),
            // It tells how the holder came to it.
            kept: row.kept && holder.is_some(),
            holder,
        })
    }

    /// Whoever left is seen by nobody but keepers, and without a name.
    fn member(&self, id: MemberId) -> Option<HolderSeen> {
        let person = self.members.get(&id.0);
        if person.is_none() && !self.in_full {
            return None;
        }
        Some(HolderSeen::Member {
            id,
            name: person.and_then(|person| person.name.clone()),
            flat: person.and_then(|person| person.flat.clone()),
        })
    }
}

/// From when to when a turn can be done.
pub(super) fn hours(row: &TurnRow, zone: SiteZone) -> Result<Option<Hours>, DeskError> {
    let (Some(opens), Some(closes)) = (row.opens, row.closes) else {
        return Ok(None);
    };
    let window = Window::new(opens, closes).map_err(|_| unreadable("turns.opens"))?;
    let (opens_at, closes_at) = window.on(row.on_date, zone);
    Ok(Some(Hours {
        opens,
        closes,
        opens_at,
        closes_at,
    }))
}
