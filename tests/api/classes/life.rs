//! How classes change and end.

use super::{School, labels};
use chrono::TimeDelta;
use reqwest::Method;
use serde_json::{Value, json};
use wormrota::clock;
use wormrota::work::work_once;

#[tokio::test]
async fn a_class_is_changed_only_as_it_was_read_and_has_a_name_of_its_own() {
    let school = School::open().await;
    let class = school.class(&school.teacher, "3b").await;
    school.class(&school.teacher, "4c").await;
    let path = school.at(&format!("/classes/{class}"));
    let change = |tag: &'static str, body: Value| {
        let ask = school.app.ask(Method::PATCH, &path).by(&school.teacher);
        async move { ask.header("if-match", tag).json(&body).send().await }
    };
    let changed = change("\"1\"", json!({ "name": "3c", "ends_on": "2026-07-15" })).await;
    assert_eq!(changed.header("etag"), Some("\"2\""));
    assert_eq!(changed.ok(200)["ends_on"], "2026-07-15");
    change("\"1\"", json!({ "name": "3d" }))
        .await
        .problem(412, "changed_meanwhile");
    change("*", json!({ "name": "4c" }))
        .await
        .problem(409, "name_taken");
    change("*", json!({ "name": "" }))
        .await
        .wrong_fields(&["/name"]);
    for day in ["2026-06-09", "2028-07-01"] {
        let answer = change("*", json!({ "ends_on": day })).await;
        answer.conflicting_fields(&["/ends_on"]);
    }
    let new = json!({ "name": "5d", "ends_on": "2026-06-09" });
    school
        .app
        .post(&school.teacher, &school.at("/classes"), &new)
        .await
        .conflicting_fields(&["/ends_on"]);
    let new = json!({ "name": "4c", "ends_on": "2026-06-30" });
    school
        .app
        .post(&school.teacher, &school.at("/classes"), &new)
        .await
        .problem(409, "name_taken");
}

#[tokio::test]
async fn a_class_that_ends_forgets_its_pupils() {
    let school = School::open().await;
    let class = school.class(&school.teacher, "3b").await;
    school.paste(class, "Ana\nBo K.").await.ok(201);
    let path = format!("/classes/{class}/end");
    let ended = school
        .without_body(Method::POST, &school.teacher, &path)
        .await;
    let first = ended.ok(200);
    assert_eq!(labels(&first), [""; 0]);
    assert!(first["ended_at"].is_string());
    let again = school
        .without_body(Method::POST, &school.teacher, &path)
        .await;
    assert_eq!(again.ok(200), first);
    let left = school.app.rows("SELECT label, left_at FROM pupils").await;
    assert!(
        left.iter()
            .all(|row| row["label"].is_null() && row["left_at"].is_string())
    );
    assert_eq!(left.len(), 2);

    school.paste(class, "Cy").await.problem(409, "class_ended");
    let sheet = school.at(&format!("/classes/{class}/sheet"));
    school
        .app
        .get(&school.teacher, &sheet)
        .await
        .problem(409, "class_ended");
    let page = school
        .app
        .get(&school.teacher, &school.at("/classes"))
        .await
        .ok(200);
    assert_eq!(page["items"], json!([]));
    // Its name is free again.
    school.class(&school.teacher, "3b").await;
    let trail = school.trail().await;
    assert_eq!(
        trail,
        ["class_made", "pupils_added", "class_ended", "class_made"]
    );
}

#[tokio::test]
async fn the_school_years_end_is_the_end_of_its_classes_as_the_site_counts_days() {
    let school = School::open().await;
    let class = school.class(&school.teacher, "3b").await;
    school.paste(class, "Ana\nBo").await.ok(201);
    let mut hour = clock::wall();
    let mut work_at = async |moment: &str| {
        // Housekeeping is owed once an hour of the machine's clock.
        hour += TimeDelta::hours(1);
        school.app.set_clock(moment).await;
        assert_eq!(work_once(&school.app.desk, hour).await.unwrap(), 1);
        let seen = school.see(&school.ada, class).await.ok(200);
        labels(&seen).len()
    };
    // The site is in Chicago: its last day goes on until 05:00 in UTC.
    assert_eq!(work_at("2026-07-01T04:30:00Z").await, 2);
    assert_eq!(work_at("2026-07-01T05:30:00Z").await, 0);
    assert_eq!(work_at("2026-07-02T05:30:00Z").await, 0);
    let ends = school
        .app
        .rows("SELECT member_id, detail FROM audit WHERE deed = 'class_ended'")
        .await;
    assert_eq!(ends.len(), 1);
    assert!(ends[0]["member_id"].is_null());
    assert_eq!(ends[0]["detail"], json!({ "pupils": 2 }));
}
