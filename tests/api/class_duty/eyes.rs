//! Who sees whose turn it is, and what is left of pupils who are gone.

use super::{School, TODAY};
use reqwest::Method;
use serde_json::{Value, json};
use wormrota::clock;
use wormrota::work::work_once;
use wormrota_domain::access::Role;

/// Protects pupils who are gone from being expected, and the history of the bin from holes.
#[tokio::test]
async fn whoever_is_erased_gives_places_to_come_back_and_leaves_a_key_in_history() {
    let school = School::open("Ana\nBo").await;
    let [ana, bo] = school.pupils[..] else {
        panic!("two pupils")
    };
    let mut places = Vec::new();
    for n in 10..=15 {
        places.push(school.turn(&format!("2026-06-{n}"), 1).await.1[0]);
    }
    school.share_out(TODAY, "2026-06-15", "in_order").await;
    school.away(ana, "2026-06-14").await;
    school.app.set_clock("2026-06-12T17:00:00Z").await;
    let path = school.at(&format!("/classes/{}/pupils/{ana}", school.class));
    assert_eq!(school.app.delete(&school.teacher, &path).await.status, 204);
    let mut holders = Vec::new();
    for place in &places {
        holders.push(school.holder(*place).await);
    }
    let free = None;
    assert_eq!(
        holders,
        [Some(ana), Some(bo), free, Some(bo), free, Some(bo)]
    );
    let rows = school.app.rows("SELECT * FROM pupil_absences").await;
    assert_eq!(rows, Vec::<Value>::new());
    let path = school.duty("?from=2026-06-10&to=2026-06-15");
    let duty = school.app.get(&school.teacher, &path).await.ok(200);
    let first = &duty["turns"][0]["places"][0];
    assert_eq!(
        (&first["pupil_id"], &first["label"]),
        (&json!(ana), &Value::Null)
    );

    // The school year's end does it for everybody.
    school.away(bo, "2026-06-15").await;
    let sql = "UPDATE classes SET ends_on = '2026-06-12'";
    school.app.sql(sql).await;
    school.app.set_clock("2026-06-13T17:00:00Z").await;
    work_once(&school.app.desk, clock::wall()).await.unwrap();
    assert_eq!(school.holder(places[1]).await, Some(bo));
    assert_eq!(school.holder(places[3]).await, None);
    // Its turns from tomorrow on end with it.
    let later = "SELECT on_date FROM turns WHERE on_date > '2026-06-13'";
    assert_eq!(school.app.rows(later).await, Vec::<Value>::new());
    let rows = school.app.rows("SELECT * FROM pupil_absences").await;
    assert_eq!(rows, Vec::<Value>::new());
    let body = json!({ "from": "2026-06-13", "to": "2026-06-15", "by": "in_order" });
    let answer = school
        .app
        .post(&school.teacher, &school.duty(""), &body)
        .await;
    answer.problem(409, "class_ended");
}

/// Protects what children are called, from everybody but the adults of their class and
/// educators.
#[tokio::test]
async fn labels_of_a_duty_are_for_the_classs_adults_only() {
    let school = School::open("Oleander\nBryony").await;
    let app = &school.app;
    let (_, places) = school.turn(TODAY, 1).await;
    school.turn("2026-06-11", 1).await;
    school.share_out(TODAY, "2026-06-11", "in_order").await;
    let key = |rest: &str| school.duty(&format!("/{}{rest}", places[0]));
    let away = school.at(&format!(
        "/classes/{}/pupils/{}/absences",
        school.class, school.pupils[0]
    ));
    let fill = json!({ "from": TODAY, "to": TODAY, "by": "in_order" });
    let other = app.member(school.site, Role::Teacher).await;
    let day = json!({ "on_date": TODAY });
    for (method, path, body) in [
        (Method::GET, school.duty(""), Value::Null),
        (Method::POST, school.duty(""), fill.clone()),
        (Method::PUT, key(""), json!({ "pupil_id": null })),
        (Method::POST, key("/exchange"), json!({})),
        (Method::POST, away.clone(), day.clone()),
        (Method::DELETE, format!("{away}/{TODAY}"), Value::Null),
    ] {
        let answer = app
            .ask(method.clone(), &path)
            .by(&other)
            .json(&body)
            .send()
            .await;
        let problem = answer.problem(404, "not_found");
        assert_eq!(
            problem["detail"], "There is no such class.",
            "{method} {path}"
        );
    }

    // A helper sees who is when, and changes nothing.
    let parent = app.member(school.site, Role::Resident).await;
    app.get(&parent, &school.duty(""))
        .await
        .problem(404, "not_found");
    let id = app.member_id(&parent, school.site).await;
    let helping = school.at(&format!("/classes/{}/helpers/{id}", school.class));
    app.ask(Method::PUT, &helping)
        .by(&school.teacher)
        .send()
        .await
        .ok(200);
    for seer in [&parent, &school.ada] {
        let duty = app.get(seer, &school.duty("")).await;
        assert!(duty.ok(200).to_string().contains("Oleander"));
    }
    app.post(&parent, &school.duty(""), &fill)
        .await
        .problem(403, "forbidden");
    app.post(&parent, &away, &day)
        .await
        .problem(403, "forbidden");

    // A key, an exchange and what is kept of them hold no label.
    for body in [&day, &json!({})] {
        let path = if body == &day {
            away.clone()
        } else {
            key("/exchange")
        };
        let ask = app.ask(Method::POST, &path).by(&school.teacher);
        let ask = ask.header("idempotency-key", &format!("k-{}", body.to_string().len()));
        let answer = ask.json(body).send().await;
        assert!(answer.status.is_success(), "{}", answer.text);
    }
    for table in ["audit", "idempotency_keys", "jobs", "places"] {
        let rows = app.rows(&format!("SELECT * FROM {table}")).await;
        let text = Value::from(rows).to_string();
        assert!(
            !text.contains("Oleander") && !text.contains("Bryony"),
            "{table}: {text}"
        );
    }
    // Nor who was away, or when, for as long as the trail is kept.
    let trail = app
        .rows("SELECT * FROM audit WHERE deed = 'pupil_away'")
        .await;
    assert_eq!(trail[0]["detail"], json!({}));
    assert_eq!(trail[0]["subject_id"], json!(school.class));
}

/// Protects a substitute from not knowing whose turn it is, and who is not there.
#[tokio::test]
async fn the_sheet_of_a_day_says_whose_turn_it_is() {
    let school = School::open("Ana\nBo\nCy").await;
    let (turn, _) = school.turn("2026-06-11", 2).await;
    let (open, _) = school.turn("2026-06-12", 1).await;
    let sql = format!("UPDATE turns SET opens = '10:30', closes = '11:15' WHERE id = '{turn}'");
    school.app.sql(&sql).await;
    school
        .share_out("2026-06-11", "2026-06-11", "in_order")
        .await;
    school.away(school.pupils[0], "2026-06-11").await;
    let sheet = async |day: &str| {
        let path = school.at(&format!("/classes/{}/sheet?on_date={day}", school.class));
        school.app.get(&school.teacher, &path).await.ok(200)
    };
    let on = sheet("2026-06-11").await;
    assert_eq!(on["duty"][0]["turn_id"], json!(turn));
    assert_eq!(on["duty"][0]["pupils"], json!(["Bo"]));
    assert_eq!(on["away"], json!(["Ana"]));
    let text = on["text"].as_str().unwrap();
    assert!(text.contains("Whose turn it is"), "{text}");
    assert!(text.contains("from 10:30 to 11:15"), "{text}");
    assert!(
        text.contains(on["duty"][0]["sentence"].as_str().unwrap()),
        "{text}"
    );
    assert!(text.contains("Away on this day: Ana"), "{text}");
    let nobody = sheet("2026-06-12").await;
    assert_eq!(nobody["duty"][0]["turn_id"], json!(open));
    assert!(
        nobody["text"].as_str().unwrap().contains("nobody yet"),
        "{nobody}"
    );
    assert_eq!(nobody["away"], json!([]));
    assert!(
        !nobody["text"]
            .as_str()
            .unwrap()
            .contains("Away on this day"),
        "{nobody}"
    );
    let none = sheet("2026-06-13").await;
    assert_eq!(none["duty"], json!([]));
    assert!(
        !none["text"].as_str().unwrap().contains("Whose turn it is"),
        "{none}"
    );
}
