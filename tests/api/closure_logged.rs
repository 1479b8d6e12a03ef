//! What plans for closed days say once a bed is dry, or once somebody was there.

use crate::closure_plans::{agree, plan_of, summer};
use crate::frame::{App, Court, id_of, weighed};
use crate::turns::{pattern, take};
use serde_json::{Value, json};
use uuid::Uuid;

/// Shuts a court for twelve weeks of the summer.
async fn long_summer(app: &App, court: &Court) -> Uuid {
    let body = json!({ "first_day": "2026-07-06", "last_day": "2026-09-27" });
    let made = app
        .post(&court.educator, &court.at("/closures"), &body)
        .await;
    id_of(&made.ok(201))
}

fn days(visits: &Value, of: impl Fn(&Value) -> &Value) -> Vec<String> {
    let visits = visits.as_array().unwrap().iter();
    let day = |visit: &Value| of(visit).as_str().unwrap().to_owned();
    visits.map(day).collect()
}

/// Protects a bin from being carried to a host, and who agreed to come from being left out: when a
/// visit was missed and the bed is dry, the next one is still in the plan and begins with water.
#[tokio::test]
async fn a_dry_bed_keeps_its_agreed_visits() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let closure = long_summer(&app, &court).await;
    agree(&app, &court, closure).await;
    let seen = plan_of(&app, &court, closure).await;
    let agreed = days(&seen["visits"], |visit| &visit["turn"]["on_date"]);
    assert!(agreed.len() > 1, "{seen}");
    let me = app.member_id(&court.resident, court.site).await;
    let second = id_of(&seen["visits"][1]["turn"]);
    assert!(take(&app, court.site, second, me).await);

    // Nobody came the first time; two days before the second one.
    let day: chrono::NaiveDate = agreed[1].parse().unwrap();
    let before = day - chrono::TimeDelta::days(2);
    app.set_clock(&format!("{before}T20:00:00Z")).await;
    let seen = plan_of(&app, &court, closure).await;
    let bin = &seen["bins"][0];
    let plan = &bin["plan"];
    assert_eq!(plan["course"], "stay", "{bin}");
    assert_eq!(bin["host"], json!([]), "{bin}");
    let planned = days(&plan["visits"], |visit| &visit["agreed"]);
    for day in &agreed[1..] {
        assert!(planned.contains(day), "{day}: {bin}");
    }
    let next = &plan["visits"][0];
    assert_eq!(next["serving"]["water_first"], true, "{bin}");
    assert_eq!(next["agreed"], agreed[1].as_str(), "{bin}");
    let said = bin["during"].to_string();
    for part in [
        "water before anything else",
        "comes: ",
        "the sooner somebody waters it",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
    // With everybody kept out but who agreed to come, it moves, and they still come.
    let path = court.at(&format!(
        "/closures/{closure}/plan?no_visits=true&keep_percent=99"
    ));
    let seen = app.get(&court.educator, &path).await.ok(200);
    let bin = &seen["bins"][0];
    assert_eq!(bin["plan"]["course"], "move", "{bin}");
    let visits = days(&bin["plan"]["visits"], |visit| &visit["agreed"]);
    assert_eq!(visits, agreed[1..], "{bin}");
    assert!(
        bin["during"].to_string().contains("until it moves"),
        "{bin}"
    );
}

/// Protects people from doing twice what is done: once the last meal before is logged, or the visit
/// of a day, the plan does not ask for it any more, and says so.
#[tokio::test]
async fn what_is_logged_counts_as_done() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    // Wednesdays; the last one before is July 1.
    pattern(&app, &court, "FREQ=WEEKLY;COUNT=20", 1).await;
    let closure = summer(&app, &court).await;
    agree(&app, &court, closure).await;
    app.set_clock("2026-07-01T13:00:00Z").await;
    let before = async || plan_of(&app, &court, closure).await["bins"][0]["before"].clone();
    let due = before().await[0].as_str().unwrap().to_owned();
    assert!(due.starts_with("At the last turn before, today"), "{due}");
    let meal = weighed("usual-mix", 0.2);
    let feedings = court.bin_at("/feedings");
    app.post(&court.resident, &feedings, &meal).await.ok(201);
    let done =
        json!(["Somebody has looked after the bin, so nothing more is to be done there now."]);
    assert_eq!(before().await, done);
    // The days between it and the first closed one change nothing.
    app.set_clock("2026-07-04T13:00:00Z").await;
    assert_eq!(before().await, done);

    let seen = plan_of(&app, &court, closure).await;
    let planned = |seen: &Value| days(&seen["bins"][0]["plan"]["visits"], |visit| &visit["agreed"]);
    let today = planned(&seen)[0].clone();
    app.set_clock(&format!("{today}T13:00:00Z")).await;
    let seen = plan_of(&app, &court, closure).await;
    assert_eq!(planned(&seen)[0], today, "{seen}");
    assert_eq!(seen["bins"][0]["before"], json!([]), "{seen}");
    // Whoever finds the bed dry has not watered it yet.
    let found = json!({ "dampness": "dry" });
    let checks = court.bin_at("/checks");
    app.post(&court.resident, &checks, &found).await.ok(201);
    let seen = plan_of(&app, &court, closure).await;
    assert_ne!(seen["bins"][0]["before"], done, "{seen}");
    let bedding = json!({ "dry_kg": 0.1 });
    let beddings = court.bin_at("/beddings");
    app.post(&court.resident, &beddings, &bedding).await.ok(201);
    let seen = plan_of(&app, &court, closure).await;
    assert!(!planned(&seen).contains(&today), "{seen}");
    assert_eq!(seen["bins"][0]["before"], done, "{seen}");
    // The list of visits that were agreed on still has it.
    let visits = days(&seen["visits"], |visit| &visit["turn"]["on_date"]);
    assert!(visits.contains(&today), "{seen}");
}

/// Protects people from two amounts for one meal: a closure that is taken away and made again, with
/// the same visits agreed on, says the same of the last meal, of each visit and of the first meal
/// after; and so does the plan for its days before it was made, whatever was booked on them.
#[tokio::test]
async fn a_closure_that_is_made_again_says_the_same_amounts() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    app.set_clock("2026-06-25T17:00:00Z").await;
    pattern(&app, &court, "FREQ=WEEKLY;COUNT=20", 1).await;
    let me = app.member_id(&court.resident, court.site).await;
    let between = "from=2026-07-06&to=2026-07-20";
    let turns = crate::turns::listed(&app, &court, &court.educator, between).await;
    let path = court.at(&format!("/turns/{}/places", id_of(&turns[0])));
    let taken = json!({ "amount_kg": 0.1 });
    app.post(&court.resident, &path, &taken).await.ok(201);

    let query = "first_day=2026-07-06&last_day=2026-08-16";
    let path = court.at(&format!("/closures/plan?{query}"));
    let asked = app.get(&court.educator, &path).await.ok(200);
    let closure = summer(&app, &court).await;
    let planned = plan_of(&app, &court, closure).await;
    assert_eq!(asked["bins"], planned["bins"]);

    agree(&app, &court, closure).await;
    let seen = plan_of(&app, &court, closure).await;
    for visit in seen["visits"].as_array().unwrap() {
        assert!(take(&app, court.site, id_of(&visit["turn"]), me).await);
    }
    let amounts = |seen: &Value| {
        let plan = &seen["bins"][0]["plan"];
        let visits = plan["visits"].as_array().unwrap().iter();
        let servings: Vec<Value> = visits.map(|visit| visit["serving"].clone()).collect();
        json!([
            plan["last_turn"],
            servings,
            plan["first_meal_kg"],
            plan["ramp"]
        ])
    };
    let held = plan_of(&app, &court, closure).await;
    assert_eq!(
        amounts(&held),
        amounts(&planned),
        "agreeing changes no amount"
    );
    let path = court.at(&format!("/closures/{closure}"));
    app.delete(&court.educator, &path).await.ok(200);
    let closure = summer(&app, &court).await;
    let again = plan_of(&app, &court, closure).await;
    assert_eq!(again["bins"], held["bins"]);
}
