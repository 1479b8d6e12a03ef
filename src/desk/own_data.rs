//! What is kept about oneself: handing it over.

use super::{Desk, DeskError, Errand};
use crate::store::personal::{self, KEPT};
use futures_util::FutureExt;
use serde_json::{Map, Value};

/// Everything that is kept about whoever asks, by table, as it is kept; only what lets people
/// in is left out.
pub async fn export(desk: &Desk, errand: Errand) -> Result<Map<String, Value>, DeskError> {
    desk.store()
        .read("export own data", errand, |conn, errand| {
            async move {
                let mut tables = Map::new();
                for kept in KEPT {
                    let rows = personal::rows_of(conn, kept, errand.account).await?;
                    tables.insert(kept.table.to_owned(), rows);
                }
                Ok(tables)
            }
            .boxed()
        })
        .await
}
