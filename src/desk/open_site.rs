//! Opening a site. Whoever opens it becomes its first member, as an educator. A school
//! begins with a school's stricter food list.

use super::add_account::{NewMember, join, parse_member};
use super::fields::Check;
use super::site_change::{air_is_sane, outlets_as_json};
use super::site_lists::food_rows;
use super::{Desk, DeskError, Errand};
use crate::clock;
use crate::store::accounts;
use crate::store::sites::{self, SiteRow};
use futures_util::FutureExt;
use wormrota_domain::access::Role;
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::food::{Paper, SiteFoodList};
use wormrota_domain::ids::SiteId;
use wormrota_domain::site::{Language, ScrapOutlet, UnitSystem};

/// A site to be opened.
#[derive(Debug, Clone)]
pub struct NewSite {
    /// What people will call it.
    pub name: String,
    /// The IANA name of its time zone.
    pub zone: String,
    /// The units of display.
    pub units: UnitSystem,
    /// The language of sentences.
    pub language: Language,
    /// The paper it shreds.
    pub paper: Paper,
    /// Whether it is a school.
    pub is_school: bool,
    /// Mean outdoor air of each month in degrees Celsius, January first.
    pub monthly_air_c: Option<[f64; 12]>,
    /// Where scraps can go that no bin takes.
    pub scrap_outlets: Vec<ScrapOutlet>,
    /// What the educator is called there.
    pub my_name: String,
}

/// Opens a site.
pub async fn open_site(desk: &Desk, errand: Errand, new: NewSite) -> Result<SiteId, DeskError> {
    let mut check = Check::default();
    let id = SiteId(clock::fresh_id());
    let zone = new.zone.parse::<SiteZone>().map(SiteZone::name);
    if let Err(error) = zone {
        check.wrong("/zone", format!("must be a time zone; this is {error}"));
    }
    if !new.monthly_air_c.is_none_or(|air| air_is_sane(&air)) {
        check.wrong("/monthly_air_c", "must be between -60 and 60 degrees");
    }
    let mut member = NewMember {
        site: id,
        roles: vec![Role::Educator],
        name: new.my_name,
        flat: None,
    };
    let my_name = check.name("/my_name", &member.name, 100);
    member.name = my_name;
    let row = SiteRow {
        id: id.0,
        name: check.name("/name", &new.name, 100),
        zone: zone.unwrap_or_default().to_owned(),
        units: new.units.code().to_owned(),
        language: new.language.code().to_owned(),
        paper: new.paper.code().to_owned(),
        is_school: new.is_school,
        monthly_air_c: new.monthly_air_c.map(Vec::from),
        scrap_outlets: outlets_as_json(&new.scrap_outlets),
        created_at: errand.now,
        revision: 1,
        neighbours_see: None,
        deputy_id: None,
        give_back_days: None,
        quiet_from: None,
        quiet_until: None,
        reminder_days: None,
        absences_cost: None,
    };
    check.done()?;
    let member = parse_member(&mut Check::default(), member);

    desk.write(
        "open a site",
        errand,
        (row, member),
        |conn, errand, (row, member)| {
            async move {
                match accounts::is_educator(conn, errand.account).await? {
                    Some(true) => {}
                    Some(false) | None => return Err(DeskError::MayNotOpenSites),
                }
                sites::insert(conn, row).await?;
                if row.is_school {
                    let id = SiteId(row.id);
                    let foods = SiteFoodList::school().to_entries();
                    sites::replace_foods(conn, id, &food_rows(id, &foods)).await?;
                }
                join(conn, member, Some(errand.account), errand.now).await?;
                Ok(SiteId(row.id))
            }
            .boxed()
        },
    )
    .await
}
