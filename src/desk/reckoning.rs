//! By what is reckoned where nobody signed in: the two clocks, and the constants of the bins.

use super::{Desk, DeskError};
use chrono::{DateTime, Utc};
use std::sync::Arc;
use wormrota_domain::living_bin::settings::ModelSettings;

/// By what is reckoned where nobody signed in.
#[derive(Debug, Clone)]
pub(super) struct Reckoning {
    /// The time at which bins live.
    pub now: DateTime<Utc>,
    /// The machine's time, which letters and their links live by.
    pub wall: DateTime<Utc>,
    /// The constants of the living bin.
    pub model: Arc<ModelSettings>,
}

impl Reckoning {
    /// That of the moment at which the machine's clock shows `wall`.
    ///
    /// # Errors
    /// When the database cannot be reached.
    pub(super) async fn at(desk: &Desk, wall: DateTime<Utc>) -> Result<Self, DeskError> {
        Ok(Self {
            now: desk.now_at(wall).await?,
            wall,
            model: desk.model(),
        })
    }

    /// An instant of the bins' time on the machine's clock: another only in the demo.
    pub(super) fn on_the_wall(&self, at: DateTime<Utc>) -> DateTime<Utc> {
        self.wall + (at - self.now)
    }
}
