//! Cover: who may see, answer and keep calls, and what that is tried on.

use super::ground::Concrete;
use super::rows::{Row, of, row};
use crate::frame::{App, Court, Person, id_of};
use crate::place_ground::turn_of;
use chrono::TimeDelta;
use reqwest::Method;
use serde_json::json;
use std::sync::atomic::{AtomicI64, Ordering};
use uuid::Uuid;

const BEGIN: &str = "/v1/sites/{site_id}/turns/{turn_id}/places/{place_id}/call";
const CALL: &str = "/v1/sites/{site_id}/calls/{call_id}";

/// What happens to calls.
pub(super) const COVER: &[Row] = &[
    row("GET /v1/sites/{site_id}/uncovered", "CTE"),
    row("GET /v1/sites/{site_id}/calls", "RCTE"),
    Row {
        hidden_from: "R",
        ..of(
            "GET /v1/sites/{site_id}/calls/{call_id}",
            "another's",
            "CTE",
        )
    },
    row("POST /v1/sites/{site_id}/calls/{call_id}/answer", "RCTE"),
    row("POST /v1/sites/{site_id}/calls/{call_id}/assignment", "CTE"),
    row("POST /v1/sites/{site_id}/calls/{call_id}/left_empty", "CTE"),
    row("POST /v1/sites/{site_id}/calls/{call_id}/search", "CTE"),
    of(
        "POST /v1/sites/{site_id}/turns/{turn_id}/places/{place_id}/call",
        "one's own",
        "RCTE",
    ),
    of(
        "POST /v1/sites/{site_id}/turns/{turn_id}/places/{place_id}/call",
        "another's",
        "CTE",
    ),
];

/// A call, or a place to begin one with, for each try.
pub(super) async fn concrete(
    app: &App,
    court: &Court,
    row: &Row,
    who: &Person,
) -> Option<Concrete> {
    let (_, template) = row.operation.split_once(' ').unwrap();
    if template != BEGIN && !template.starts_with(CALL) {
        return None;
    }
    let holder = match row.of {
        "one's own" => who,
        _ => &court.resident,
    };
    let (turn, place) = held(app, court, holder).await;
    let filled = |path: &str| {
        path.replace("{site_id}", &court.site.to_string())
            .replace("{turn_id}", &turn.to_string())
            .replace("{place_id}", &place.to_string())
    };
    if template == BEGIN {
        let path = filled(template);
        return Some(Concrete { path, body: None });
    }
    let asked = app.ask(Method::POST, &filled(BEGIN)).by(&court.educator);
    let begun = asked.send().await.ok(201);
    let call = begun["call_id"].as_str().unwrap();
    let body = match template.strip_prefix(CALL).unwrap() {
        "/answer" => Some(json!({ "answer": "yes" })),
        "/assignment" => {
            let member = app.member_id(&court.educator, court.site).await;
            Some(json!({ "member_id": member }))
        }
        _ => None,
    };
    let path = filled(template).replace("{call_id}", call);
    Some(Concrete { path, body })
}

/// Far from the days on which others are tried, or away.
static NEXT_DAY: AtomicI64 = AtomicI64::new(1_000);

/// A turn of one place that somebody holds.
async fn held(app: &App, court: &Court, holder: &Person) -> (Uuid, Uuid) {
    let ahead = TimeDelta::days(NEXT_DAY.fetch_add(1, Ordering::Relaxed));
    let on_date = (app.now().await + ahead).date_naive().to_string();
    let turn = turn_of(app, (court.site, court.bin), ("feeding", &on_date), 1).await;
    let member = app.member_id(holder, court.site).await;
    app.sql(&format!(
        "UPDATE places SET member_id = '{member}', how = 'rota',
            held_since = '2026-06-01T00:00:00Z' WHERE turn_id = '{turn}'"
    ))
    .await;
    let query = format!("SELECT id FROM places WHERE turn_id = '{turn}'");
    (turn, id_of(&app.rows(&query).await[0]))
}
