//! Lists in pages. A cursor says where the next page begins; clients pass it back as it is.

use super::problem::{self, Problem};
use super::query;
use crate::desk;
use actix_web::dev::Payload;
use actix_web::{FromRequest, HttpRequest};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use chrono::{DateTime, Days, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use std::future::{Ready, ready};
use utoipa::{IntoParams, ToSchema};
use uuid::Uuid;

/// Items on a page when the client does not say.
const USUAL: u16 = 50;
/// Items on a page at most.
const MOST: u16 = 200;

/// The query of a list in the order of keys.
#[derive(Debug, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
#[serde(deny_unknown_fields)]
pub struct PageQuery {
    /// Where the page begins: `next_cursor` of the page before.
    #[param(pattern = "^[A-Za-z0-9_-]{21}[AQgw]$")]
    cursor: Option<String>,
    /// Items on the page, 1 to 200; 50 when not given.
    #[param(minimum = 1, maximum = 200)]
    limit: Option<u16>,
}

/// The query of a list in the order of moments.
#[derive(Debug, IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(dead_code, reason = "describes what `PageWanted` reads")]
pub struct MomentPageQuery {
    /// Where the page begins: `next_cursor` of the page before.
    #[param(pattern = "^A[A-Za-z0-9_-]{31}$")]
    cursor: Option<String>,
    /// Items on the page, 1 to 200; 50 when not given.
    #[param(minimum = 1, maximum = 200)]
    limit: Option<u16>,
}

/// The query of a list of a spine's entries.
#[derive(Debug, IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(dead_code, reason = "describes what `PageWanted` reads")]
pub struct EntryPageQuery {
    /// Where the page begins: `next_cursor` of the page before.
    #[param(pattern = "^A[A-Za-z0-9_-]{20}[AQgw]A$")]
    cursor: Option<String>,
    /// Items on the page, 1 to 200; 50 when not given.
    #[param(minimum = 1, maximum = 200)]
    limit: Option<u16>,
}

/// The query of a list in the order of days.
#[derive(Debug, IntoParams)]
#[into_params(parameter_in = Query)]
#[expect(dead_code, reason = "describes what `PageWanted` reads")]
pub struct DayPageQuery {
    /// Where the page begins: `next_cursor` of the page before.
    #[param(pattern = "^[A-Za-z0-9_-]{25}[AQgw]$")]
    cursor: Option<String>,
    /// Items on the page, 1 to 200; 50 when not given.
    #[param(minimum = 1, maximum = 200)]
    limit: Option<u16>,
}

/// Which page of a list is wanted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PageWanted {
    cursor: Option<Vec<u8>>,
    /// Items on it at most.
    pub limit: u16,
}

/// One page of a list.
#[derive(Debug, Serialize, ToSchema)]
pub struct PageOf<T> {
    /// What is on the page.
    items: Vec<T>,
    /// Where the next page begins; absent on the last one.
    #[serde(skip_serializing_if = "Option::is_none")]
    next_cursor: Option<String>,
}

impl<T> PageOf<T> {
    /// A page whose cursor is made of its last item.
    pub fn of<S>(
        page: desk::Page<S>,
        cursor: impl Fn(&S) -> String,
        item: impl Fn(S) -> T,
    ) -> Self {
        let next_cursor = page.items.last().filter(|_| page.more).map(cursor);
        Self {
            items: page.items.into_iter().map(item).collect(),
            next_cursor,
        }
    }
}

/// The cursor after an item of a list in the order of keys.
#[must_use]
pub fn after_id(id: Uuid) -> String {
    URL_SAFE_NO_PAD.encode(id.as_bytes())
}

/// The cursor after something that has a day and a key. A day before 1970 counts as its first.
#[must_use]
pub fn after_day(on_date: NaiveDate, id: Uuid) -> String {
    let days = (on_date - NaiveDate::default()).num_days();
    let days = u32::try_from(days).unwrap_or(0).to_be_bytes();
    let mut bytes = days[1..].to_vec();
    bytes.extend(id.as_bytes());
    URL_SAFE_NO_PAD.encode(bytes)
}

/// The cursor after something that happened at a moment and has a key.
#[must_use]
pub fn after_moment(at: DateTime<Utc>, id: Uuid) -> String {
    let mut bytes = at.timestamp_micros().to_be_bytes().to_vec();
    bytes.extend(id.as_bytes());
    URL_SAFE_NO_PAD.encode(bytes)
}

/// The cursor after an entry of a spine.
#[must_use]
pub fn after_entry(occurred_at: DateTime<Utc>, seq: i64) -> String {
    let mut bytes = occurred_at.timestamp_micros().to_be_bytes().to_vec();
    bytes.extend(seq.to_be_bytes());
    // Tells it from a key, which is as long.
    bytes.push(0);
    URL_SAFE_NO_PAD.encode(bytes)
}

impl PageWanted {
    /// From the parameters of a list that takes more than these two.
    pub fn read(cursor: Option<String>, limit: Option<u16>) -> Result<Self, Problem> {
        let limit = limit.unwrap_or(USUAL);
        if !(1..=MOST).contains(&limit) {
            let detail = "`limit` must be 1 to 200.";
            return Err(Problem::new(&problem::BAD_QUERY, detail));
        }
        let cursor = cursor
            .map(|text| URL_SAFE_NO_PAD.decode(text).map_err(|_| bad_cursor()))
            .transpose()?;
        Ok(Self { cursor, limit })
    }

    /// The key after which the page begins.
    pub fn after_id(&self) -> Result<Option<Uuid>, Problem> {
        self.cursor
            .as_deref()
            .map(|bytes| Uuid::from_slice(bytes).map_err(|_| bad_cursor()))
            .transpose()
    }

    /// The day and key after which the page begins.
    pub fn after_day(&self) -> Result<Option<(NaiveDate, Uuid)>, Problem> {
        let Some(bytes) = self.cursor.as_deref() else {
            return Ok(None);
        };
        let (days, key) = bytes.split_first_chunk::<3>().ok_or_else(bad_cursor)?;
        let days = u32::from_be_bytes([0, days[0], days[1], days[2]]);
        let on_date = NaiveDate::default().checked_add_days(Days::new(days.into()));
        match (on_date, Uuid::from_slice(key)) {
            (Some(on_date), Ok(key)) => Ok(Some((on_date, key))),
            _ => Err(bad_cursor()),
        }
    }

    /// The moment and key after which the page begins.
    pub fn after_moment(&self) -> Result<Option<(DateTime<Utc>, Uuid)>, Problem> {
        let Some(bytes) = self.cursor.as_deref() else {
            return Ok(None);
        };
        let (micros, key) = bytes.split_first_chunk::<8>().ok_or_else(bad_cursor)?;
        let at = moment(*micros);
        match (at, Uuid::from_slice(key)) {
            (Some(at), Ok(key)) => Ok(Some((at, key))),
            _ => Err(bad_cursor()),
        }
    }

    /// The entry of a spine after which the page begins.
    pub fn after_entry(&self) -> Result<Option<(DateTime<Utc>, i64)>, Problem> {
        let Some(bytes) = self.cursor.as_deref() else {
            return Ok(None);
        };
        let (micros, rest) = bytes.split_first_chunk::<8>().ok_or_else(bad_cursor)?;
        let (seq, rest) = rest.split_first_chunk::<8>().ok_or_else(bad_cursor)?;
        let at = moment(*micros);
        match (at, rest) {
            (Some(at), [0]) => Ok(Some((at, i64::from_be_bytes(*seq)))),
            _ => Err(bad_cursor()),
        }
    }
}

impl FromRequest for PageWanted {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(wanted(request))
    }
}

fn wanted(request: &HttpRequest) -> Result<PageWanted, Problem> {
    let query: PageQuery = query::read(request)?;
    PageWanted::read(query.cursor, query.limit)
}

/// A moment that an answer of ours can have had: none before 1970, and none so far ahead
/// that the first six bits are in use.
fn moment(micros: [u8; 8]) -> Option<DateTime<Utc>> {
    let micros = i64::from_be_bytes(micros);
    (0..1 << 58)
        .contains(&micros)
        .then(|| DateTime::from_timestamp_micros(micros))
        .flatten()
}

fn bad_cursor() -> Problem {
    Problem::new(
        &problem::BAD_QUERY,
        "`cursor` must be the next_cursor of an earlier page of this list.",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wanted_by(cursor: &str) -> PageWanted {
        PageWanted {
            cursor: Some(URL_SAFE_NO_PAD.decode(cursor).unwrap()),
            limit: 1,
        }
    }

    #[test]
    fn cursors_go_there_and_back() {
        let id = Uuid::from_u128(0x0198_0000_0000_7000_8000_0000_0000_0001);
        assert_eq!(wanted_by(&after_id(id)).after_id().unwrap(), Some(id));
        let at: DateTime<Utc> = "2026-11-25T08:00:00.123456Z".parse().unwrap();
        let entry = wanted_by(&after_entry(at, 7)).after_entry().unwrap();
        assert_eq!(entry, Some((at, 7)));
        for day in ["1970-01-01", "2026-11-25", "9993-01-01"] {
            let day: NaiveDate = day.parse().unwrap();
            let turn = wanted_by(&after_day(day, id)).after_day().unwrap();
            assert_eq!(turn, Some((day, id)));
        }
    }

    #[test]
    fn a_cursor_of_another_kind_of_list_is_refused() {
        let id = wanted_by(&after_id(Uuid::from_u128(1)));
        assert!(id.after_entry().is_err());
        let at: DateTime<Utc> = "2026-11-25T08:00:00Z".parse().unwrap();
        assert!(wanted_by(&after_entry(at, 7)).after_id().is_err());
    }
}
