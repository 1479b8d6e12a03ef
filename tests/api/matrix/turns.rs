//! Turns, patterns and closures: who may, and what each is tried on.

use super::rows::{Row, row};
use crate::frame::{App, Court, id_of};
use chrono::{Days, NaiveDate};
use serde_json::{Value, json};
use std::sync::atomic::{AtomicU64, Ordering};
use uuid::Uuid;

/// Everybody reads, and whoever looks after the site keeps.
pub(super) const TURNS: &[Row] = &[
    row("GET /v1/sites/{site_id}/bins/{bin_id}/rhythm", "RCTE"),
    row("GET /v1/sites/{site_id}/patterns", "RCTE"),
    row("POST /v1/sites/{site_id}/patterns", "CTE"),
    row("GET /v1/sites/{site_id}/patterns/{pattern_id}", "RCTE"),
    row("PATCH /v1/sites/{site_id}/patterns/{pattern_id}", "CTE"),
    row("DELETE /v1/sites/{site_id}/patterns/{pattern_id}", "CTE"),
    row("GET /v1/sites/{site_id}/closures", "RCTE"),
    row("POST /v1/sites/{site_id}/closures", "CTE"),
    row("DELETE /v1/sites/{site_id}/closures/{closure_id}", "CTE"),
    row("GET /v1/sites/{site_id}/closures/{closure_id}/plan", "CTE"),
    row(
        "POST /v1/sites/{site_id}/closures/{closure_id}/visits",
        "CTE",
    ),
    row("GET /v1/sites/{site_id}/closures/plan", "CTE"),
    row("POST /v1/sites/{site_id}/closures/import", "CTE"),
    row("GET /v1/sites/{site_id}/turns", "RCTE"),
    row("POST /v1/sites/{site_id}/turns", "CTE"),
    row("GET /v1/sites/{site_id}/turns/{turn_id}", "RCTE"),
    row("PATCH /v1/sites/{site_id}/turns/{turn_id}", "CTE"),
];

static SHUT: AtomicU64 = AtomicU64::new(0);

/// A day of its own, since a site is shut once on a day.
async fn day_to_shut(app: &App) -> NaiveDate {
    let ahead = SHUT.fetch_add(1, Ordering::Relaxed) + 100;
    app.now().await.date_naive() + Days::new(ahead)
}

/// A body with which a write about turns goes through, if it is one.
pub(super) async fn body(app: &App, court: &Court, template: &str) -> Option<Value> {
    let today = app.now().await.date_naive();
    match template.strip_prefix("/v1/sites/{site_id}")? {
        "/patterns" => Some(json!({
            "bin_id": court.bin, "rule": "FREQ=WEEKLY;COUNT=2", "first_day": today,
            "places": 1, "effort": 1,
        })),
        "/turns" => Some(json!({
            "bin_id": court.bin, "on_date": today, "places": 1, "effort": 1,
        })),
        "/patterns/{pattern_id}" | "/turns/{turn_id}" => Some(json!({ "effort": 2 })),
        "/closures" => {
            let day = day_to_shut(app).await;
            Some(json!({ "first_day": day, "last_day": day }))
        }
        "/closures/{closure_id}/visits" => Some(json!({})),
        "/closures/import" => Some(json!(CALENDAR)),
        _ => None,
    }
}

/// A calendar without closed days: taken, and writing nothing in its trial.
const CALENDAR: &str = "BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n";

/// A path with the keys of fresh things in it.
pub(super) async fn path(app: &App, court: &Court, mut path: String) -> String {
    for (key, noun) in [
        ("{pattern_id}", "/patterns"),
        ("{closure_id}", "/closures"),
        ("{turn_id}", "/turns"),
    ] {
        if path.contains(key) {
            let id = made(app, court, noun).await.to_string();
            path = path.replace(key, &id);
        }
    }
    if path.ends_with("/closures/plan") {
        let day = day_to_shut(app).await;
        path = format!("{path}?first_day={day}&last_day={day}");
    }
    path
}

async fn made(app: &App, court: &Court, noun: &str) -> Uuid {
    let template = format!("/v1/sites/{{site_id}}{noun}");
    let body = body(app, court, &template).await.unwrap();
    let made = app.post(&court.educator, &court.at(noun), &body).await;
    id_of(&made.ok(201))
}
