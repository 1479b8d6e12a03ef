//! What is looked at once an hour at the most, since it reckons every bin of a site anew.

use crate::clock;
use crate::store::jobs::JobRow;
use chrono::{DateTime, Utc};
use serde_json::json;
use wormrota_domain::ids::SiteId;

/// The hour, by the time at which bins live, as a job that is done: whoever owes it first looks,
/// and it is forgotten with others.
pub(super) fn looked_this_hour(
    kind: &str,
    site: SiteId,
    now: DateTime<Utc>,
    wall: DateTime<Utc>,
) -> JobRow {
    JobRow {
        id: clock::fresh_id(),
        kind: kind.to_owned(),
        site_id: Some(site.0),
        purpose: format!("{site}:{}", now.format("%Y-%m-%dT%H")),
        payload: json!({}),
        run_after: wall,
        state: "done".to_owned(),
        attempts: 0,
        leased_until: None,
        last_error: None,
        created_at: wall,
    }
}
