//! Letters that wait for the end of quiet hours.

use super::{Desk, DeskError};
use crate::store::letters;
use chrono::{DateTime, Utc};
use futures_util::FutureExt;

/// How many letters wait, and until when.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Waiting {
    /// How many.
    pub count: i64,
    /// Until when the first of them does, by the machine's clock; none where none waits.
    pub until: Option<DateTime<Utc>>,
}

/// The letters of all sites that wait for the end of quiet hours.
///
/// # Errors
/// When the database does not answer.
pub async fn waiting_letters(desk: &Desk) -> Result<Waiting, DeskError> {
    desk.store()
        .read("see which letters wait", (), |conn, ()| {
            async move {
                let (count, until) = letters::waiting(conn).await?;
                Ok::<_, DeskError>(Waiting { count, until })
            }
            .boxed()
        })
        .await
}
