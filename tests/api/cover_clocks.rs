//! Calls on the nights on which clocks are changed, and where they are not any more.

use crate::cover_ground::{away, call, held, letters, look_at};
use crate::frame::App;
use crate::place_ground::PlaceGround;
use chrono::{DateTime, TimeDelta, Utc};
use std::sync::Arc;
use wormrota_domain::access::Role;

/// Zone, when it is told, the day of the turn, and when that day ends: reckoned by hand from the
/// rules of the zones.
const DAYS: [(&str, &str, &str, &str); 6] = [
    // 23 hours long.
    (
        "America/Chicago",
        "2026-03-02T18:00:00Z",
        "2026-03-08",
        "2026-03-09T05:00:00Z",
    ),
    // 25 hours long.
    (
        "Europe/Berlin",
        "2026-10-19T10:00:00Z",
        "2026-10-25",
        "2026-10-25T23:00:00Z",
    ),
    // Clocks go half an hour.
    (
        "Australia/Lord_Howe",
        "2026-09-28T02:00:00Z",
        "2026-10-04",
        "2026-10-04T13:00:00Z",
    ),
    // Never changed.
    (
        "Asia/Kolkata",
        "2026-03-23T06:00:00Z",
        "2026-03-29",
        "2026-03-29T18:30:00Z",
    ),
    // Not any more since 2019: a November day of 24 hours.
    (
        "America/Sao_Paulo",
        "2026-10-26T15:00:00Z",
        "2026-11-01",
        "2026-11-02T03:00:00Z",
    ),
    // Changed its rules: on standard time since 2022.
    (
        "America/Mexico_City",
        "2026-03-30T18:00:00Z",
        "2026-04-05",
        "2026-04-06T06:00:00Z",
    ),
];

/// Protects the last moment of a turn from the clocks: a yes counts until the local day is over
/// and not longer, and the caretaker hears of it a day before.
#[tokio::test]
async fn a_turn_ends_with_its_local_day_on_every_night() {
    for (zone, told_at, day, ends) in DAYS {
        let app = Arc::new(App::start().await);
        app.set_clock(told_at).await;
        let court = app.court().await;
        app.sql(&format!("UPDATE sites SET zone = '{zone}'")).await;
        let ground = PlaceGround { app, court };
        let app = &ground.app;
        let [ben] = ground.residents().await;
        let keeper = ground.neighbour(Role::Caretaker).await;
        held(&ground, day, &[&ben]).await;
        away(&ground, &ben, (day, Some(day))).await;
        let end: DateTime<Utc> = ends.parse().unwrap();
        let turn_at: DateTime<Utc> = call(app).await["turn_at"]
            .as_str()
            .unwrap()
            .parse()
            .unwrap();
        assert_eq!(turn_at, end, "{zone}");
        // The court's own resident may come; nobody answers.
        let before = |hours| (end - TimeDelta::hours(hours)).to_rfc3339();
        look_at(app, &before(48)).await;
        look_at(app, &before(24)).await;
        assert_eq!(letters(app, "uncovered").await, [keeper.id], "{zone}");
        look_at(app, &(end - TimeDelta::minutes(1)).to_rfc3339()).await;
        assert_eq!(call(app).await["state"], "nobody", "{zone}");
        look_at(app, ends).await;
        assert_eq!(call(app).await["state"], "missed", "{zone}");
    }
}
