//! Playing the diaries through the use cases, each entry at its own time.

use super::DemoError;
use super::diary::{self, Care, Deed, Entry, instant};
use super::scenario::{Bin, Container, Pattern, Person, Scenario, Site};
use crate::desk::add_account::{NewAccount, NewMember, add_account};
use crate::desk::add_bin::{NewBin, add_bin};
use crate::desk::book::{Promise, book};
use crate::desk::change_site::change_site;
use crate::desk::check_bin::{Look, check_bin};
use crate::desk::keep_pattern::{NewPattern, make_pattern};
use crate::desk::measure::measure_by_hand;
use crate::desk::offers::{Amount, Item};
use crate::desk::once::Ticket;
use crate::desk::open_site::{NewSite, open_site};
use crate::desk::put_in::put_in;
use crate::desk::site_change::{ContainerChange, SiteChange};
use crate::desk::stock_bin::{Stocking, stock_bin};
use crate::desk::tell::{Telling, tell};
use crate::desk::tend_bed::add_bedding;
use crate::desk::{Desk, DeskError, Errand};
use crate::store::accounts;
use chrono::{DateTime, Days, NaiveTime, TimeDelta, Utc};
use futures_util::{FutureExt, StreamExt, TryStreamExt, stream};
use sha2::{Digest, Sha256};
use std::collections::HashMap;
use wormrota_domain::ids::{AccountId, BinId, SiteId};
use wormrota_domain::living_bin::decision::Outcome;
use wormrota_domain::living_bin::reading::{Quantity, Value};
use wormrota_domain::units::{Celsius, Grams};

/// Accounts and sites are made so long before the demo begins: before the first bin is
/// stocked. The educator's account thus tells when a load that was cut off began.
const BEFORE_ALL: TimeDelta = TimeDelta::days(370);
/// Accounts made at once. Their passwords are hashed in as many slots as the settings
/// give; more only wait.
const ACCOUNTS_AT_ONCE: usize = 4;
/// Bins are stocked before anybody brings scraps on that day.
const STOCKED_AT: NaiveTime = NaiveTime::MIN;
/// Less than this nobody carries down the stairs.
const WORTH_THE_STAIRS: Grams = Grams(30);

/// What was played.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Loaded {
    /// Sites opened.
    pub sites: usize,
    /// Accounts made.
    pub accounts: usize,
    /// Bins stocked.
    pub bins: usize,
    /// Offers that were put in, in full or on conditions.
    pub put_in: usize,
    /// Offers that were refused.
    pub refused: usize,
    /// Feedings told afterwards.
    pub told: usize,
    /// Bookings for days to come.
    pub booked: usize,
    /// Looks into a bin, temperatures read, and bedding added.
    pub cared_for: usize,
    /// Turns that patterns made for the days after.
    pub turns: usize,
}

impl Loaded {
    /// Everything that was asked, told, booked and done.
    #[must_use]
    pub const fn entries(&self) -> usize {
        self.put_in + self.refused + self.told + self.booked + self.cared_for
    }
}

/// When the demo begins whose load was cut off, if one was.
///
/// # Errors
/// [`DemoError::OtherData`] when there are accounts, and none of the demo's.
pub(super) async fn beginning(
    desk: &Desk,
    scenario: &Scenario,
) -> Result<Option<DateTime<Utc>>, DemoError> {
    let email = scenario.educator.email.clone();
    let (row, any) = desk
        .store()
        .read("look for a demo", email, |conn, email| {
            async move {
                let row = accounts::by_email(conn, email).await?;
                Ok::<_, DeskError>((row, accounts::any(conn).await?))
            }
            .boxed()
        })
        .await
        .map_err(DemoError::while_doing("looking for a demo"))?;
    match (row, any) {
        (Some(row), _) => Ok(Some(row.created_at + BEFORE_ALL)),
        (None, false) => Ok(None),
        (None, true) => Err(DemoError::OtherData),
    }
}

/// Plays everything for a demo that begins at `start`. What was done before is found and
/// not done again.
pub(super) async fn load(
    desk: &Desk,
    scenario: &Scenario,
    start: DateTime<Utc>,
) -> Result<Loaded, DemoError> {
    let entries = diary::read()?;
    let mut stage = Stage {
        desk,
        scenario,
        start,
        accounts: HashMap::new(),
        sites: HashMap::new(),
        bins: HashMap::new(),
        loaded: Loaded::default(),
    };
    stage.open_sites().await?;
    for (at, step) in stage.in_time(&entries)? {
        match step {
            Step::Stock(site, bin) => stage.stock(site, bin, at).await?,
            Step::Entry(entry) => stage.play(entry, at).await?,
        }
    }
    for site in &scenario.sites {
        for pattern in &site.patterns {
            stage.lay(site, pattern).await?;
        }
    }
    Ok(stage.loaded)
}

/// Something to be played.
enum Step<'a> {
    Stock(&'a Site, &'a Bin),
    Entry(&'a Entry),
}

/// Where the year is played, with the ids of all who have appeared.
struct Stage<'a> {
    desk: &'a Desk,
    scenario: &'a Scenario,
    start: DateTime<Utc>,
    accounts: HashMap<&'a str, AccountId>,
    sites: HashMap<&'a str, SiteId>,
    bins: HashMap<&'a str, BinId>,
    loaded: Loaded,
}

impl<'a> Stage<'a> {
    /// The educator opens the sites, and everybody gets an account.
    async fn open_sites(&mut self) -> Result<(), DemoError> {
        let (scenario, begin) = (self.scenario, self.start - BEFORE_ALL);
        let educator = &scenario.educator;
        let account = NewAccount {
            email: educator.email.clone(),
            password: scenario.password.clone(),
            is_educator: true,
            member: None,
        };
        let account = account_of(self.desk, account, begin).await?;
        self.accounts.insert(&educator.key, account);
        let (mut keys, mut people) = (Vec::new(), Vec::new());
        for site in &scenario.sites {
            let id = self.open_site(site, begin).await?;
            self.sites.insert(&site.name, id);
            keys.extend(site.people.iter().map(|person| person.key.as_str()));
            let password = &scenario.password;
            people.extend(site.people.iter().map(|who| account_at(id, who, password)));
        }
        let desk = self.desk;
        let accounts: Vec<AccountId> = stream::iter(people)
            .map(|account| account_of(desk, account, begin))
            .buffered(ACCOUNTS_AT_ONCE)
            .try_collect()
            .await?;
        self.accounts.extend(keys.into_iter().zip(accounts));
        self.loaded.accounts = self.accounts.len();
        self.loaded.sites = self.sites.len();
        Ok(())
    }

    async fn open_site(&self, site: &Site, now: DateTime<Utc>) -> Result<SiteId, DemoError> {
        let educator = &self.scenario.educator;
        let new = NewSite {
            name: site.name.clone(),
            zone: site.zone.name().to_owned(),
            units: site.units,
            language: site.language,
            paper: site.paper,
            is_school: site.is_school,
            monthly_air_c: Some(site.monthly_air_c),
            scrap_outlets: site.scrap_outlets.clone(),
            my_name: educator.name.clone(),
        };
        let container = |container: &Container| ContainerChange {
            id: None,
            name: container.name.clone(),
            volume_ml: container.volume_ml,
        };
        let change = SiteChange {
            foods: Some(site.foods.clone()),
            containers: Some(site.containers.iter().map(container).collect()),
            ..SiteChange::default()
        };
        let opening = || format!("opening {}", site.name);
        let errand = self.errand(&educator.key, now, &format!("open {}", site.name))?;
        let id = open_site(self.desk, errand, new)
            .await
            .map_err(DemoError::while_doing(opening()))?;
        let errand = self.errand(&educator.key, now, &format!("furnish {}", site.name))?;
        change_site(self.desk, errand, id, None, change)
            .await
            .map_err(DemoError::while_doing(opening()))?;
        Ok(id)
    }

    /// All that is to be played, with its time, in the order of time.
    fn in_time<'b>(&self, entries: &'b [Entry]) -> Result<Vec<(DateTime<Utc>, Step<'b>)>, DemoError>
    where
        'a: 'b,
    {
        let mut steps = Vec::with_capacity(entries.len());
        for site in &self.scenario.sites {
            for bin in &site.bins {
                let days = Days::new(bin.stocked_days_before.into());
                let today = site.zone.local_date(self.start);
                let date = today.checked_sub_days(days).unwrap_or(today);
                let at = instant(site.zone, date, STOCKED_AT);
                steps.push((at, Step::Stock(site, bin)));
            }
        }
        for entry in entries {
            let (site, _) = self.known_bin(entry)?;
            let today = site.zone.local_date(self.start);
            let date = entry.when.before(today);
            let date = date.ok_or_else(|| entry.place.wrong("no such day"))?;
            let mut at = instant(site.zone, date, entry.at);
            if let Deed::Tell { late, .. } = entry.deed {
                at += TimeDelta::days(late.into());
            }
            // Told so late that the demo begins earlier: then it has not been told yet.
            if at < self.start {
                steps.push((at, Step::Entry(entry)));
            }
        }
        steps.sort_by_key(|(at, _)| *at);
        Ok(steps)
    }

    async fn stock(
        &mut self,
        site: &'a Site,
        bin: &'a Bin,
        at: DateTime<Utc>,
    ) -> Result<(), DemoError> {
        let new = NewBin {
            name: bin.name.clone(),
            spot: bin.spot,
            vessel: bin.vessel,
            surface_cm2: bin.surface_cm2,
            tray_volumes_ml: bin.tray_volumes_ml.clone(),
        };
        let stocking = Stocking {
            stocked_at: None,
            worms: bin.worms_g,
            bedding: bin.bedding_g,
        };
        let stocking_it = || format!("stocking {}", bin.name);
        let site = self.site(site)?;
        let educator = &self.scenario.educator.key;
        let errand = self.errand(educator, at, &format!("add {}", bin.key))?;
        let id = add_bin(self.desk, errand, site, new)
            .await
            .map_err(DemoError::while_doing(stocking_it()))?;
        let errand = self.errand(&bin.stocked_by, at, &format!("stock {}", bin.key))?;
        stock_bin(self.desk, errand, site, id, stocking)
            .await
            .map_err(DemoError::while_doing(stocking_it()))?;
        self.bins.insert(&bin.key, id);
        self.loaded.bins += 1;
        Ok(())
    }

    async fn play(&mut self, entry: &Entry, at: DateTime<Utc>) -> Result<(), DemoError> {
        let (site, bin) = self.known_bin(entry)?;
        let id = self.bins.get(bin.key.as_str()).copied();
        let bin = id.ok_or_else(|| entry.place.wrong("this bin is not stocked yet"))?;
        let place = (self.site(site)?, bin);
        match &entry.deed {
            Deed::PutIn { items, or_part } => {
                self.put_in(entry, at, place, items.clone(), *or_part).await
            }
            Deed::Tell {
                items,
                bedding,
                late,
            } => {
                let telling = Telling {
                    fed_at: Some(at - TimeDelta::days((*late).into())),
                    items: items.clone(),
                    bedding: *bedding,
                };
                let errand = self.errand_of(entry, at, "")?;
                tell(self.desk, errand, place.0, bin, telling)
                    .await
                    .map_err(playing(entry))?;
                self.loaded.told += 1;
                Ok(())
            }
            Deed::Book { amount, day } => {
                let today = site.zone.local_date(self.start);
                let on_date = today.checked_add_days(Days::new((*day).into()));
                let promise = Promise {
                    on_date: on_date.ok_or_else(|| entry.place.wrong("no such day"))?,
                    amount: *amount,
                };
                let errand = self.errand_of(entry, at, "")?;
                let booked = book(self.desk, errand, place.0, bin, promise)
                    .await
                    .map_err(playing(entry))?;
                self.loaded.booked += usize::from(booked.booking.is_some());
                Ok(())
            }
            Deed::Care(care) => {
                self.care(entry, at, place, care).await?;
                self.loaded.cared_for += 1;
                Ok(())
            }
        }
    }

    /// Lays the turns of a pattern from the day on which the demo begins.
    async fn lay(&mut self, site: &'a Site, pattern: &'a Pattern) -> Result<(), DemoError> {
        let today = site.zone.local_date(self.start);
        let bin = self.bins.get(pattern.bin.as_str()).copied();
        let new = NewPattern {
            bin: bin.ok_or_else(|| unknown(&pattern.bin))?,
            duty: pattern.duty,
            rule: pattern.rule.clone(),
            first_day: today,
            last_day: today.checked_add_days(Days::new(pattern.days.into())),
            places: pattern.places,
            effort: pattern.effort,
            opens: pattern.opens,
            closes: pattern.closes,
            class: None,
        };
        let deed = format!("lay {} {}", pattern.bin, pattern.duty.code());
        let errand = self.errand(&pattern.made_by, self.start, &deed)?;
        let made = make_pattern(self.desk, errand, self.site(site)?, new)
            .await
            .map_err(DemoError::while_doing(deed))?;
        self.loaded.turns += made.days.len();
        Ok(())
    }

    async fn care(
        &self,
        entry: &Entry,
        at: DateTime<Utc>,
        (site, bin): (SiteId, BinId),
        care: &Care,
    ) -> Result<(), DemoError> {
        let errand = self.errand_of(entry, at, "")?;
        let done = match care {
            Care::Bedding(dry) => add_bedding(self.desk, errand, site, bin, *dry)
                .await
                .map(drop),
            Care::Check(check) => {
                let look = Look {
                    check: check.clone(),
                    checked_at: None,
                    by_visitor: false,
                };
                check_bin(self.desk, errand, site, bin, look)
                    .await
                    .map(drop)
            }
            Care::BedTemperature(Celsius(value)) => {
                let value = Value {
                    at,
                    quantity: Quantity::BedTemperature,
                    value: *value,
                };
                measure_by_hand(self.desk, errand, site, bin, vec![value])
                    .await
                    .map(drop)
            }
        };
        done.map_err(playing(entry))
    }

    async fn put_in(
        &mut self,
        entry: &Entry,
        at: DateTime<Utc>,
        (site, bin): (SiteId, BinId),
        items: Vec<Item>,
        or_part: bool,
    ) -> Result<(), DemoError> {
        let errand = self.errand_of(entry, at, "")?;
        let answer = put_in(self.desk, errand, site, bin, items)
            .await
            .map_err(playing(entry))?;
        let decision = answer.decision;
        self.count(decision.outcome);
        let fits = decision.room.min(decision.offered);
        if decision.outcome == Outcome::Refused && or_part && fits >= WORTH_THE_STAIRS {
            let part = vec![Item {
                food: "usual-mix".to_owned(),
                amount: Amount::Weighed(fits),
            }];
            let errand = self.errand_of(entry, at, " in part")?;
            let answer = put_in(self.desk, errand, site, bin, part)
                .await
                .map_err(playing(entry))?;
            self.count(answer.decision.outcome);
        }
        Ok(())
    }

    fn count(&mut self, outcome: Outcome) {
        match outcome {
            Outcome::Accepted | Outcome::AcceptedIf => self.loaded.put_in += 1,
            Outcome::Refused => self.loaded.refused += 1,
        }
    }

    fn known_bin(&self, entry: &Entry) -> Result<(&'a Site, &'a Bin), DemoError> {
        let bin = self.scenario.bin(&entry.bin);
        bin.ok_or_else(|| entry.place.wrong(format!("no such bin: {}", entry.bin)))
    }

    fn site(&self, site: &Site) -> Result<SiteId, DemoError> {
        let id = self.sites.get(site.name.as_str()).copied();
        id.ok_or_else(|| unknown(&site.name))
    }

    fn errand_of(&self, entry: &Entry, at: DateTime<Utc>, part: &str) -> Result<Errand, DemoError> {
        let mut hash = Sha256::new();
        hash.update(entry.fingerprint);
        hash.update(part);
        let place = entry.place;
        let deed = format!("{} line {}{part}", place.file, place.line);
        self.errand_with(&entry.member, at, &deed, hash.finalize().into())
    }

    fn errand(&self, who: &str, now: DateTime<Utc>, deed: &str) -> Result<Errand, DemoError> {
        self.errand_with(who, now, deed, Sha256::digest(deed).into())
    }

    /// An errand that is done once however often the year is played.
    fn errand_with(
        &self,
        who: &str,
        now: DateTime<Utc>,
        deed: &str,
        hash: [u8; 32],
    ) -> Result<Errand, DemoError> {
        let account = self.accounts.get(who).copied();
        let key: String = format!("demo {deed}")
            .chars()
            .map(|c| if c.is_ascii_graphic() { c } else { '-' })
            .collect();
        let ticket = Ticket::new(&key, hash)
            .map_err(|error| DemoError::while_doing(key)(DeskError::broken(error.to_string())))?;
        Ok(Errand {
            account: account.ok_or_else(|| unknown(who))?,
            now,
            ticket: Some(ticket),
        })
    }
}

fn account_at(site: SiteId, person: &Person, password: &str) -> NewAccount {
    NewAccount {
        email: person.email.clone(),
        password: password.to_owned(),
        is_educator: false,
        member: Some(NewMember {
            site,
            roles: person.roles.clone(),
            name: person.name.clone(),
            flat: person.flat.clone(),
        }),
    }
}

fn playing(entry: &Entry) -> impl FnOnce(DeskError) -> DemoError {
    let place = entry.place;
    DemoError::while_doing(format!("demo-data/{}, line {}", place.file, place.line))
}

fn unknown(key: &str) -> DemoError {
    DemoError::while_doing("playing the demo")(DeskError::broken(format!("nobody is called {key}")))
}

/// The account with this address, made if it is not there yet.
async fn account_of(
    desk: &Desk,
    new: NewAccount,
    now: DateTime<Utc>,
) -> Result<AccountId, DemoError> {
    let email = new.email.clone();
    // Looking first spares the hash of a password when a load goes on.
    if let Some(id) = known_account(desk, email.clone()).await? {
        return Ok(id);
    }
    match add_account(desk, new, now).await {
        // Another copy was faster.
        Err(DeskError::AddressTaken) => {
            let id = known_account(desk, email).await?;
            id.ok_or_else(|| unknown("with this address"))
        }
        other => other.map_err(DemoError::while_doing("adding an account")),
    }
}

async fn known_account(desk: &Desk, email: String) -> Result<Option<AccountId>, DemoError> {
    desk.store()
        .read("look for an account", email, |conn, email| {
            async move {
                let row = accounts::by_email(conn, email).await?;
                Ok::<_, DeskError>(row.map(|row| AccountId(row.id)))
            }
            .boxed()
        })
        .await
        .map_err(DemoError::while_doing("looking for an account"))
}
