//! Places: who may take, give, change and trade them, and what that is tried on.

use super::ground::Concrete;
use super::rows::{Row, of, row};
use crate::frame::{App, Court, Person};
use crate::place_ground::turn_of;
use chrono::TimeDelta;
use serde_json::{Value, json};
use std::sync::atomic::{AtomicI64, Ordering};
use uuid::Uuid;

const TURN: &str = "/v1/sites/{site_id}/turns/{turn_id}/places";
const PLACE: &str = "/v1/sites/{site_id}/turns/{turn_id}/places/{place_id}";
const TRADES: &str = "/v1/sites/{site_id}/trades";
const SERIES: &str = "/v1/sites/{site_id}/series";

/// What happens to places.
pub(super) const PLACES: &[Row] = &[
    of(
        "POST /v1/sites/{site_id}/turns/{turn_id}/places",
        "one's own",
        "RCTE",
    ),
    of(
        "POST /v1/sites/{site_id}/turns/{turn_id}/places",
        "another's",
        "CTE",
    ),
    of(
        "PATCH /v1/sites/{site_id}/turns/{turn_id}/places/{place_id}",
        "one's own",
        "RCTE",
    ),
    of(
        "PATCH /v1/sites/{site_id}/turns/{turn_id}/places/{place_id}",
        "another's",
        "CTE",
    ),
    of(
        "DELETE /v1/sites/{site_id}/turns/{turn_id}/places/{place_id}",
        "one's own",
        "RCTE",
    ),
    of(
        "DELETE /v1/sites/{site_id}/turns/{turn_id}/places/{place_id}",
        "another's",
        "CTE",
    ),
    row("POST /v1/sites/{site_id}/trades", "CTE"),
    row("POST /v1/sites/{site_id}/series", "RCTE"),
];

/// A turn or place of its own for each try, on a day of its own, since nobody takes two a day.
pub(super) async fn concrete(
    app: &App,
    court: &Court,
    row: &Row,
    who: &Person,
) -> Option<Concrete> {
    let (method, template) = row.operation.split_once(' ').unwrap();
    if ![TURN, PLACE, TRADES, SERIES].contains(&template) {
        return None;
    }
    let holder = match row.of {
        "one's own" => who,
        _ => &court.resident,
    };
    let (turn, place) = held(app, court, holder, template != TURN).await;
    let body = match (method, template, row.of) {
        (_, TRADES, _) => {
            let (_, other) = held(app, court, &court.educator, true).await;
            Some(json!({ "one_place_id": place, "other_place_id": other }))
        }
        (_, SERIES, _) => {
            let today = app.now().await.date_naive();
            Some(json!({ "bin_id": court.bin, "weekday": 1, "every_weeks": 1, "to": today }))
        }
        ("DELETE", ..) => None,
        ("POST", _, "another's") => {
            let member = app.member_id(&court.resident, court.site).await;
            Some(json!({ "member_id": member }))
        }
        ("PATCH", _, "another's") => Some(json!({ "kept": true })),
        ("PATCH", ..) => Some(json!({ "amount_kg": null })),
        _ => Some(Value::Object(serde_json::Map::new())),
    };
    let path = template
        .replace("{site_id}", &court.site.to_string())
        .replace("{turn_id}", &turn.to_string())
        .replace("{place_id}", &place.to_string());
    Some(Concrete { path, body })
}

static NEXT_DAY: AtomicI64 = AtomicI64::new(2);

/// A turn of one place, which somebody holds or nobody.
async fn held(app: &App, court: &Court, holder: &Person, is_held: bool) -> (Uuid, Uuid) {
    let ahead = TimeDelta::days(NEXT_DAY.fetch_add(1, Ordering::Relaxed));
    let on_date = (app.now().await + ahead).date_naive().to_string();
    let turn = turn_of(app, (court.site, court.bin), ("feeding", &on_date), 1).await;
    if is_held {
        let member = app.member_id(holder, court.site).await;
        app.sql(&format!(
            "UPDATE places SET member_id = '{member}', how = 'rota',
                held_since = '2026-06-01T00:00:00Z' WHERE turn_id = '{turn}'"
        ))
        .await;
    }
    let query = format!("SELECT id FROM places WHERE turn_id = '{turn}'");
    (turn, crate::frame::id_of(&app.rows(&query).await[0]))
}
