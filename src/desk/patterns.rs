//! Reading patterns.

use super::at_hand::unreadable;
use super::classes::sees_all;
use super::membership::{Membership, admit};
use super::{Desk, DeskError, Errand, Noun, Page};
use crate::store::patterns::{self, PatternRow};
use crate::store::{Conn, classes};
use chrono::{DateTime, NaiveDate, NaiveTime, Utc};
use futures_util::FutureExt;
use uuid::Uuid;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BinId, ClassId, PatternId, SiteId};
use wormrota_domain::turns::Duty;

/// How often a bin is due.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Pattern {
    /// The key within the site.
    pub id: PatternId,
    /// The bin.
    pub bin: BinId,
    /// What is to be done.
    pub duty: Duty,
    /// A recurrence rule (RFC 5545), read as local days.
    pub rule: String,
    /// The day on which the rule begins.
    pub first_day: NaiveDate,
    /// The last day, if the rule does not say.
    pub last_day: Option<NaiveDate>,
    /// How many people a turn takes.
    pub places: i16,
    /// What a turn costs each of them.
    pub effort: i16,
    /// From when on, as the site counts hours.
    pub opens: Option<NaiveTime>,
    /// Until when.
    pub closes: Option<NaiveTime>,
    /// Whether the pupils of a class take the turns.
    pub is_of_a_class: bool,
    /// Which class that is, for whoever may see the class.
    pub class: Option<ClassId>,
    /// Since when.
    pub created_at: DateTime<Utc>,
    /// Since when it makes no more turns.
    pub ended_at: Option<DateTime<Utc>>,
    /// Grows with every change.
    pub revision: i64,
}

/// The patterns of a site that go on.
pub async fn list_patterns(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    after: Option<Uuid>,
    limit: u16,
) -> Result<Page<Pattern>, DeskError> {
    desk.store()
        .read("list patterns", errand, move |conn, errand| {
            async move {
                let who = admit(conn, errand, site, Deed::SeeTurns).await?;
                let rows = patterns::going_on(conn, site, after, i64::from(limit) + 1).await?;
                let own = own_classes(conn, &who).await?;
                let page = Page::cut(rows, limit);
                let items = page
                    .items
                    .into_iter()
                    .map(|row| pattern(row, own.as_deref()));
                Ok(Page {
                    items: items.collect::<Result<_, _>>()?,
                    more: page.more,
                })
            }
            .boxed()
        })
        .await
}

/// One pattern, ended or not.
pub async fn see_pattern(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    id: PatternId,
) -> Result<Pattern, DeskError> {
    desk.store()
        .read("see a pattern", errand, move |conn, errand| {
            async move {
                let who = admit(conn, errand, site, Deed::SeeTurns).await?;
                let row = patterns::by_id(conn, site, id).await?;
                let row = row.ok_or(DeskError::NotFound(Noun::Pattern))?;
                let own = own_classes(conn, &who).await?;
                pattern(row, own.as_deref())
            }
            .boxed()
        })
        .await
}

/// The classes that somebody may see; none named is all.
async fn own_classes(conn: &mut Conn, who: &Membership) -> Result<Option<Vec<ClassId>>, DeskError> {
    if sees_all(who) {
        return Ok(None);
    }
    Ok(Some(classes::of_adult(conn, who.site, who.member).await?))
}

fn pattern(row: PatternRow, own: Option<&[ClassId]>) -> Result<Pattern, DeskError> {
    let class = row.class_id.map(ClassId);
    let sees = |class: &ClassId| own.is_none_or(|own| own.contains(class));
    Ok(Pattern {
        id: PatternId(row.id),
        bin: BinId(row.bin_id),
        duty: Duty::from_code(&row.duty).ok_or_else(|| unreadable("patterns.duty"))?,
        rule: row.rule,
        first_day: row.first_day,
        last_day: row.last_day,
        places: row.places,
        effort: row.effort,
        opens: row.opens,
        closes: row.closes,
        is_of_a_class: class.is_some(),
        class: class.filter(sees),
        created_at: row.created_at,
        ended_at: row.ended_at,
        revision: row.revision,
    })
}
