//! Who there is before anything happens: `demo-data/sites.toml`.

use super::DemoError;
use chrono::NaiveTime;
use config::{Config, File, FileFormat};
use serde::Deserialize;
use std::fmt;
use wormrota_domain::access::Role;
use wormrota_domain::calendar::SiteZone;
use wormrota_domain::food::{Paper, SiteFoodEntry};
use wormrota_domain::site::{Language, ScrapOutlet, Spot, UnitSystem, Vessel};
use wormrota_domain::turns::Duty;
use wormrota_domain::units::Grams;

const FILE: &str = "sites.toml";
const TEXT: &str = include_str!("../../demo-data/sites.toml");

/// Everybody and everything.
#[derive(Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Scenario {
    /// The password of all accounts.
    pub password: String,
    /// Opens the sites and belongs to all of them.
    pub educator: Educator,
    pub sites: Vec<Site>,
}

impl fmt::Debug for Scenario {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Scenario({} sites)", self.sites.len())
    }
}

#[derive(Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Educator {
    pub key: String,
    pub name: String,
    pub email: String,
}

#[derive(Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Site {
    pub name: String,
    pub zone: SiteZone,
    pub units: UnitSystem,
    pub language: Language,
    pub paper: Paper,
    pub is_school: bool,
    /// Degrees Celsius, January first.
    pub monthly_air_c: [f64; 12],
    pub scrap_outlets: Vec<ScrapOutlet>,
    pub foods: Vec<SiteFoodEntry>,
    pub containers: Vec<Container>,
    pub bins: Vec<Bin>,
    pub people: Vec<Person>,
    #[serde(default)]
    pub patterns: Vec<Pattern>,
}

/// How often a bin is due from the day on which the demo begins.
#[derive(Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Pattern {
    /// The key of a bin of the site.
    pub bin: String,
    /// The key of a person of the site.
    pub made_by: String,
    pub duty: Duty,
    /// A recurrence rule (RFC 5545).
    pub rule: String,
    /// Days from the first to the last.
    pub days: u16,
    pub places: u32,
    pub effort: u32,
    #[serde(default)]
    pub opens: Option<NaiveTime>,
    #[serde(default)]
    pub closes: Option<NaiveTime>,
}

#[derive(Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Container {
    pub name: String,
    pub volume_ml: i32,
}

#[derive(Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Person {
    pub key: String,
    pub name: String,
    pub email: String,
    #[serde(default)]
    pub flat: Option<String>,
    pub roles: Vec<Role>,
}

#[derive(Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Bin {
    pub key: String,
    pub name: String,
    pub spot: Spot,
    pub vessel: Vessel,
    pub surface_cm2: i32,
    pub tray_volumes_ml: Vec<i32>,
    /// Days before the demo begins.
    pub stocked_days_before: u16,
    /// The key of a person of the site.
    pub stocked_by: String,
    pub worms_g: Grams,
    pub bedding_g: Grams,
}

impl Scenario {
    pub(super) fn read() -> Result<Self, DemoError> {
        Config::builder()
            .add_source(File::from_str(TEXT, FileFormat::Toml))
            .build()
            .and_then(Config::try_deserialize)
            .map_err(|error| DemoError::Data {
                file: FILE,
                line: 0,
                what: error.to_string(),
            })
    }

    /// The site at which a bin stands, and the bin.
    pub(super) fn bin(&self, key: &str) -> Option<(&Site, &Bin)> {
        self.sites
            .iter()
            .find_map(|site| Some((site, site.bins.iter().find(|bin| bin.key == key)?)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn keys_and_addresses_are_unique_and_addresses_can_belong_to_nobody() {
        let scenario = Scenario::read().unwrap();
        let mut keys = BTreeSet::from([scenario.educator.key.as_str()]);
        let mut emails = BTreeSet::from([scenario.educator.email.as_str()]);
        for site in &scenario.sites {
            for person in &site.people {
                assert!(keys.insert(&person.key), "{}", person.key);
                assert!(emails.insert(&person.email), "{}", person.email);
            }
            for bin in &site.bins {
                assert!(keys.insert(&bin.key), "{}", bin.key);
                assert!(site.people.iter().any(|who| who.key == bin.stocked_by));
            }
            for pattern in &site.patterns {
                assert!(site.bins.iter().any(|bin| bin.key == pattern.bin));
                assert!(site.people.iter().any(|who| who.key == pattern.made_by));
            }
        }
        for email in emails {
            assert!(email.ends_with(".example"), "{email}");
        }
    }

    #[test]
    fn the_debug_output_holds_no_password() {
        let scenario = Scenario::read().unwrap();
        assert!(!format!("{scenario:?}").contains(&scenario.password));
    }
}
