//! What members cannot, like and would rather not: said by themselves and by who looks after
//! the site, and nobody else's business.

use crate::frame::{Answer, App, Person, all_at_once, id_of, settings};
use reqwest::Method;
use serde_json::{Value, json};
use std::sync::Arc;
use uuid::Uuid;
use wormrota_domain::access::Role;

async fn put(app: &App, by: &Person, path: &str, tag: &str, body: &Value) -> Answer {
    app.ask(Method::PUT, path)
        .by(by)
        .header("if-match", tag)
        .json(body)
        .send()
        .await
}

/// The address of somebody's limits.
async fn limits_of(app: &App, who: &Person, site: Uuid) -> String {
    let member = app.member_id(who, site).await;
    format!("/v1/sites/{site}/members/{member}/limits")
}

async fn trail(app: &App) -> Vec<Value> {
    app.rows("SELECT detail FROM audit WHERE deed = 'limits_changed' ORDER BY at, id")
        .await
}

/// Protects what a member said from being lost or repeated in the trail.
#[tokio::test]
async fn a_member_says_what_they_cannot_and_reads_it_again() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let path = limits_of(&app, &court.resident, court.site).await;
    let unsaid = app.get(&court.resident, &path).await;
    assert_eq!(unsaid.header("etag"), Some("\"1\""));
    let unsaid = unsaid.ok(200);
    assert_eq!(unsaid["cannot_weekdays"], json!([]));
    assert_eq!(unsaid["share"], Value::Null);

    let said = json!({
        "cannot_weekdays": [4, 2, 2], "likes_weekdays": [6.0], "rather_not_weekdays": [1],
        "rest_days": 6, "most_in_28_days": 2, "share": "half",
    });
    let first = put(&app, &court.resident, &path, "\"1\"", &said).await;
    assert_eq!(first.header("etag"), Some("\"2\""));
    let first = first.ok(200);
    assert_eq!(first["cannot_weekdays"], json!([2, 4]));
    assert_eq!(first["likes_weekdays"], json!([6]));
    assert_eq!(first["rest_days"], 6);
    assert_eq!(first["most_in_28_days"], 2);
    assert_eq!(first["share"], "half");
    assert_eq!(app.get(&court.resident, &path).await.ok(200), first);

    // Saying it again says nothing new.
    let again = app.put(&court.resident, &path, &said).await;
    assert_eq!(again.header("etag"), Some("\"2\""));
    // What is left out is not there any more.
    let less = json!({ "cannot_weekdays": [2, 4] });
    let less = put(&app, &court.resident, &path, "*", &less).await.ok(200);
    assert_eq!(less["likes_weekdays"], json!([]));
    assert_eq!(less["rest_days"], 0);
    let fields = [
        "cannot_weekdays",
        "likes_weekdays",
        "rather_not_weekdays",
        "rest_days",
        "most_in_28_days",
        "share",
    ];
    assert_eq!(
        trail(&app).await,
        [
            json!({ "detail": { "fields": fields } }),
            json!({ "detail": { "fields": &fields[1..] } }),
        ]
    );
}

/// Protects the planner from limits that cannot be meant.
#[tokio::test]
async fn limits_that_cannot_be_meant_are_refused_by_name() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let path = limits_of(&app, &court.resident, court.site).await;
    let before = app.contents().await;
    for (body, pointers) in [
        (
            json!({ "cannot_weekdays": [0, 8] }),
            vec!["/cannot_weekdays/0", "/cannot_weekdays/1"],
        ),
        (
            json!({ "likes_weekdays": [1, 1, 1, 1, 1, 1, 1, 1] }),
            vec!["/likes_weekdays"],
        ),
        (json!({ "rest_days": 61 }), vec!["/rest_days"]),
        (json!({ "most_in_28_days": 0 }), vec!["/most_in_28_days"]),
        (json!({ "most_in_28_days": 29 }), vec!["/most_in_28_days"]),
    ] {
        let answer = app.put(&court.resident, &path, &body).await;
        answer.wrong_fields(&pointers);
    }
    for (body, pointer) in [
        (
            json!({ "cannot_weekdays": [1, 2, 3, 4, 5, 6, 7] }),
            "/cannot_weekdays",
        ),
        (
            json!({ "cannot_weekdays": [1], "likes_weekdays": [1] }),
            "/likes_weekdays",
        ),
        (
            json!({ "likes_weekdays": [1], "rather_not_weekdays": [1, 2] }),
            "/rather_not_weekdays",
        ),
        (
            json!({ "cannot_weekdays": [2], "rather_not_weekdays": [2] }),
            "/rather_not_weekdays",
        ),
    ] {
        let answer = app.put(&court.resident, &path, &body).await;
        answer.conflicting_fields(&[pointer]);
    }
    for body in [
        json!({ "share": "most" }),
        json!({ "reason": "night shifts" }),
        json!({ "rest_days": -1 }),
    ] {
        let answer = app.put(&court.resident, &path, &body).await;
        answer.problem(422, "invalid_fields");
    }
    assert_eq!(app.contents().await, before);
}

/// Protects from members who call themselves experienced, and keeps what keepers know when a
/// member says their own.
#[tokio::test]
async fn only_who_looks_after_the_site_says_who_is_experienced() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let caretaker = app.member(court.site, Role::Caretaker).await;
    let path = limits_of(&app, &court.resident, court.site).await;
    let known = json!({
        "only_trained_bins": true, "trained_bin_ids": [court.bin], "experienced": true,
        "not_alone": false,
    });
    let claim = json!({ "by_keepers": known, "rest_days": 3 });
    let before = app.contents().await;
    app.put(&court.resident, &path, &claim)
        .await
        .problem(403, "forbidden");
    assert_eq!(app.contents().await, before);

    let said = app.put(&caretaker, &path, &claim).await.ok(200);
    assert_eq!(said["by_keepers"], known);
    // Their own leave it as it is, whether they repeat it or leave it out.
    for own in [
        json!({ "rest_days": 4 }),
        json!({ "rest_days": 5, "by_keepers": known }),
    ] {
        let said = app.put(&court.resident, &path, &own).await.ok(200);
        assert_eq!(said["by_keepers"], known);
        assert_eq!(said["rest_days"], own["rest_days"]);
    }
    let mut less = known.clone();
    less["trained_bin_ids"] = json!([]);
    app.put(&court.resident, &path, &json!({ "by_keepers": less }))
        .await
        .problem(403, "forbidden");

    // A bin of another site, and one of none.
    let elsewhere = app.court().await;
    for bin in [elsewhere.bin, Uuid::now_v7()] {
        let mut known = known.clone();
        known["trained_bin_ids"] = json!([court.bin, bin]);
        app.put(&caretaker, &path, &json!({ "by_keepers": known }))
            .await
            .conflicting_fields(&["/by_keepers/trained_bin_ids"]);
    }
    let mut both = known.clone();
    both["not_alone"] = true.into();
    app.put(&caretaker, &path, &json!({ "by_keepers": both }))
        .await
        .conflicting_fields(&["/by_keepers/not_alone"]);
}

/// Protects the privacy of what somebody cannot.
#[tokio::test]
async fn neighbours_learn_nothing_of_each_others_limits() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let other = app.member(court.site, Role::Resident).await;
    let path = limits_of(&app, &other, court.site).await;
    app.put(&other, &path, &json!({ "cannot_weekdays": [2] }))
        .await
        .ok(200);
    // Somebody who is there and somebody who is not sound alike.
    let nobody = court.at(&format!("/members/{}/limits", Uuid::now_v7()));
    for path in [&path, &nobody] {
        app.get(&court.resident, path)
            .await
            .problem(403, "forbidden");
        app.put(&court.resident, path, &json!({}))
            .await
            .problem(403, "forbidden");
    }
    app.get(&court.educator, &nobody)
        .await
        .problem(404, "not_found");
    // Nor of somebody who waits to be let in.
    let newcomer = app.newcomer(&court.educator, court.site, "Noor").await;
    let waiting = court.at(&format!("/members/{newcomer}/limits"));
    app.put(&court.educator, &waiting, &json!({ "rest_days": 1 }))
        .await
        .problem(404, "not_found");
    for keeper in [Role::Caretaker, Role::Teacher] {
        let keeper = app.member(court.site, keeper).await;
        let seen = app.get(&keeper, &path).await.ok(200);
        assert_eq!(seen["cannot_weekdays"], json!([2]));
    }
}

/// Protects what one keeper said from another who read it before, on two copies of the service.
#[tokio::test]
async fn of_two_who_change_the_same_limits_at_once_one_reads_again() {
    let app = Arc::new(App::start_in_june().await);
    let court = app.court().await;
    let copy = Arc::new(App::on(app.url.clone(), settings()));
    let path = limits_of(&app, &court.resident, court.site).await;
    let answers = all_at_once((1..=8).map(|days| {
        let (app, who) = (Arc::clone([&app, &copy][days % 2]), court.educator.clone());
        let path = path.clone();
        async move {
            let body = json!({ "rest_days": days });
            let answer = put(&app, &who, &path, "\"1\"", &body).await;
            answer.status.as_u16()
        }
    }))
    .await;
    let with = |status: u16| answers.iter().filter(|one| **one == status).count();
    assert_eq!((with(200), with(412)), (1, 7), "{answers:?}");
    assert_eq!(trail(&app).await.len(), 1);
    let seen = app.get(&court.resident, &path).await;
    assert_eq!(seen.header("etag"), Some("\"2\""));
}

/// Protects whoever leaves from being remembered by what they could not, and hands it to them
/// before.
#[tokio::test]
async fn limits_are_handed_over_and_forgotten_when_somebody_leaves() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let path = limits_of(&app, &court.resident, court.site).await;
    let known = json!({
        "only_trained_bins": true, "trained_bin_ids": [court.bin], "experienced": false,
        "not_alone": true,
    });
    let body = json!({ "cannot_weekdays": [2], "by_keepers": known });
    app.put(&court.educator, &path, &body).await.ok(200);
    let absences = path.replace("/limits", "/absences");
    let away = json!({ "first_day": "2026-06-20" });
    let away = app.post(&court.resident, &absences, &away).await.ok(201);

    let export = app.get(&court.resident, "/v1/me/export").await.ok(200);
    let tables = &export["tables"];
    assert_eq!(tables["member_limits"][0]["cannot_weekdays"], json!([2]));
    assert_eq!(tables["member_bins"][0]["bin_id"], json!(court.bin));
    assert_eq!(tables["absences"][0]["id"], json!(id_of(&away)));

    let member = path.replace("/limits", "");
    let left = app.delete(&court.resident, &member).await;
    assert_eq!(left.status, 204, "{}", left.text);
    for table in ["member_limits", "member_bins", "absences"] {
        let rows = app.rows(&format!("SELECT * FROM {table}")).await;
        assert_eq!(rows, Vec::<Value>::new(), "{table}");
    }
}
