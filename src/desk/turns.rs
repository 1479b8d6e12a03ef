//! Reading turns, and who holds which place as far as the reader may see it.

use super::fields::insist_on_years;
use super::keep_class::zone_of;
use super::membership::{Membership, admit};
use super::turn_view::{View, apart_of};
use super::{Desk, DeskError, Errand, Noun, Page};
use crate::store::places::{self, How, PlaceRow};
use crate::store::turns::{self, TurnRow, Wanted};
use crate::store::{Conn, sites, visits};
use chrono::{DateTime, Days, NaiveDate, NaiveTime, Utc};
use futures_util::FutureExt;
use std::collections::BTreeMap;
use std::fmt;
use uuid::Uuid;
use wormrota_domain::access::Deed;
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::ids::{
    BinId, ClassId, ClosureId, MemberId, PatternId, PlaceId, PupilId, SiteId, TurnId,
};
use wormrota_domain::turns::{CalledOffBy, Duty};

/// Days of a list when nobody says how many.
const USUAL_DAYS: u64 = 28;
/// Days of a list at most.
const MOST_DAYS: i64 = 400;

/// A turn as somebody sees it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Turn {
    /// The key within the site.
    pub id: TurnId,
    /// The bin.
    pub bin: BinId,
    /// The pattern that it comes from; none when it was added by hand.
    pub pattern: Option<PatternId>,
    /// The local day.
    pub on_date: NaiveDate,
    /// What is to be done.
    pub duty: Duty,
    /// What it costs each of those who hold a place.
    pub effort: i16,
    /// From when to when, if not all day.
    pub hours: Option<Hours>,
    /// Whether the pupils of a class take it.
    pub is_of_a_class: bool,
    /// Which class that is, for whoever may see the class.
    pub class: Option<ClassId>,
    /// Why it does not take place, if it does not.
    pub called_off: Option<CalledOffBy>,
    /// Whether its pattern does not want this day any more while somebody holds a place.
    pub off_pattern: bool,
    /// The closure during which it is a visit, if it is one.
    pub visit_during: Option<ClosureId>,
    /// Its places, by seat.
    pub places: Vec<Place>,
    /// Grows with every change of the turn itself, not of who holds its places.
    pub revision: i64,
}

/// The hours of a turn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hours {
    /// From when on, on a clock on the site's wall.
    pub opens: NaiveTime,
    /// Until when.
    pub closes: NaiveTime,
    /// The instant at which it opens on its day.
    pub opens_at: DateTime<Utc>,
    /// The instant at which it closes.
    pub closes_at: DateTime<Utc>,
}

/// A place of a turn as somebody sees it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Place {
    /// The key within the site.
    pub id: PlaceId,
    /// 1, 2 and so on.
    pub seat: i16,
    /// Whether somebody holds it.
    pub held: bool,
    /// Whether that is the reader.
    pub mine: bool,
    /// Who holds it, for whoever may know.
    pub holder: Option<HolderSeen>,
    /// How they came to it, for the same eyes.
    pub how: Option<How>,
    /// Whether the planner leaves it alone.
    pub kept: bool,
}

/// Somebody who holds a place. Its `Debug` output holds no name.
#[derive(Clone, PartialEq, Eq)]
pub enum HolderSeen {
    /// A member.
    Member {
        /// Their key.
        id: MemberId,
        /// What they are called, unless the name was erased.
        name: Option<String>,
        /// Their flat, where the reader may know it.
        flat: Option<String>,
    },
    /// A pupil.
    Pupil {
        /// Their key.
        id: PupilId,
        /// The first name or initials, unless they were erased.
        label: Option<String>,
    },
}

impl fmt::Debug for HolderSeen {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Member { id, .. } => write!(f, "Member({id})"),
            Self::Pupil { id, .. } => write!(f, "Pupil({id})"),
        }
    }
}

/// Which turns a reader wants; see [`list_turns`].
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct TurnsWanted {
    /// The first day; today without.
    pub from: Option<NaiveDate>,
    /// The last day; four weeks in all without.
    pub to: Option<NaiveDate>,
    /// Only this bin's.
    pub bin: Option<BinId>,
    /// Only those with a free place that a member can take.
    pub free: bool,
    /// Only those of which the reader holds a place.
    pub mine: bool,
}

/// Turns of a span of days, in order of day.
///
/// # Errors
/// [`DeskError::Conflicting`] when the span is longer than 400 days or ends before it begins.
pub async fn list_turns(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    wanted: TurnsWanted,
    after: Option<(NaiveDate, Uuid)>,
    limit: u16,
) -> Result<Page<Turn>, DeskError> {
    insist_on_years(&[("/from", wanted.from), ("/to", wanted.to)])?;
    desk.store()
        .read("list turns", errand, move |conn, errand| {
            async move {
                let who = admit(conn, errand, site, Deed::SeeTurns).await?;
                let zone = zone_of_site(conn, site).await?;
                let (from, to) = span(&wanted, zone.local_date(errand.now))?;
                let wanted = Wanted {
                    from,
                    to,
                    bin: wanted.bin,
                    free_after: wanted.free.then(|| zone.wall(errand.now)),
                    without: apart_of(conn, &who).await?,
                    held_by: wanted.mine.then_some(who.member),
                };
                let rows = turns::page(conn, site, &wanted, after, i64::from(limit) + 1).await?;
                let page = Page::cut(rows, limit);
                Ok(Page {
                    items: seen(conn, who, zone, page.items).await?,
                    more: page.more,
                })
            }
            .boxed()
        })
        .await
}

/// One turn.
pub async fn see_turn(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    turn: TurnId,
) -> Result<Turn, DeskError> {
    desk.store()
        .read("see a turn", errand, move |conn, errand| {
            async move {
                let who = admit(conn, errand, site, Deed::SeeTurns).await?;
                let row = turns::by_id(conn, site, turn).await?;
                let row = row.ok_or(DeskError::NotFound(Noun::Turn))?;
                let zone = zone_of_site(conn, site).await?;
                let mut turns = seen(conn, who, zone, vec![row]).await?;
                turns.pop().ok_or(DeskError::NotFound(Noun::Turn))
            }
            .boxed()
        })
        .await
}

fn span(wanted: &TurnsWanted, today: NaiveDate) -> Result<(NaiveDate, NaiveDate), DeskError> {
    let from = wanted.from.unwrap_or(today);
    let usual = from.checked_add_days(Days::new(USUAL_DAYS - 1));
    let to = wanted.to.or(usual).unwrap_or(from);
    if (0..MOST_DAYS).contains(&(to - from).num_days()) {
        Ok((from, to))
    } else {
        let detail = format!("must be `from` or a later day, {MOST_DAYS} days in all at most");
        Err(DeskError::conflict("/to", detail))
    }
}

/// The zone of a site, for who needs no more of it.
pub(super) async fn zone_of_site(conn: &mut Conn, site: SiteId) -> Result<SiteZone, DeskError> {
    let row = sites::by_id(conn, site).await?;
    zone_of(&row.ok_or(DeskError::NotFound(Noun::Site))?.zone)
}

/// Turns as somebody sees them who was let in: a fixed number of statements, however many
/// there are.
pub(super) async fn seen(
    conn: &mut Conn,
    who: Membership,
    zone: SiteZone,
    rows: Vec<TurnRow>,
) -> Result<Vec<Turn>, DeskError> {
    let site = who.site;
    let ids: Vec<TurnId> = rows.iter().map(|row| TurnId(row.id)).collect();
    let mut places: BTreeMap<Uuid, Vec<PlaceRow>> = BTreeMap::new();
    for place in places::of_turns(conn, site, &ids).await? {
        places.entry(place.turn_id).or_default().push(place);
    }
    let visits = visits::among(conn, site, &ids).await?;
    let view = View::open(conn, who, &rows, places.values().flatten()).await?;
    rows.iter()
        .map(|row| {
            let places = places.remove(&row.id).unwrap_or_default();
            let visit_during = visits.get(&row.id).copied();
            Ok(Turn {
                visit_during,
                ..view.turn(zone, row, places)?
            })
        })
        .collect()
}
