//! The food list and the containers of a site.

use super::fields::Check;
use super::site_change::ContainerChange;
use crate::store::sites::SiteFoodRow;
use std::collections::BTreeSet;
use wormrota_domain::food::{
    Container, ContainerError, SiteFoodEntry, SiteFoodError, SiteFoodList,
};
use wormrota_domain::ids::SiteId;
use wormrota_domain::units::Litres;

/// Entries that a food list may have.
const MOST_FOODS: usize = 200;
/// Containers that a site may have.
const MOST_CONTAINERS: usize = 40;

/// Whether the list has a sane size and is stricter than the catalogue all through.
pub(super) fn check_foods(check: &mut Check, foods: &[SiteFoodEntry]) {
    if foods.len() > MOST_FOODS {
        check.wrong("/foods", format!("must have at most {MOST_FOODS} entries"));
        return;
    }
    let Err(error) = SiteFoodList::parse(foods) else {
        return;
    };
    let known = !matches!(error, SiteFoodError::Unknown { .. });
    let (line, field, detail) = match error {
        SiteFoodError::Unknown { line, nearest, .. } if nearest.is_empty() => (
            line,
            "subject",
            "must be a food or group of the catalogue".to_owned(),
        ),
        SiteFoodError::Unknown { line, nearest, .. } => (
            line,
            "subject",
            format!(
                "must be a food or group of the catalogue, such as {}",
                nearest.join(" or ")
            ),
        ),
        SiteFoodError::Loosens { line, at_least, .. } => (
            line,
            "class",
            format!(
                "must be {} or stricter: a list can be stricter than the catalogue, not milder",
                at_least.code()
            ),
        ),
        SiteFoodError::Twice { line, .. } => (line, "subject", "must not come twice".to_owned()),
    };
    let pointer = format!("/foods/{line}/{field}");
    if known {
        check.conflict(pointer, detail);
    } else {
        check.wrong(pointer, detail);
    }
}

/// A food list as the table keeps it.
pub(super) fn food_rows(site: SiteId, foods: &[SiteFoodEntry]) -> Vec<SiteFoodRow> {
    foods
        .iter()
        .map(|entry| SiteFoodRow {
            site_id: site.0,
            subject: entry.subject.clone(),
            class: entry.class.code().to_owned(),
        })
        .collect()
}

pub(super) fn check_containers(check: &mut Check, containers: &mut [ContainerChange]) {
    if containers.len() > MOST_CONTAINERS {
        check.wrong(
            "/containers",
            format!("must have at most {MOST_CONTAINERS} entries"),
        );
    }
    let mut names = BTreeSet::new();
    let mut ids = BTreeSet::new();
    for (index, container) in containers.iter_mut().enumerate() {
        let pointer = format!("/containers/{index}/name");
        container.name = check.name(&pointer, &container.name, Container::LONGEST_NAME);
        // Whoever measures with it may write it either way.
        if !names.insert(container.name.to_lowercase()) {
            check.conflict(pointer, "must not come twice");
        }
        if container.id.is_some_and(|id| !ids.insert(id)) {
            check.conflict(format!("/containers/{index}/id"), "must not come twice");
        }
        let volume = Litres(f64::from(container.volume_ml) / 1000.0);
        // What the domain would not take could be stored, but never be measured with.
        if let Err(ContainerError::Volume(_)) = Container::new("any", volume) {
            let (least, most) = (Container::SMALLEST.0, Container::LARGEST.0);
            check.wrong(
                format!("/containers/{index}/volume_l"),
                format!("must be {least} to {most} litres"),
            );
        }
    }
}
