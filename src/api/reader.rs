//! How the reader of a site wants things said.

use super::AppState;
use crate::desk::bins::bin_names;
use crate::desk::sites::see_site;
use crate::desk::{DeskError, Errand};
use crate::wording::{Names, Voice};
use wormrota_domain::food::Container;
use wormrota_domain::ids::SiteId;
use wormrota_domain::units::Litres;

/// The voice of a site, and what its bins are called.
pub(super) async fn reader(
    state: &AppState,
    errand: &Errand,
    site: SiteId,
) -> Result<(Voice, Names), DeskError> {
    let view = see_site(&state.desk, errand.clone(), site).await?;
    let names = bin_names(&state.desk, errand.clone(), site).await?;
    let containers = view.containers.into_iter().filter_map(|container| {
        let litres = Litres(f64::from(container.volume_ml) / 1000.0);
        Container::new(&container.name, litres).ok()
    });
    let voice = Voice {
        language: view.site.language,
        units: view.site.units,
        zone: view.site.zone,
        paper: view.site.paper,
        containers: containers.collect(),
    };
    Ok((voice, names.into_iter().collect()))
}
