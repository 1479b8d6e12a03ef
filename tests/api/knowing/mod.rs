//! Knowing a bin: what people see, what is measured, how the bed is tended, and entries
//! taken back.

mod bedding;
mod heat;
mod looks;
mod probes;
mod taking_back;
mod values;
mod what_looks_say;

use crate::frame::{Answer, App, Court, NOON_IN_JUNE, Person, grams, weighed};
use chrono::{DateTime, TimeDelta, Utc};
use reqwest::Method;
use serde_json::{Value, json};
use uuid::Uuid;

async fn check(app: &App, who: &Person, court: &Court, seen: &Value) -> Answer {
    app.post(who, &court.bin_at("/checks"), seen).await
}

async fn facts(app: &App, court: &Court) -> Value {
    let facts = app.get(&court.resident, &court.bin_at("/facts")).await;
    facts.ok(200)
}

async fn room(app: &App, court: &Court) -> Value {
    let room = app.get(&court.resident, &court.bin_at("/room")).await;
    room.ok(200)
}

async fn tell(app: &App, court: &Court, kg: f64) -> Value {
    let path = court.bin_at("/feedings/told");
    let told = app
        .post(&court.resident, &path, &weighed("usual-mix", kg))
        .await;
    told.ok(201)
}

async fn feed(app: &App, court: &Court, kg: f64) -> Answer {
    let path = court.bin_at("/feedings");
    let offer = weighed("usual-mix", kg);
    app.post(&court.resident, &path, &offer).await
}

async fn measure(app: &App, court: &Court, values: &Value) -> Answer {
    let body = json!({ "values": values });
    app.post(&court.resident, &court.bin_at("/readings"), &body)
        .await
}

async fn take_back(app: &App, who: &Person, court: &Court, entry: Uuid) -> Answer {
    let path = court.bin_at(&format!("/entries/{entry}"));
    app.ask(Method::DELETE, &path).by(who).send().await
}

async fn notices(app: &App, court: &Court) -> Vec<Value> {
    let list = app.get(&court.educator, &court.at("/notices")).await;
    list.ok(200)["items"].as_array().unwrap().clone()
}

/// The entries on a bin's spine, in its order.
async fn spine(app: &App, bin: Uuid) -> Vec<Value> {
    let query = format!(
        "SELECT id, kind, occurred_at, member_id, supersedes, payload FROM bin_events
         WHERE bin_id = '{bin}' ORDER BY occurred_at, seq"
    );
    app.rows(&query).await
}

/// The newest state of a bin.
async fn head(app: &App, bin: Uuid) -> Value {
    let query = format!(
        "SELECT s.state FROM bins AS b
         JOIN bin_states AS s ON s.site_id = b.site_id AND s.event_id = b.head_event
         WHERE b.id = '{bin}'"
    );
    app.rows(&query).await[0]["state"].clone()
}

/// Moves the clock forward.
async fn wait(app: &App, time: TimeDelta) {
    let then = app.now().await + time;
    app.set_clock(&then.to_rfc3339()).await;
}

fn median(facts: &Value) -> f64 {
    facts["speed"]["median"].as_f64().unwrap()
}

fn band(facts: &Value) -> f64 {
    let speed = |key: &str| facts["speed"][key].as_f64().unwrap();
    (speed("high") / speed("low")).ln()
}

fn leaves(room: &Value, rule: &str) -> Option<i64> {
    let mut rules = room["rules"].as_array().unwrap().iter();
    let rule = rules.find(|found| found["code"] == rule)?;
    Some(grams(&rule["leaves_kg"]))
}

/// A bin of its own that took its worms twenty days before noon in June and nothing since.
async fn hungry_bin(app: &App, court: &Court) -> Court {
    let bin = app.bin(&court.educator, court.site).await;
    let path = court.at(&format!("/bins/{bin}/stockings"));
    let stocking = json!({
        "worms_kg": 0.8, "bedding_kg": 1.5,
        "stocked_at": NOON_IN_JUNE.parse::<DateTime<Utc>>().unwrap() - TimeDelta::days(20),
    });
    app.post(&court.educator, &path, &stocking).await.ok(201);
    beside(court, bin)
}

/// Another bin of the same site, with the same people.
fn beside(court: &Court, bin: Uuid) -> Court {
    Court {
        educator: court.educator.clone(),
        resident: court.resident.clone(),
        site: court.site,
        bin,
    }
}
