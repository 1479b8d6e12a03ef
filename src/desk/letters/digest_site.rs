//! A site's week for whoever looks after it: what comes, what was missed, how the bins are.

use super::Reading;
use crate::desk::DeskError;
use crate::desk::at_hand::SiteAtHand;
use crate::desk::morning_room::took_nothing;
use crate::desk::sites;
use crate::desk::stocked_bins::{StockedBin, stocked_bins};
use crate::store::keepers::{self, FedRow, LeftUndone};
use crate::store::notices::{self, NoticeRow};
use crate::store::places::PlaceRow;
use crate::store::turns::{self, TurnRow};
use crate::store::{Conn, bins, places};
use chrono::{DateTime, Datelike, Days, NaiveDate, TimeDelta, Utc};
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;
use wormrota_domain::ids::{SiteId, TurnId};
use wormrota_domain::living_bin::aftermath::Trouble;
use wormrota_domain::living_bin::ailment::ailments;
use wormrota_domain::living_bin::gate::Gate;
use wormrota_domain::turns::Duty;
use wormrota_domain::units::Grams;

/// More lines of one sort are only counted: a letter that nobody reads to its end tells
/// nothing.
pub(super) const MOST_LINES: i64 = 6;
/// Notices that are looked through for what is said once.
const MOST_NOTICES: i64 = 100;
/// Days looked ahead and back.
const WEEK: u64 = 7;

/// What is told of a site.
pub(super) struct SiteWeek {
    pub name: String,
    /// Turns to come with how many of their places are empty.
    pub empty: Vec<(NaiveDate, String, u64)>,
    /// Feeding turns of the week before of which nothing was written down, though the bin could
    /// take something.
    pub missed: Vec<(NaiveDate, String)>,
    pub bins: Vec<BinLine>,
    /// Notices that nobody has ticked off, one for each trouble of a bin, the newest first.
    pub open: Vec<OpenNotice>,
    pub undone: LeftUndone,
    /// Put in during the week before.
    pub fed_week: Grams,
    /// Put in since the first of January.
    pub fed_year: Grams,
}

/// A trouble of a bin that nobody has ticked off.
pub(super) struct OpenNotice {
    /// The day of the newest notice of it.
    pub day: NaiveDate,
    pub bin: String,
    pub trouble: Trouble,
    /// How many notices there are of it.
    pub notices: i64,
}

/// A bin in one line.
pub(super) struct BinLine {
    pub name: String,
    pub trouble: Option<Trouble>,
    /// It rests, whether or not that is a trouble yet.
    pub rests: bool,
    pub room: Grams,
}

impl SiteWeek {
    /// Whether there is nothing to be done.
    pub(super) fn is_quiet(&self) -> bool {
        let well = |bin: &BinLine| bin.trouble.is_none() && !bin.rests;
        self.empty.is_empty()
            && self.missed.is_empty()
            && self.bins.iter().all(well)
            && self.undone == LeftUndone::default()
    }
}

/// A site's week that begins on a Monday, as it is now.
pub(super) async fn site_week(
    conn: &mut Conn,
    at: &Reading,
    (id, name): (SiteId, String),
    monday: NaiveDate,
) -> Result<SiteWeek, DeskError> {
    let site = SiteAtHand::load(conn, id).await?;
    let today = site.day(at.by.now);
    let span = Span::around(monday);
    let rows = turns::of_days(conn, id, None, span.back, span.ahead).await?;
    let ids: Vec<TurnId> = rows.iter().map(|turn| TurnId(turn.id)).collect();
    let held = places::of_turns(conn, id, &ids).await?;
    let names: BTreeMap<Uuid, String> = bins::names_of_site(conn, id)
        .await?
        .into_iter()
        .map(|(bin, name)| (bin.0, name))
        .collect();
    let new_year = today.with_day(1).and_then(|day| day.with_month(1));
    let first = new_year.unwrap_or(today).min(span.back);
    let fed = keepers::fed(conn, id, (site.zone.start_of_day(first), at.by.now)).await?;
    let stocked = stocked_bins(conn, &at.by.model, &site, at.by.now).await?;
    let coming = site.days_soon(at.by.now);
    let turns = Turns {
        rows: &rows,
        held: &held,
        names: &names,
        today,
    };
    let days = |row: &FedRow| site.day(row.occurred_at);
    let fed_on: BTreeSet<(Uuid, NaiveDate)> =
        fed.iter().map(|row| (row.bin_id, days(row))).collect();
    let open = notices::page(conn, id, Some(at.by.now), None, MOST_NOTICES).await?;
    let quiet = sites::load(conn, id).await?.quiet;
    let mut missed = BTreeSet::new();
    for turn in turns.unfed(&fed_on) {
        if !took_nothing(conn, &at.by.model, &site, quiet, turn).await? {
            missed.insert((turn.on_date, turns.bin(turn)));
        }
    }
    let sum = |from: NaiveDate, to: NaiveDate| {
        let within = fed.iter().filter(|row| (from..to).contains(&days(row)));
        within.map(|row| Grams(row.grams)).sum()
    };
    let failed_since = at.by.wall - TimeDelta::days(7);
    Ok(SiteWeek {
        name,
        empty: turns.empty(),
        missed: missed.into_iter().collect(),
        open: turns.notices(&site, &open),
        bins: stocked.iter().map(|bin| line(bin, &coming)).collect(),
        undone: keepers::left_undone(conn, id, failed_since).await?,
        fed_week: sum(span.back, monday),
        fed_year: sum(new_year.unwrap_or(today), today + Days::new(1)),
    })
}

/// The week before a Monday, and the week that it begins.
struct Span {
    back: NaiveDate,
    ahead: NaiveDate,
}

impl Span {
    fn around(monday: NaiveDate) -> Self {
        Self {
            back: monday - Days::new(WEEK),
            ahead: monday + Days::new(WEEK - 1),
        }
    }
}

fn line(bin: &StockedBin, coming: &[DateTime<Utc>]) -> BinLine {
    let found = ailments(&bin.habitat, &bin.state, coming);
    BinLine {
        name: bin.row.name.clone(),
        trouble: found.first().map(|one| one.trouble),
        rests: matches!(bin.state.gate, Gate::Held { .. }),
        room: bin.room(),
    }
}

struct Turns<'a> {
    rows: &'a [TurnRow],
    held: &'a [PlaceRow],
    names: &'a BTreeMap<Uuid, String>,
    today: NaiveDate,
}

impl Turns<'_> {
    fn taking_place(&self) -> impl Iterator<Item = &TurnRow> {
        let rows = self.rows.iter();
        rows.filter(|turn| turn.called_off.is_none() && !turn.off_pattern)
    }

    fn bin(&self, turn: &TurnRow) -> String {
        self.names.get(&turn.bin_id).cloned().unwrap_or_default()
    }

    fn empty(&self) -> Vec<(NaiveDate, String, u64)> {
        let coming = self
            .taking_place()
            .filter(|turn| turn.on_date >= self.today);
        coming
            .map(|turn| {
                let free = |place: &&PlaceRow| place.turn_id == turn.id && place.how.is_none();
                let count = self.held.iter().filter(free).map(|_| 1).sum();
                (turn.on_date, self.bin(turn), count)
            })
            .filter(|(_, _, count)| *count > 0)
            .collect()
    }

    /// Notices, the newest first, each trouble of a bin once. What a newer copy put up about
    /// something that this one has no word for is left out.
    fn notices(&self, site: &SiteAtHand, rows: &[NoticeRow]) -> Vec<OpenNotice> {
        let mut open: Vec<OpenNotice> = Vec::new();
        for row in rows {
            let Some(trouble) = Trouble::from_code(&row.kind) else {
                continue;
            };
            let bin = self.names.get(&row.bin_id).cloned().unwrap_or_default();
            let same = |one: &&mut OpenNotice| one.bin == bin && one.trouble == trouble;
            match open.iter_mut().find(same) {
                Some(known) => known.notices += 1,
                None => open.push(OpenNotice {
                    day: site.day(row.created_at),
                    bin,
                    trouble,
                    notices: 1,
                }),
            }
        }
        open
    }

    /// Feeding turns that are over, on whose day nothing was written down.
    fn unfed(&self, fed_on: &BTreeSet<(Uuid, NaiveDate)>) -> impl Iterator<Item = &TurnRow> {
        let past = self.taking_place().filter(|turn| turn.on_date < self.today);
        past.filter(|turn| turn.duty == Duty::Feeding.code())
            .filter(|turn| !fed_on.contains(&(turn.bin_id, turn.on_date)))
    }
}
