//! What the wording promises: nothing missing in any language, nothing said that is not so.

mod amounts;
mod complete;
mod days;
mod golden;
mod lists;
mod rota;
mod samples;

use super::Voice;
use chrono::{DateTime, TimeZone, Utc};
use wormrota_domain::food::{Container, Paper};
use wormrota_domain::site::{Language, UnitSystem};
use wormrota_domain::units::Litres;

/// A Monday.
fn now() -> DateTime<Utc> {
    Utc.with_ymd_and_hms(2026, 9, 7, 17, 30, 0).unwrap()
}

/// The first moment of a day in September 2026, in Lisbon.
fn day(day: u32) -> DateTime<Utc> {
    Utc.with_ymd_and_hms(2026, 9, day - 1, 23, 0, 0).unwrap()
}

fn pail() -> Container {
    Container::new("blue pail", Litres(2.0)).unwrap()
}

fn caddy() -> Container {
    Container::new("caddy", Litres(5.0)).unwrap()
}

/// A house that has named its containers (metric), or has none of its own (US).
fn voice(language: Language, units: UnitSystem) -> Voice {
    let (paper, containers) = match units {
        UnitSystem::Metric => (Paper::A4, vec![pail(), caddy()]),
        UnitSystem::Us => (Paper::Letter, Vec::new()),
    };
    Voice {
        language,
        units,
        zone: "Europe/Lisbon".parse().unwrap(),
        paper,
        containers,
    }
}

fn voices() -> impl Iterator<Item = Voice> {
    let languages = Language::ALL.iter();
    languages.flat_map(|language| UnitSystem::ALL.iter().map(|units| voice(*language, *units)))
}
