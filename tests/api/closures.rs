use crate::frame::{App, Court, id_of};
use crate::turns::{days, listed, pattern, take};
use serde_json::{Value, json};

async fn shut(app: &App, court: &Court, first: &str, last: &str) -> Value {
    let body = json!({ "first_day": first, "last_day": last });
    let made = app
        .post(&court.educator, &court.at("/closures"), &body)
        .await;
    made.ok(201)
}

/// Guards holders of places against a week of holidays that is taken back.
#[tokio::test]
async fn turns_of_a_closure_are_called_off_and_come_back_with_their_holders() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    pattern(&app, &court, "FREQ=DAILY;COUNT=10", 2).await;
    let turns = listed(&app, &court, &court.educator, "").await;
    let me = app.member_id(&court.resident, court.site).await;
    assert!(take(&app, court.site, id_of(&turns[3]), me).await);
    let by_hand = court.at(&format!("/turns/{}", id_of(&turns[4])));
    let off = json!({ "called_off": true });
    app.patch(&court.educator, &by_hand, &off).await.ok(200);

    let made = shut(&app, &court, "2026-06-12", "2026-06-15").await;
    assert_eq!(made["turns"]["called_off"], 3);
    assert_eq!(made["turns"]["held_places"], 1);
    let seen = listed(&app, &court, &court.educator, "").await;
    let reasons: Vec<Option<&str>> = seen
        .iter()
        .map(|turn| turn["called_off"].as_str())
        .collect();
    let (on, shut_off) = (None, Some("closure"));
    assert_eq!(
        reasons,
        [
            on,
            on,
            shut_off,
            shut_off,
            Some("hand"),
            shut_off,
            on,
            on,
            on,
            on
        ]
    );
    assert_eq!(seen[3]["places"][0]["held"], true);
    let free = listed(&app, &court, &court.resident, "free=true").await;
    assert!(!days(&free).contains(&"2026-06-12"));
    // A single turn does not take place while the site is shut.
    let turn = court.at(&format!("/turns/{}", id_of(&seen[2])));
    let change = json!({ "called_off": false });
    app.patch(&court.educator, &turn, &change)
        .await
        .conflicting_fields(&["/called_off"]);
    // What is made meanwhile leaves the closed days out, and they come when it opens.
    let other = pattern(&app, &court, "FREQ=DAILY;COUNT=5", 1).await;
    assert_eq!(other["turns_made"], 2);

    let list = app
        .get(&court.resident, &court.at("/closures"))
        .await
        .ok(200);
    assert_eq!(list["items"][0]["first_day"], "2026-06-12");
    let path = court.at(&format!("/closures/{}", id_of(&made)));
    let ended = app.delete(&court.educator, &path).await.ok(200);
    assert_eq!(ended["turns"]["reopened"], 3);
    assert_eq!(ended["turns"]["held_places"], 1);
    assert_eq!(ended["turns"]["added"], 3);
    let seen = listed(&app, &court, &court.educator, "").await;
    assert_eq!(seen.len(), 15);
    let off: Vec<&Value> = seen
        .iter()
        .filter(|turn| turn["called_off"].is_string())
        .collect();
    assert_eq!(off.len(), 1);
    assert_eq!(off[0]["called_off"], "hand");
    let mine = listed(&app, &court, &court.resident, "mine=true").await;
    assert_eq!(days(&mine), ["2026-06-13"]);
    app.delete(&court.educator, &path)
        .await
        .problem(404, "not_found");
}

/// Guards against days that make no sense, and against two closures on one day.
#[tokio::test]
async fn a_closure_has_days_that_can_be_and_shares_none_with_another() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    shut(&app, &court, "2026-06-05", "2026-06-10").await;
    for (first, last, pointer) in [
        ("2026-06-20", "2026-06-19", "/last_day"),
        ("2026-06-01", "2026-06-09", "/last_day"),
        ("2026-07-01", "2027-08-05", "/last_day"),
        ("2030-07-01", "2030-07-02", "/last_day"),
        ("2026-06-10", "2026-06-12", "/first_day"),
        ("2026-06-01", "2026-06-30", "/first_day"),
    ] {
        let body = json!({ "first_day": first, "last_day": last });
        let answer = app
            .post(&court.educator, &court.at("/closures"), &body)
            .await;
        answer.conflicting_fields(&[pointer]);
    }
    shut(&app, &court, "2026-07-01", "2027-08-04").await;
    // One that is over stays as it was.
    let list = app
        .get(&court.educator, &court.at("/closures"))
        .await
        .ok(200);
    let first = court.at(&format!("/closures/{}", id_of(&list["items"][0])));
    app.set_clock("2026-06-12T17:00:00Z").await;
    app.delete(&court.educator, &first)
        .await
        .problem(409, "ended_already");
    let list = app
        .get(&court.educator, &court.at("/closures"))
        .await
        .ok(200);
    assert_eq!(list["items"].as_array().unwrap().len(), 1);
}
