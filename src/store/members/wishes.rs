//! How members want to be written to.

use crate::store::schema::members;
use crate::store::{Conn, StoreError};
use diesel::prelude::*;
use diesel::sql_query;
use diesel::sql_types::{Bool, Text, Uuid as SqlUuid};
use diesel_async::RunQueryDsl;
use wormrota_domain::ids::{MemberId, SiteId};
use wormrota_domain::letters::LetterGroup;

/// How a member wants to be written to. It is no part of [`MemberRow`](super::MemberRow), which
/// others write whole: a link in a letter changes it at any time.
#[derive(Debug, Clone, Default, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = members)]
pub struct Wishes {
    /// How many days before a turn they are reminded; as their site does without a list.
    pub reminder_days: Option<Vec<i16>>,
    /// The sorts of letters that they do without.
    pub letters_off: Option<Vec<String>>,
}

/// What is to change about somebody's wishes; what is none stays as it is.
#[derive(Debug, Clone, Default, PartialEq, Eq, AsChangeset)]
#[diesel(table_name = members)]
pub struct WishChange {
    /// Other days, or those of the site.
    pub reminder_days: Option<Option<Vec<i16>>>,
    /// Other sorts, in the place of all the old ones.
    pub letters_off: Option<Vec<String>>,
}

impl WishChange {
    /// Forgets all of them.
    #[must_use]
    pub const fn none() -> Self {
        Self {
            reminder_days: Some(None),
            letters_off: Some(Vec::new()),
        }
    }
}

/// Changes how a member wants to be written to.
pub async fn change_wishes(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
    change: &WishChange,
) -> Result<(), StoreError> {
    if *change == WishChange::default() {
        return Ok(());
    }
    diesel::update(members::table.find((site.0, member.0)))
        .set(change)
        .execute(conn)
        .await?;
    Ok(())
}

/// Ends letters of a sort to a member, or lets them go again; says whether it was otherwise.
pub async fn turn_letters(
    conn: &mut Conn,
    site: SiteId,
    member: MemberId,
    (group, on): (LetterGroup, bool),
) -> Result<bool, StoreError> {
    let turn = sql_query(
        "UPDATE members SET revision = revision + 1, letters_off = CASE
             WHEN $4 THEN array_remove(letters_off, $3) ELSE array_append(letters_off, $3) END
         WHERE site_id = $1 AND id = $2 AND coalesce($3 = ANY (letters_off), false) = $4",
    );
    let changed = turn
        .bind::<SqlUuid, _>(site.0)
        .bind::<SqlUuid, _>(member.0)
        .bind::<Text, _>(group.code())
        .bind::<Bool, _>(on)
        .execute(conn)
        .await?;
    Ok(changed == 1)
}
