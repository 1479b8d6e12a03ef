//! Reading sites.

use super::membership::{Membership, admit};
use super::people::seen_by_neighbours;
use super::{Desk, DeskError, Errand, Noun, Page};
use crate::store::sites::{self, ContainerRow, SiteFoodRow, SiteRow};
use crate::store::{Conn, StoreError, bins};
use chrono::{DateTime, NaiveTime, Utc};
use futures_util::FutureExt;
use uuid::Uuid;
use wormrota_domain::access::Deed;
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::food::{self, Paper};
use wormrota_domain::ids::{BinId, ContainerId, MemberId, SiteId};
use wormrota_domain::letters::QuietHours;
use wormrota_domain::site::{
    Language, NeighboursSee, ScrapOutlet, USUAL_GIVE_BACK_DAYS, USUAL_REMINDER_DAYS, UnitSystem,
};
use wormrota_domain::speech::SpeechOf;
use wormrota_domain::units::Litres;

/// A site.
#[derive(Debug, Clone, PartialEq)]
pub struct Site {
    /// The key.
    pub id: SiteId,
    /// What people call it.
    pub name: String,
    /// Its time zone.
    pub zone: SiteZone,
    /// The units of display.
    pub units: UnitSystem,
    /// The language of sentences.
    pub language: Language,
    /// The paper it shreds.
    pub paper: Paper,
    /// Whether it is a school.
    pub is_school: bool,
    /// Mean outdoor air of each month in degrees Celsius, January first, when known.
    pub monthly_air_c: Option<[f64; 12]>,
    /// Where scraps can go that no bin takes.
    pub scrap_outlets: Vec<ScrapOutlet>,
    /// When it was opened.
    pub created_at: DateTime<Utc>,
    /// Grows with every change.
    pub revision: i64,
    /// What residents see of each other.
    pub neighbours_see: NeighboursSee,
    /// Who gets what the caretaker leaves unanswered.
    pub deputy: Option<MemberId>,
    /// How many days before a turn its place can still be given back.
    pub give_back_days: u8,
    /// The hours in which nobody is written to.
    pub quiet: QuietHours,
    /// How many days before a turn its holder is reminded, 0 for its morning.
    pub reminder_days: Vec<u8>,
    /// Whether every absence counts in the next rota, excused or not.
    pub absences_cost: bool,
}

/// A food that the site treats more strictly than the catalogue.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FoodEntry {
    /// An item or group of the catalogue.
    pub subject: String,
    /// `sparing` or `never`.
    pub class: String,
}

/// Something that the site measures scraps with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Container {
    /// The key within the site.
    pub id: ContainerId,
    /// What people call it.
    pub name: String,
    /// What it holds, in millilitres.
    pub volume_ml: i32,
}

/// A site with its lists, as a member sees it.
#[derive(Debug, Clone, PartialEq)]
pub struct SiteView {
    /// The site.
    pub site: Site,
    /// Foods treated more strictly than usual.
    pub foods: Vec<FoodEntry>,
    /// What scraps are measured with.
    pub containers: Vec<Container>,
    /// Who the reader is there.
    pub membership: Membership,
}

/// The sites that the caller belongs to.
pub async fn list_sites(
    desk: &Desk,
    errand: Errand,
    after: Option<Uuid>,
    limit: u16,
) -> Result<Page<Site>, DeskError> {
    desk.store()
        .read("list sites", errand, move |conn, errand| {
            async move {
                let rows =
                    sites::of_account(conn, errand.account, after, i64::from(limit) + 1).await?;
                let sites = rows.into_iter().map(site).collect::<Result<_, _>>()?;
                Ok(Page::cut(sites, limit))
            }
            .boxed()
        })
        .await
}

/// One site with its lists.
pub async fn see_site(desk: &Desk, errand: Errand, id: SiteId) -> Result<SiteView, DeskError> {
    desk.store()
        .read("see a site", errand, move |conn, errand| {
            async move {
                let membership = admit(conn, errand, id, Deed::SeeSite).await?;
                let foods = sites::foods(conn, id).await?;
                let containers = sites::containers(conn, id).await?;
                Ok(SiteView {
                    site: load(conn, id).await?,
                    foods: foods.into_iter().map(food).collect(),
                    containers: containers.into_iter().map(container).collect(),
                    membership,
                })
            }
            .boxed()
        })
        .await
}

/// A site as far as sentences about it need it.
#[derive(Debug, Clone, PartialEq)]
pub struct Words {
    /// The site: language, units, zone and paper.
    pub site: Site,
    /// What scraps are measured with.
    pub containers: Vec<Container>,
    /// What its bins are called.
    pub bins: Vec<(BinId, String)>,
}

impl Words {
    /// How the site wants things said.
    pub(crate) fn speech(&self) -> SpeechOf {
        let containers = self.containers.iter().filter_map(|container| {
            let litres = Litres(f64::from(container.volume_ml) / 1000.0);
            food::Container::new(&container.name, litres).ok()
        });
        SpeechOf {
            language: self.site.language,
            units: self.site.units,
            zone: self.site.zone,
            paper: self.site.paper,
            containers: containers.collect(),
        }
    }

    /// How a member does: in their own language, where they have one.
    ///
    /// # Errors
    /// [`StoreError::Unreadable`] for a language that nobody speaks.
    pub(super) fn speech_of_member(&self, own: Option<&str>) -> Result<SpeechOf, StoreError> {
        let speech = self.speech();
        let Some(code) = own else {
            return Ok(speech);
        };
        let language = Language::from_code(code).ok_or(StoreError::Unreadable {
            what: "members.language",
        })?;
        Ok(SpeechOf { language, ..speech })
    }
}

/// What sentences about a site are made with.
pub async fn words_of_site(desk: &Desk, errand: Errand, id: SiteId) -> Result<Words, DeskError> {
    desk.store()
        .read("read a site's words", errand, move |conn, errand| {
            async move {
                admit(conn, errand, id, Deed::SeeSite).await?;
                words(conn, id).await
            }
            .boxed()
        })
        .await
}

/// The same, for use cases that let the caller in already.
pub(super) async fn words(conn: &mut Conn, id: SiteId) -> Result<Words, DeskError> {
    let containers = sites::containers(conn, id).await?;
    Ok(Words {
        site: load(conn, id).await?,
        containers: containers.into_iter().map(container).collect(),
        bins: bins::names_of_site(conn, id).await?,
    })
}

/// One site, for use cases that let the caller in already.
pub async fn load(conn: &mut Conn, id: SiteId) -> Result<Site, DeskError> {
    let row = sites::by_id(conn, id)
        .await?
        .ok_or(DeskError::NotFound(Noun::Site))?;
    Ok(site(row)?)
}

fn food(row: SiteFoodRow) -> FoodEntry {
    FoodEntry {
        subject: row.subject,
        class: row.class,
    }
}

fn container(row: ContainerRow) -> Container {
    Container {
        id: ContainerId(row.id),
        name: row.name,
        volume_ml: row.volume_ml,
    }
}

pub(super) fn site(row: SiteRow) -> Result<Site, StoreError> {
    let unreadable = |what| StoreError::Unreadable { what };
    let air = row.monthly_air_c.map(<[f64; 12]>::try_from).transpose();
    Ok(Site {
        id: SiteId(row.id),
        name: row.name,
        zone: row.zone.parse().map_err(|_| unreadable("sites.zone"))?,
        units: UnitSystem::from_code(&row.units).ok_or(unreadable("sites.units"))?,
        language: Language::from_code(&row.language).ok_or(unreadable("sites.language"))?,
        paper: Paper::from_code(&row.paper).ok_or(unreadable("sites.paper"))?,
        is_school: row.is_school,
        monthly_air_c: air.map_err(|_| unreadable("sites.monthly_air_c"))?,
        scrap_outlets: serde_json::from_value(row.scrap_outlets)
            .map_err(|_| unreadable("sites.scrap_outlets"))?,
        created_at: row.created_at,
        revision: row.revision,
        neighbours_see: seen_by_neighbours(row.neighbours_see.as_deref())?,
        deputy: row.deputy_id.map(MemberId),
        give_back_days: give_back_days(row.give_back_days)?,
        quiet: quiet(row.quiet_from, row.quiet_until)?,
        reminder_days: reminder_days(row.reminder_days)?
            .unwrap_or_else(|| USUAL_REMINDER_DAYS.to_vec()),
        absences_cost: row.absences_cost.unwrap_or(false),
    })
}

/// How many days before a turn its place can still be given back, from the table's number.
pub(super) fn give_back_days(kept: Option<i16>) -> Result<u8, StoreError> {
    kept.map_or(Ok(USUAL_GIVE_BACK_DAYS), |days| {
        u8::try_from(days).map_err(|_| StoreError::Unreadable {
            what: "sites.give_back_days",
        })
    })
}

/// The site's quiet hours, or the usual ones, from the table's times.
pub(super) fn quiet(
    from: Option<NaiveTime>,
    until: Option<NaiveTime>,
) -> Result<QuietHours, StoreError> {
    match from.zip(until) {
        None => Ok(QuietHours::USUAL),
        Some((from, until)) => QuietHours::new(from, until).map_err(|_| StoreError::Unreadable {
            what: "sites.quiet_from",
        }),
    }
}

/// How many days before a turn somebody is reminded, from the table's numbers.
pub(super) fn reminder_days(kept: Option<Vec<i16>>) -> Result<Option<Vec<u8>>, StoreError> {
    let day = |days: i16| {
        u8::try_from(days).map_err(|_| StoreError::Unreadable {
            what: "reminder_days",
        })
    };
    kept.map(|days| days.into_iter().map(day).collect())
        .transpose()
}
