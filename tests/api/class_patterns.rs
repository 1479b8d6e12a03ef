use crate::frame::{App, id_of};
use crate::turns::{days, listed};
use reqwest::Method;
use serde_json::{Value, json};
use wormrota_domain::access::Role;

/// Guards a teacher's class against other keepers, and pupils against turns after their school
/// year: its pattern is kept by its adults and educators, and ends with it.
#[tokio::test]
async fn a_class_has_patterns_of_its_own_that_end_with_it() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let teacher = app.member(court.site, Role::Teacher).await;
    let other = app.member(court.site, Role::Teacher).await;
    let new = json!({ "name": "3b", "ends_on": "2026-06-30" });
    let class = app.post(&teacher, &court.at("/classes"), &new).await;
    let class = id_of(&class.ok(201));
    let pattern = |last: &str| {
        json!({
            "bin_id": court.bin, "rule": "FREQ=WEEKLY;BYDAY=WE,TH", "first_day": "2026-06-10",
            "last_day": last, "places": 2, "effort": 1, "class_id": class,
        })
    };
    let path = court.at("/patterns");
    let caretaker = app.member(court.site, Role::Caretaker).await;
    for who in [&other, &caretaker] {
        app.post(who, &path, &pattern("2026-06-30"))
            .await
            .conflicting_fields(&["/class_id"]);
    }
    app.post(&teacher, &path, &pattern("2026-07-02"))
        .await
        .conflicting_fields(&["/last_day"]);
    let made = app.post(&teacher, &path, &pattern("2026-06-30")).await;
    let made = made.ok(201);
    assert_eq!(made["turns_made"], 6);
    assert_eq!(made["class_id"], json!(class));
    let path = court.at(&format!("/patterns/{}", id_of(&made)));
    let seen = app.get(&court.resident, &path).await.ok(200);
    assert_eq!(seen["is_of_a_class"], true);
    assert_eq!(seen["class_id"], Value::Null);

    let change = json!({ "effort": 2 });
    for who in [&other, &caretaker] {
        app.patch(who, &path, &change)
            .await
            .problem(403, "forbidden");
        app.delete(who, &path).await.problem(403, "forbidden");
    }
    app.patch(&teacher, &path, &json!({ "last_day": "2026-07-10" }))
        .await
        .conflicting_fields(&["/last_day"]);
    app.patch(&teacher, &path, &change).await.ok(200);

    let end = court.at(&format!("/classes/{class}/end"));
    let ended = app.ask(Method::POST, &end).by(&teacher).send().await;
    ended.ok(200);
    let seen = app.get(&court.educator, &path).await.ok(200);
    assert!(seen["ended_at"].is_string(), "{seen}");
    // Today's stays as it is.
    let left = listed(&app, &court, &court.educator, "").await;
    assert_eq!(days(&left), ["2026-06-10"]);
    app.post(&teacher, &court.at("/patterns"), &pattern("2026-06-30"))
        .await
        .problem(409, "class_ended");
}
