//! How the reader of a site wants things said.

use super::AppState;
use crate::desk::sites::{Words, words_of_site};
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
    let words = words_of_site(&state.desk, errand.clone(), site).await?;
    Ok(voice_of(words))
}

/// The voice of a site, and what the site is called.
pub(super) async fn site_in_words(
    state: &AppState,
    errand: &Errand,
    site: SiteId,
) -> Result<(Voice, String), DeskError> {
    let words = words_of_site(&state.desk, errand.clone(), site).await?;
    let name = words.site.name.clone();
    Ok((voice_of(words).0, name))
}

/// The same from what is known of the site.
pub(super) fn voice_of(words: Words) -> (Voice, Names) {
    let containers = words.containers.into_iter().filter_map(|container| {
        let litres = Litres(f64::from(container.volume_ml) / 1000.0);
        Container::new(&container.name, litres).ok()
    });
    let voice = Voice {
        language: words.site.language,
        units: words.site.units,
        zone: words.site.zone,
        paper: words.site.paper,
        containers: containers.collect(),
    };
    (voice, words.bins.into_iter().collect())
}
