//! Closed days from a school's calendar.

use crate::frame::{Answer, App, Court};
use crate::turns::{listed, pattern};
use reqwest::Method;
use serde_json::{Value, json};

fn calendar(events: &[&str]) -> String {
    let events: Vec<String> = events
        .iter()
        .map(|event| format!("BEGIN:VEVENT\r\n{event}\r\nEND:VEVENT\r\n"))
        .collect();
    format!("BEGIN:VCALENDAR\r\n{}END:VCALENDAR\r\n", events.concat())
}

/// An event of whole days, from the first to the day after the last.
fn closed(first: &str, after: &str) -> String {
    format!("DTSTART;VALUE=DATE:{first}\r\nDTEND;VALUE=DATE:{after}")
}

async fn send(app: &App, court: &Court, query: &str, text: String) -> Answer {
    let path = court.at(&format!("/closures/import{query}"));
    let ask = app.ask(Method::POST, &path).by(&court.educator);
    let ask = ask.header("content-type", "text/calendar").body(text);
    ask.send().await
}

/// The closures of a court.
async fn there(app: &App, court: &Court) -> Vec<Value> {
    let list = app.get(&court.educator, &court.at("/closures")).await;
    list.ok(200)["items"].as_array().unwrap().clone()
}

/// What became of days: code, first and last day.
fn shown(done: &Value) -> Vec<String> {
    let closures = done["closures"].as_array().unwrap().iter();
    let shown = closures.map(|days| {
        let text = |name: &str| days[name].as_str().unwrap();
        format!(
            "{} {} {}",
            text("becomes"),
            text("first_day"),
            text("last_day")
        )
    });
    shown.collect()
}

/// Protects a site from being shut by a calendar that somebody only wanted to look at, and its
/// turns from days that nobody called off.
#[tokio::test]
async fn a_calendar_is_looked_at_first_and_then_taken() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    pattern(&app, &court, "FREQ=DAILY;COUNT=60", 1).await;
    let by_hand = json!({ "first_day": "2026-07-20", "last_day": "2026-07-22" });
    let made = app
        .post(&court.educator, &court.at("/closures"), &by_hand)
        .await;
    let made = made.ok(201);
    let text = calendar(&[
        &closed("20260701", "20260704"),
        &closed("20260723", "20260725"),
        &closed("20260721", "20260722"),
        // Over already, and further ahead than closures can be made.
        &closed("20260101", "20260110"),
        &closed("20300101", "20300110"),
    ]);
    let trial = send(&app, &court, "", text.clone()).await.ok(200);
    assert_eq!(trial["applied"], false);
    assert_eq!(
        shown(&trial),
        ["new 2026-07-01 2026-07-03", "joined 2026-07-20 2026-07-24"]
    );
    assert_eq!(there(&app, &court).await.len(), 1);

    let done = send(&app, &court, "?apply=true", text.clone())
        .await
        .ok(200);
    assert_eq!(shown(&done), shown(&trial));
    assert_eq!(done["applied"], true);
    // Three new days, and two more beside those that were closed by hand.
    assert_eq!(done["turns"]["called_off"], 5);
    let closures = there(&app, &court).await;
    assert_eq!(closures.len(), 2);
    assert_eq!(closures[1]["id"], made["id"]);
    assert_eq!(closures[1]["last_day"], "2026-07-24");
    let july = listed(
        &app,
        &court,
        &court.educator,
        "from=2026-07-01&to=2026-07-31",
    )
    .await;
    let off = july.iter().filter(|turn| turn["called_off"] == "closure");
    assert_eq!(off.count(), 8);

    let again = send(&app, &court, "?apply=true", text).await.ok(200);
    assert_eq!(
        shown(&again),
        ["known 2026-07-01 2026-07-03", "known 2026-07-20 2026-07-24"]
    );
    assert_eq!(again["turns"]["called_off"], 0);
    let trail = app
        .rows("SELECT detail FROM audit WHERE deed = 'closures_imported' ORDER BY id")
        .await;
    assert_eq!(trail.len(), 2);
    assert_eq!(trail[0]["detail"]["new"], 1);
    assert_eq!(trail[0]["detail"]["joined"], 1);
}

/// Protects whoever pastes a calendar from guessing: what is not taken is named by line and code,
/// the rest is taken, and a text that is no calendar writes nothing.
#[tokio::test]
async fn what_is_not_taken_is_named_by_its_line() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let text = calendar(&[
        "DTSTART:20260701T090000\r\nDTEND:20260701T100000",
        &closed("20260706", "20260709"),
        "SUMMARY:Prize day",
    ]);
    let done = send(&app, &court, "?apply=true", text).await.ok(200);
    assert_eq!(shown(&done), ["new 2026-07-06 2026-07-08"]);
    assert_eq!(done["refused_total"], 2);
    let codes: Vec<_> = (done["refused"].as_array().unwrap().iter())
        .map(|refused| (refused["line"].as_u64(), refused["code"].as_str()))
        .collect();
    assert_eq!(
        codes,
        [
            (Some(2), Some("no_whole_day")),
            (Some(10), Some("dtstart_missing"))
        ]
    );

    let before = there(&app, &court).await;
    let problem = send(&app, &court, "?apply=true", "Summer: July".to_owned()).await;
    let problem = problem.problem(409, "calendar_unreadable");
    assert!(
        problem["errors"][0]["pointer"]
            .as_str()
            .unwrap()
            .starts_with("/lines/")
    );
    let list = app.ask(Method::POST, &court.at("/closures/import"));
    let list = list.by(&court.educator).header("content-type", "text/csv");
    let list = list.body("name,role\n").send().await;
    list.problem(415, "unsupported_media_type");
    assert_eq!(there(&app, &court).await, before);
}

/// Protects a repetition of one request from shutting a site again after it was opened.
#[tokio::test]
async fn a_repeated_import_happens_once() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let text = calendar(&[&closed("20260706", "20260709")]);
    let send = async || {
        let ask = app.ask(Method::POST, &court.at("/closures/import?apply=true"));
        let ask = ask
            .by(&court.educator)
            .header("content-type", "text/calendar");
        let ask = ask.header("idempotency-key", "summer").body(text.clone());
        ask.send().await.ok(200)
    };
    let first = send().await;
    let path = court.at(&format!(
        "/closures/{}",
        first["closures"][0]["closure_id"].as_str().unwrap()
    ));
    app.delete(&court.educator, &path).await.ok(200);
    assert_eq!(send().await, first);
    assert!(there(&app, &court).await.is_empty());
}

/// Protects a school from being shut during its terms: the preview names each event, and events
/// are left out or chosen by their names.
#[tokio::test]
async fn events_are_named_and_can_be_left_out() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let named = |name: &str, days: String| format!("SUMMARY:{name}\r\n{days}");
    let text = calendar(&[
        &named("Summer break\\, all", closed("20260706", "20260816")),
        &named("Autumn TERM", closed("20260816", "20261010")),
        &named("Autumn break", closed("20261012", "20261017")),
    ]);
    let all = send(&app, &court, "", text.clone()).await.ok(200);
    assert_eq!(all["events"][0]["name"], "Summer break, all", "{all}");
    assert_eq!(all["events"][1]["last_day"], "2026-10-09");
    assert_eq!(shown(&all)[0], "new 2026-07-06 2026-10-09");
    for query in [
        "?without=term",
        "?only=break",
        "?only=summer,autumn&without=Term",
    ] {
        let some = send(&app, &court, query, text.clone()).await.ok(200);
        assert_eq!(
            shown(&some),
            ["new 2026-07-06 2026-08-15", "new 2026-10-12 2026-10-16"],
            "{query}"
        );
        let counts: Vec<bool> = (some["events"].as_array().unwrap().iter())
            .map(|event| event["counts"].as_bool().unwrap())
            .collect();
        assert_eq!(counts, [true, false, true], "{query}");
    }
}
