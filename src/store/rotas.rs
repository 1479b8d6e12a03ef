//! Rotas: who holds which place over a span of days, from the first wish for a draft on.

use super::schema::rotas;
use super::{Conn, StoreError};
use chrono::{DateTime, NaiveDate, Utc};
use diesel::prelude::*;
use diesel_async::RunQueryDsl;
use serde_json::Value;
use uuid::Uuid;
use wormrota_domain::ids::{MemberId, RotaId, SiteId};

/// How far a rota is.
///
/// ```text
/// waiting -> drafting -> drafted -> put_up -> replaced
///    |           |           |
///    +-----------+-> failed  |
///    +-----------+-----------+-> dropped
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RotaState {
    /// Nobody works on it yet.
    Waiting,
    /// The planner is at work.
    Drafting,
    /// There is a draft.
    Drafted,
    /// It could not be drafted.
    Failed,
    /// Nobody wants it any more.
    Dropped,
    /// It is in force.
    PutUp,
    /// It was in force until another one changed it.
    Replaced,
}

impl RotaState {
    /// Every state.
    pub const ALL: [Self; 7] = [
        Self::Waiting,
        Self::Drafting,
        Self::Drafted,
        Self::Failed,
        Self::Dropped,
        Self::PutUp,
        Self::Replaced,
    ];

    /// The word in the table.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::Waiting => "waiting",
            Self::Drafting => "drafting",
            Self::Drafted => "drafted",
            Self::Failed => "failed",
            Self::Dropped => "dropped",
            Self::PutUp => "put_up",
            Self::Replaced => "replaced",
        }
    }

    /// The value that a word stands for, if any.
    #[must_use]
    pub fn from_code(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|state| state.code() == code)
    }
}

/// A rota as it is stored, without what it was drafted from and what was found: those are
/// large, and read when they are needed.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = rotas)]
pub struct RotaRow {
    /// The site.
    pub site_id: Uuid,
    /// The key within the site.
    pub id: Uuid,
    /// The first local day.
    pub first_day: NaiveDate,
    /// The last local day.
    pub last_day: NaiveDate,
    /// The rota in force that this one changes.
    pub replans_id: Option<Uuid>,
    /// The first day on which it changes anything.
    pub replan_from: Option<NaiveDate>,
    /// See [`RotaState`].
    pub state: String,
    /// Which of several equally good plans is found.
    pub seed: i64,
    /// Steps that the planner is given.
    pub steps_planned: i64,
    /// How many of them it has taken.
    pub steps_done: i64,
    /// Why it could not be drafted.
    pub failure: Option<String>,
    /// Who asked for it.
    pub made_by: Uuid,
    /// When.
    pub created_at: DateTime<Utc>,
    /// When there was a draft.
    pub drafted_at: Option<DateTime<Utc>>,
    /// When it was put up.
    pub put_up_at: Option<DateTime<Utc>>,
    /// By whom.
    pub put_up_by: Option<Uuid>,
}

/// Which rotas of a site are wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Which {
    /// All of them, drafts among them.
    All,
    /// Those in force.
    InForce,
}

/// Adds a rota with what it is to be drafted from; a [`StoreError::Duplicate`] of
/// `rotas_one_at_work` while another one of the site is being drafted.
pub async fn insert(conn: &mut Conn, row: &RotaRow, asked: &Value) -> Result<(), StoreError> {
    diesel::insert_into(rotas::table)
        .values((row, rotas::asked.eq(asked)))
        .execute(conn)
        .await?;
    Ok(())
}

/// One rota of a site.
pub async fn by_id(
    conn: &mut Conn,
    site: SiteId,
    id: RotaId,
) -> Result<Option<RotaRow>, StoreError> {
    Ok(rotas::table
        .find((site.0, id.0))
        .select(RotaRow::as_select())
        .first(conn)
        .await
        .optional()?)
}

/// The same, locked until the transaction ends.
pub async fn lock(
    conn: &mut Conn,
    site: SiteId,
    id: RotaId,
) -> Result<Option<RotaRow>, StoreError> {
    Ok(rotas::table
        .find((site.0, id.0))
        .select(RotaRow::as_select())
        .for_no_key_update()
        .first(conn)
        .await
        .optional()?)
}

/// What a rota is drafted from, and what was found.
pub async fn contents(
    conn: &mut Conn,
    site: SiteId,
    id: RotaId,
) -> Result<Option<(Value, Option<Value>)>, StoreError> {
    Ok(rotas::table
        .find((site.0, id.0))
        .select((rotas::asked, rotas::found))
        .first(conn)
        .await
        .optional()?)
}

/// What was found for a rota.
pub async fn found(conn: &mut Conn, site: SiteId, id: RotaId) -> Result<Option<Value>, StoreError> {
    let found: Option<Option<Value>> = rotas::table
        .find((site.0, id.0))
        .select(rotas::found)
        .first(conn)
        .await
        .optional()?;
    Ok(found.flatten())
}

/// Rotas of a site, newest first, after one.
pub async fn of_site(
    conn: &mut Conn,
    site: SiteId,
    which: Which,
    after: Option<Uuid>,
    limit: i64,
) -> Result<Vec<RotaRow>, StoreError> {
    let mut query = rotas::table
        .filter(rotas::site_id.eq(site.0))
        .select(RotaRow::as_select())
        .order(rotas::id.desc())
        .limit(limit)
        .into_boxed();
    if which == Which::InForce {
        query = query.filter(rotas::state.eq(RotaState::PutUp.code()));
    }
    if let Some(after) = after {
        query = query.filter(rotas::id.lt(after));
    }
    Ok(query.load(conn).await?)
}

/// The rotas in force that touch a span of days, both included.
pub async fn in_force(
    conn: &mut Conn,
    site: SiteId,
    (from, to): (NaiveDate, NaiveDate),
) -> Result<Vec<RotaRow>, StoreError> {
    Ok(rotas::table
        .filter(rotas::site_id.eq(site.0))
        // Written out, so that the partial index of the constraint is used.
        .filter(rotas::state.eq("put_up"))
        .filter(rotas::first_day.le(to))
        .filter(rotas::last_day.ge(from))
        .select(RotaRow::as_select())
        .order(rotas::first_day)
        .load(conn)
        .await?)
}

/// How many rotas of a site are drafted and neither put up nor dropped.
pub async fn count_drafted(conn: &mut Conn, site: SiteId) -> Result<i64, StoreError> {
    Ok(rotas::table
        .filter(rotas::site_id.eq(site.0))
        .filter(rotas::state.eq(RotaState::Drafted.code()))
        .count()
        .get_result(conn)
        .await?)
}

/// Brings a rota that is locked into another state, with the steps done so far.
pub async fn set_state(
    conn: &mut Conn,
    site: SiteId,
    id: RotaId,
    state: RotaState,
) -> Result<(), StoreError> {
    diesel::update(rotas::table.find((site.0, id.0)))
        .set(rotas::state.eq(state.code()))
        .execute(conn)
        .await?;
    Ok(())
}

/// Notes how far the planner is; false when the rota is not being drafted any more.
pub async fn note_steps(
    conn: &mut Conn,
    site: SiteId,
    id: RotaId,
    steps: i64,
) -> Result<bool, StoreError> {
    let changed = diesel::update(
        rotas::table
            .find((site.0, id.0))
            .filter(rotas::state.eq(RotaState::Drafting.code())),
    )
    .set(rotas::steps_done.eq(steps))
    .execute(conn)
    .await?;
    Ok(changed == 1)
}

/// Ends the drafting of a rota with what was found, unless it is not being drafted any more.
pub async fn keep_found(
    conn: &mut Conn,
    site: SiteId,
    id: RotaId,
    (steps, found): (i64, &Value),
    now: DateTime<Utc>,
) -> Result<(), StoreError> {
    diesel::update(
        rotas::table
            .find((site.0, id.0))
            .filter(rotas::state.eq(RotaState::Drafting.code())),
    )
    .set((
        rotas::state.eq(RotaState::Drafted.code()),
        rotas::steps_done.eq(steps),
        rotas::found.eq(found),
        rotas::drafted_at.eq(now),
    ))
    .execute(conn)
    .await?;
    Ok(())
}

/// Ends the drafting of a rota with a code of what went wrong, unless it is not wanted any
/// more.
pub async fn keep_failure(
    conn: &mut Conn,
    site: SiteId,
    id: RotaId,
    failure: &str,
) -> Result<(), StoreError> {
    let at_work = [RotaState::Waiting, RotaState::Drafting].map(RotaState::code);
    diesel::update(
        rotas::table
            .find((site.0, id.0))
            .filter(rotas::state.eq_any(at_work)),
    )
    .set((
        rotas::state.eq(RotaState::Failed.code()),
        rotas::failure.eq(failure),
    ))
    .execute(conn)
    .await?;
    Ok(())
}

/// Puts up a rota that is locked; a [`StoreError::Refused`] of `rotas_in_force_apart` when
/// another one in force has days of it.
pub async fn put_up(
    conn: &mut Conn,
    site: SiteId,
    id: RotaId,
    by: MemberId,
    now: DateTime<Utc>,
) -> Result<(), StoreError> {
    diesel::update(rotas::table.find((site.0, id.0)))
        .set((
            rotas::state.eq(RotaState::PutUp.code()),
            rotas::put_up_at.eq(now),
            rotas::put_up_by.eq(by.0),
        ))
        .execute(conn)
        .await?;
    Ok(())
}

/// Forgets what failed or was dropped, and was asked for before an instant; says how many.
pub async fn forget_ended_before(
    conn: &mut Conn,
    before: DateTime<Utc>,
) -> Result<usize, StoreError> {
    let ended = [RotaState::Failed, RotaState::Dropped].map(RotaState::code);
    Ok(diesel::delete(
        rotas::table
            .filter(rotas::state.eq_any(ended))
            .filter(rotas::created_at.lt(before)),
    )
    .execute(conn)
    .await?)
}
