//! What bins need while their site is shut, from the plan to people who come.

use crate::frame::{App, Court, id_of};
use crate::turns::{days, listed, pattern, take};
use serde_json::{Value, json};
use uuid::Uuid;

/// Shuts a court on a summer's 42 days; gives the closure's key.
pub(crate) async fn summer(app: &App, court: &Court) -> Uuid {
    let body = json!({ "first_day": "2026-07-06", "last_day": "2026-08-16" });
    let made = app
        .post(&court.educator, &court.at("/closures"), &body)
        .await;
    id_of(&made.ok(201))
}

pub(crate) async fn plan_of(app: &App, court: &Court, closure: Uuid) -> Value {
    let path = court.at(&format!("/closures/{closure}/plan"));
    app.get(&court.educator, &path).await.ok(200)
}

async fn plan_of_days(app: &App, court: &Court, query: &str) -> Value {
    let path = court.at(&format!("/closures/plan?{query}"));
    app.get(&court.educator, &path).await.ok(200)
}

pub(crate) async fn agree(app: &App, court: &Court, closure: Uuid) -> Value {
    let path = court.at(&format!("/closures/{closure}/visits"));
    let answer = app.post(&court.educator, &path, &json!({})).await;
    answer.ok(201)
}

/// Protects a school's summer: the plan says what to do and when somebody must come, its visits
/// are turns that people take although the site is shut, agreeing twice adds nothing, and when
/// the site opens again the visit that somebody holds stays.
#[tokio::test]
async fn a_summer_from_the_plan_to_visits_that_are_held_and_to_the_opening() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    pattern(&app, &court, "FREQ=WEEKLY;COUNT=20", 1).await;
    let closure = summer(&app, &court).await;

    let seen = plan_of(&app, &court, closure).await;
    assert_eq!(seen["first_day"], "2026-07-06");
    assert_eq!(seen["visits"], json!([]));
    let bin = &seen["bins"][0];
    let plan = &bin["plan"];
    assert_eq!(plan["course"], "stay", "{seen}");
    // The last turn of the pattern before, at noon in Chicago, and the first one after.
    assert_eq!(plan["last_turn_at"], "2026-07-01T17:00:00Z");
    assert_eq!(plan["first_turn_at"], "2026-08-19T17:00:00Z");
    let planned = plan["visits"].as_array().unwrap();
    assert!(!planned.is_empty(), "{seen}");
    for visit in planned {
        let day = |name: &str| visit[name].as_str().unwrap();
        assert!(day("earliest") <= day("agreed") && day("agreed") <= day("latest"));
        assert!("2026-07-06" <= day("earliest") && day("latest") <= "2026-08-16");
    }
    assert!(bin["before"][0].as_str().unwrap().contains("July"), "{bin}");
    assert_eq!(bin["host"], json!([]));

    let agreed = agree(&app, &court, closure).await;
    assert_eq!(agreed["added"], planned.len());
    let again = agree(&app, &court, closure).await;
    assert_eq!(
        (&again["added"], &again["there"]),
        (&json!(0), &agreed["added"])
    );

    let between = "from=2026-07-06&to=2026-08-16";
    let turns = listed(&app, &court, &court.educator, between).await;
    let on: Vec<Value> = turns
        .into_iter()
        .filter(|turn| turn["called_off"].is_null())
        .collect();
    let agreed_days: Vec<&str> = planned
        .iter()
        .map(|visit| visit["agreed"].as_str().unwrap())
        .collect();
    assert_eq!(days(&on), agreed_days);
    assert_eq!(on[0]["bin_id"], json!(court.bin));
    let me = app.member_id(&court.resident, court.site).await;
    assert!(take(&app, court.site, id_of(&on[0]), me).await);
    let seen = plan_of(&app, &court, closure).await;
    let holder = &seen["visits"][0]["turn"]["places"][0]["holder"];
    assert_eq!(holder["member_id"], json!(me));

    let path = court.at(&format!("/closures/{closure}"));
    let ended = app.delete(&court.educator, &path).await.ok(200);
    assert_eq!(ended["turns"]["removed"], planned.len() - 1);
    let turn = court.at(&format!("/turns/{}", id_of(&on[0])));
    let kept = app.get(&court.resident, &turn).await.ok(200);
    assert_eq!(kept["places"][0]["mine"], true);
    assert!(kept["called_off"].is_null());
}

/// Protects people from turns that nobody made: of a bin without any near the closed days no day
/// is named for the last meal and the first.
#[tokio::test]
async fn a_bin_without_turns_gets_no_invented_one() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let query = "first_day=2026-07-06&last_day=2026-08-16";
    let seen = plan_of_days(&app, &court, query).await;
    let bin = &seen["bins"][0];
    assert_eq!(bin["plan"]["last_turn_at"], Value::Null, "{bin}");
    assert_eq!(bin["plan"]["first_turn_at"], Value::Null, "{bin}");
    let said = |part: &str| bin[part][0].as_str().unwrap();
    assert!(
        said("before").starts_with("Shortly before the first day"),
        "{bin}"
    );
    assert!(said("after").starts_with("When somebody comes"), "{bin}");
    assert!(!bin.to_string().contains("less than"), "{bin}");
}

/// Protects visits from the closure that they are for: another closure settles their days anew,
/// and one that was called off by hand can be on again while the site is shut.
#[tokio::test]
async fn a_visit_takes_place_although_the_site_is_shut() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let closure = summer(&app, &court).await;
    agree(&app, &court, closure).await;
    let between = "from=2026-07-06&to=2026-08-16";
    let visits = listed(&app, &court, &court.educator, between).await;
    assert!(!visits.is_empty());
    let calendar = "BEGIN:VCALENDAR\r\nBEGIN:VEVENT\r\nDTSTART;VALUE=DATE:20260701\r\n\
                    DTEND;VALUE=DATE:20260820\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n";
    let path = court.at("/closures/import?apply=true");
    let ask = app.ask(reqwest::Method::POST, &path).by(&court.educator);
    let ask = ask.header("content-type", "text/calendar").body(calendar);
    let done = ask.send().await.ok(200);
    assert_eq!(done["closures"][0]["becomes"], "joined", "{done}");
    assert_eq!(done["closures"][0]["closure_id"], json!(closure));
    let after = listed(&app, &court, &court.educator, between).await;
    assert!(after.iter().all(|turn| turn["called_off"].is_null()));
    assert_eq!(days(&after), days(&visits));

    let turn = court.at(&format!("/turns/{}", id_of(&visits[0])));
    for off in [true, false] {
        let change = json!({ "called_off": off });
        app.patch(&court.educator, &turn, &change).await.ok(200);
    }
    // An ordinary turn cannot be added on a closed day all the same.
    let new = json!({ "bin_id": court.bin, "on_date": "2026-07-20", "places": 1, "effort": 1 });
    let added = app.post(&court.educator, &court.at("/turns"), &new).await;
    added.conflicting_fields(&["/on_date"]);
}

/// Protects a bin in a building that nobody may enter for three months: no visits are made up,
/// and what moving it takes is said in order.
#[tokio::test]
async fn a_building_sealed_for_three_months_gets_the_list_for_a_host() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let query = "first_day=2026-07-01&last_day=2026-09-28&no_visits=true";
    let seen = plan_of_days(&app, &court, query).await;
    let bin = &seen["bins"][0];
    assert_eq!(bin["plan"]["course"], "move", "{seen}");
    assert_eq!(bin["plan"]["danger"], "dries_out");
    assert_eq!(bin["plan"]["proven"], true);
    assert_eq!(bin["plan"]["visits"], json!([]));
    assert_eq!(bin["host"].as_array().unwrap().len(), 9);
    assert!(bin["before"][0].as_str().unwrap().contains("host"));
    // The same days, if somebody can come on Mondays.
    let query = "first_day=2026-07-01&last_day=2026-09-28&visit_weekdays=1";
    let seen = plan_of_days(&app, &court, query).await;
    assert_eq!(seen["bins"][0]["plan"]["course"], "stay", "{seen}");
    for visit in seen["bins"][0]["plan"]["visits"].as_array().unwrap() {
        let day: chrono::NaiveDate = visit["agreed"].as_str().unwrap().parse().unwrap();
        assert_eq!(chrono::Datelike::weekday(&day), chrono::Weekday::Mon);
    }
    let made = app.rows("SELECT count(*) AS n FROM closures").await;
    assert_eq!(made[0]["n"], 0);
}

/// Protects days from moving by one where the clocks change while a site is shut: in Chicago on
/// the 1st of November.
#[tokio::test]
async fn a_closure_over_a_change_of_clocks_keeps_its_days() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    pattern(&app, &court, "FREQ=DAILY;COUNT=200", 1).await;
    let query = "first_day=2026-10-20&last_day=2026-11-30&heating=on";
    let seen = plan_of_days(&app, &court, query).await;
    let plan = &seen["bins"][0]["plan"];
    assert_eq!(plan["last_turn_at"], "2026-10-19T17:00:00Z", "{seen}");
    assert_eq!(plan["first_turn_at"], "2026-12-01T18:00:00Z");
    let visits = plan["visits"].as_array().unwrap();
    assert!(!visits.is_empty());
    for visit in visits {
        let (earliest, latest) = (visit["earliest"].as_str(), visit["latest"].as_str());
        assert!(
            earliest >= Some("2026-10-20") && latest <= Some("2026-11-30"),
            "{visit}"
        );
    }
}

/// Protects whoever asks from a plan for days that cannot be, and from terms that mean nothing.
#[tokio::test]
async fn plans_are_for_days_on_which_a_site_can_be_shut() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let ask = |query: &str| court.at(&format!("/closures/plan?{query}"));
    let get = async |query: &str| app.get(&court.educator, &ask(query)).await;
    let days = "first_day=2026-07-01&last_day=2026-07-30";
    get("first_day=2026-07-10&last_day=2026-07-01")
        .await
        .conflicting_fields(&["/last_day"]);
    for wrong in [
        "first_day=2026-07-01".to_owned(),
        format!("{days}&heating=warm"),
        format!("{days}&visit_weekdays=8"),
        format!("{days}&visit_weekdays=1,,2"),
        format!("{days}&keep_percent=100"),
    ] {
        get(&wrong).await.problem(400, "bad_query");
    }
    let closure = summer(&app, &court).await;
    let visits = court.at(&format!("/closures/{closure}/visits"));
    for (body, pointer) in [
        (json!({ "keep_percent": 20 }), "/keep_percent"),
        (json!({ "visit_weekdays": [0] }), "/visit_weekdays"),
    ] {
        let answer = app.post(&court.educator, &visits, &body).await;
        answer.wrong_fields(&[pointer]);
    }
    let none = court.at(&format!("/closures/{}/plan", Uuid::now_v7()));
    app.get(&court.educator, &none)
        .await
        .problem(404, "not_found");
    app.set_clock("2026-08-17T17:00:00Z").await;
    let over = court.at(&format!("/closures/{closure}/plan"));
    app.get(&court.educator, &over)
        .await
        .problem(409, "ended_already");
}
