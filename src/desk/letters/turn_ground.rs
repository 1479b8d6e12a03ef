//! What letters about turns have to know: the turns as their reader may see them, and what
//! whoever cannot come is to do.

use super::Reading;
use super::receiver::Receiver;
use super::turn_words::{Help, TurnTold};
use crate::desk::membership::Membership;
use crate::desk::turns::{HolderSeen, Place, Turn, seen};
use crate::desk::{DeskError, keepers, sites};
use crate::store::{Conn, bins, members, turns};
use chrono::{DateTime, Days, NaiveDate, NaiveTime, Utc};
use std::collections::BTreeMap;
use wormrota_domain::access::KEEPERS;
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::ids::{BinId, TurnId};
use wormrota_domain::turns::Window;

/// A site with its turns, for one reader.
pub(super) struct TurnGround {
    /// The local day.
    pub today: NaiveDate,
    /// What whoever cannot come is to do.
    pub help: Help,
    who: Membership,
    zone: SiteZone,
    bins: BTreeMap<BinId, String>,
}

impl TurnGround {
    pub(super) async fn load(
        conn: &mut Conn,
        at: &Reading,
        receiver: &Receiver,
    ) -> Result<Self, DeskError> {
        let (id, member) = (receiver.site, receiver.member);
        let site = sites::load(conn, id).await?;
        let person = members::person(conn, id, member).await?;
        let roles = person.map(|person| person.roles).unwrap_or_default();
        let today = site.zone.local_date(at.by.now);
        Ok(Self {
            help: Help {
                ask: keepers::names(conn, id, KEEPERS, member).await?,
                give_back_days: site.give_back_days,
                today,
            },
            who: Membership {
                site: id,
                member,
                roles,
            },
            zone: site.zone,
            bins: bins::names_of_site(conn, id).await?.into_iter().collect(),
            today,
        })
    }

    /// Those of some turns that are there, as the reader sees them, in order of day.
    pub(super) async fn turns(
        &self,
        conn: &mut Conn,
        ids: &[TurnId],
    ) -> Result<Vec<Turn>, DeskError> {
        let any_day = (self.today, self.today);
        let rows = turns::about(conn, self.who.site, ids, &[], any_day).await?;
        seen(conn, self.who.clone(), self.zone, rows).await
    }

    /// A turn in the words of a letter.
    pub(super) fn told(&self, turn: &Turn) -> TurnTold {
        let name = |place: &Place| match &place.holder {
            Some(HolderSeen::Member { name, .. }) if !place.mine => name.clone(),
            _ => None,
        };
        TurnTold {
            bin: self.bin(turn.bin),
            on_date: turn.on_date,
            duty: turn.duty,
            hours: turn.hours.map(|hours| (hours.opens_at, hours.closes_at)),
            with: turn.places.iter().filter_map(name).collect(),
        }
    }

    /// What a bin is called.
    pub(super) fn bin(&self, id: BinId) -> String {
        self.bins.get(&id).cloned().unwrap_or_default()
    }

    /// The instants of hours on a day.
    pub(super) fn instants(
        &self,
        day: NaiveDate,
        (opens, closes): (NaiveTime, NaiveTime),
    ) -> Option<(DateTime<Utc>, DateTime<Utc>)> {
        let window = Window::new(opens, closes).ok()?;
        Some(window.on(day, self.zone))
    }
}

/// When a local day of a site is over, on the machine's clock: another than the bins' only in
/// the demo.
pub(in crate::desk) fn over_at(
    zone: SiteZone,
    day: NaiveDate,
    now: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> DateTime<Utc> {
    let day_after = day.checked_add_days(Days::new(1)).unwrap_or(day);
    wall + (zone.start_of_day(day_after) - now)
}
