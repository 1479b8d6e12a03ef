//! Letters about one bin that are told together.

use super::letters::LetterRow;
use super::schema::letters;
use super::{Conn, StoreError};
use chrono::{DateTime, Utc};
use diesel::dsl::sql;
use diesel::prelude::*;
use diesel::sql_types::{Bool, Text};
use diesel_async::RunQueryDsl;
use uuid::Uuid;
use wormrota_domain::ids::{BinId, SiteId};
use wormrota_domain::letters::{LetterKind, LetterState, Reason};

/// The letters of a kind about a bin, in the order in which they were owed: those whose payload
/// names it as `bin`.
pub async fn about_bin(
    conn: &mut Conn,
    site: SiteId,
    kind: LetterKind,
    bin: BinId,
) -> Result<Vec<LetterRow>, StoreError> {
    let is_about = sql::<Bool>("payload ->> 'bin' = ").bind::<Text, _>(bin.to_string());
    Ok(letters::table
        .filter(letters::site_id.eq(site.0))
        .filter(letters::kind.eq(kind.code()))
        .filter(is_about)
        .select(LetterRow::as_select())
        .order(letters::id)
        .load(conn)
        .await?)
}

/// Closes letters that another one, which was sent, spoke for.
pub async fn close_told(
    conn: &mut Conn,
    ids: &[Uuid],
    at: DateTime<Utc>,
) -> Result<(), StoreError> {
    let open = [LetterState::Owed.code(), LetterState::Leased.code()];
    let waiting = letters::table
        .filter(letters::id.eq_any(ids))
        .filter(letters::state.eq_any(open));
    diesel::update(waiting)
        .set((
            letters::state.eq(LetterState::NotWanted.code()),
            letters::reason.eq(Reason::ToldTogether.code()),
            letters::leased_until.eq(None::<DateTime<Utc>>),
            letters::closed_at.eq(at),
        ))
        .execute(conn)
        .await?;
    Ok(())
}
