//! How the reader of a site wants things said.

use super::AppState;
use crate::desk::sites::{Words, words_of_site};
use crate::desk::{DeskError, Errand};
use crate::wording::{Names, Voice};
use wormrota_domain::ids::SiteId;

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
    let voice = Voice::of(&words.speech());
    (voice, words.bins.into_iter().collect())
}
