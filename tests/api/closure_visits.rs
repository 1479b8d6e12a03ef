//! Visits that were agreed on: agreeing again, and a closure that is made again.

use crate::closure_plans::{agree, plan_of, summer};
use crate::frame::{App, Court, id_of};
use crate::turns::take;
use serde_json::{Value, json};
use uuid::Uuid;

/// The visits of a closure that take place: day and who comes, if anybody does.
fn agreed(seen: &Value) -> Vec<(String, Value)> {
    let visits = seen["visits"].as_array().unwrap().iter();
    let of = |visit: &Value| {
        let turn = &visit["turn"];
        let day = turn["on_date"].as_str().unwrap().to_owned();
        (day, turn["places"][0]["holder"]["member_id"].clone())
    };
    visits.map(of).collect()
}

async fn agree_on(app: &App, court: &Court, closure: Uuid, weekdays: &[u8]) -> Value {
    let path = court.at(&format!("/closures/{closure}/visits"));
    let body = json!({ "visit_weekdays": weekdays });
    app.post(&court.educator, &path, &body).await.ok(201)
}

/// Protects people from two sets of visits, and holders from losing theirs: the plan counts with
/// what is agreed and says who comes, and agreeing again keeps what is held, takes away what is
/// free and of no use, and adds no more than is missing.
#[tokio::test]
async fn agreeing_again_keeps_who_comes_and_makes_no_second_set() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    // Twelve weeks.
    let body = json!({ "first_day": "2026-07-06", "last_day": "2026-09-27" });
    let made = app
        .post(&court.educator, &court.at("/closures"), &body)
        .await;
    let closure = id_of(&made.ok(201));
    let first = agree_on(&app, &court, closure, &[2, 5]).await;
    let seen = plan_of(&app, &court, closure).await;
    let visits = agreed(&seen);
    assert_eq!(first["added"], visits.len());
    assert!(visits.len() > 1, "{seen}");
    let plan = &seen["bins"][0]["plan"];
    let planned: Vec<&str> = (plan["visits"].as_array().unwrap().iter())
        .filter(|visit| visit["is_agreed"] == true)
        .map(|visit| visit["agreed"].as_str().unwrap())
        .collect();
    println!("agreed on Tuesdays and Fridays: {visits:?}");
    let days: Vec<&str> = visits.iter().map(|(day, _)| day.as_str()).collect();
    assert_eq!(planned, days, "{seen}");
    assert_eq!(plan["visits"].as_array().unwrap().len(), days.len());
    let during = seen["bins"][0]["during"].to_string();
    assert!(during.contains("nobody has it yet"), "{during}");

    let me = app.member_id(&court.resident, court.site).await;
    let turn = id_of(&seen["visits"][0]["turn"]);
    assert!(take(&app, court.site, turn, me).await);
    let seen = plan_of(&app, &court, closure).await;
    let sentence = plan_sentence(&seen, 0);
    assert!(sentence.contains("comes:"), "{sentence}");

    let again = agree_on(&app, &court, closure, &[3]).await;
    assert_eq!(again["removed"], visits.len() - 1, "{again}");
    let after = agreed(&plan_of(&app, &court, closure).await);
    assert_eq!(after[0], (visits[0].0.clone(), json!(me)));
    assert_eq!(again["added"], after.len() - 1);
    for (day, holder) in &after[1..] {
        let day: chrono::NaiveDate = day.parse().unwrap();
        assert_eq!(chrono::Datelike::weekday(&day), chrono::Weekday::Wed);
        assert_eq!(holder, &Value::Null);
    }
    let once_more = agree_on(&app, &court, closure, &[3]).await;
    let counts = ["added", "removed"].map(|of| &once_more[of]);
    assert_eq!(counts, [&json!(0), &json!(0)]);
}

fn plan_sentence(seen: &Value, visit: usize) -> String {
    let visit = &seen["bins"][0]["plan"]["visits"][visit];
    visit["sentence"].as_str().unwrap().to_owned()
}

/// Protects who agreed to come from a closure that is taken away and made again: their visit takes
/// place all the same, and counts as one.
#[tokio::test]
async fn a_closure_that_is_made_again_keeps_its_held_visits() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let closure = summer(&app, &court).await;
    agree(&app, &court, closure).await;
    let seen = plan_of(&app, &court, closure).await;
    let turn = id_of(&seen["visits"][0]["turn"]);
    let me = app.member_id(&court.resident, court.site).await;
    assert!(take(&app, court.site, turn, me).await);
    let turn = court.at(&format!("/turns/{turn}"));
    let during = async || app.get(&court.resident, &turn).await.ok(200);
    assert_eq!(during().await["visit_during"], json!(closure));
    let path = court.at(&format!("/closures/{closure}"));
    app.delete(&court.educator, &path).await.ok(200);
    assert_eq!(during().await["visit_during"], Value::Null);
    let closure = summer(&app, &court).await;
    let kept = during().await;
    assert_eq!(kept["visit_during"], json!(closure), "{kept}");
    assert_eq!(kept["called_off"], Value::Null, "{kept}");
    let added = agree(&app, &court, closure).await;
    assert_eq!(added["added"], seen["visits"].as_array().unwrap().len() - 1);
}
