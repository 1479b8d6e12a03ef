//! Pupils and their labels.

use super::{School, labels};
use crate::frame::{App, all_at_once};
use reqwest::Method;
use serde_json::{Value, json};
use std::sync::Arc;

#[tokio::test]
async fn a_teacher_makes_a_class_and_pastes_its_pupils_in_one_go() {
    let school = School::open().await;
    let class = school.class(&school.teacher, "3b").await;
    let pasted = school.paste(class, "Ana\r\nBo K.\n\nBo L., Zoë\n").await;
    assert_eq!(pasted.header("etag"), Some("\"2\""));
    assert_eq!(labels(&pasted.ok(201)), ["Ana", "Bo K.", "Bo L.", "Zoë"]);

    let seen = school.see(&school.teacher, class).await;
    assert_eq!(seen.header("etag"), Some("\"2\""));
    let seen = seen.ok(200);
    assert_eq!(seen["name"], "3b");
    assert_eq!(seen["adults"][0]["part"], "teacher");
    assert_eq!(seen["adults"][0]["name"], "A teacher");

    let pupil = |at: usize| {
        let id = seen["pupils"][at]["id"].as_str().unwrap();
        format!("/classes/{class}/pupils/{id}")
    };
    let change = json!({ "label": "Ana M." });
    let path = school.at(&pupil(0));
    let changed = school.app.patch(&school.teacher, &path, &change).await;
    assert_eq!(labels(&changed.ok(200))[0], "Ana M.");
    let change = json!({ "label": "bo k" });
    school
        .app
        .patch(&school.teacher, &path, &change)
        .await
        .conflicting_fields(&["/label"]);
    let gone = school
        .without_body(Method::DELETE, &school.teacher, &pupil(1))
        .await;
    assert_eq!(gone.status, 204);
    school
        .without_body(Method::DELETE, &school.teacher, &pupil(1))
        .await
        .problem(404, "not_found");
    let seen = school.see(&school.teacher, class).await.ok(200);
    assert_eq!(labels(&seen), ["Ana M.", "Bo L.", "Zoë"]);
    assert_eq!(
        school.trail().await,
        [
            "class_made",
            "pupils_added",
            "pupil_renamed",
            "pupil_erased"
        ]
    );
}

#[tokio::test]
async fn a_label_is_a_first_name_or_initials_and_no_two_are_alike() {
    let school = School::open().await;
    let class = school.class(&school.teacher, "3b").await;
    let long = "x".repeat(4_001);
    for bad in [
        "Ana 2",
        "ana@school.example",
        "=Ana",
        "",
        " \n,",
        "Ana\u{202E}",
        &long,
    ] {
        school.paste(class, bad).await.wrong_fields(&["/labels"]);
    }
    for (bad, words) in [
        ("Ana\nBo\nana", "line 3 is like line 1; add an initial"),
        (
            "Ana\nBo, Cy., cy",
            "line 2, entry 3 is like line 2, entry 2",
        ),
        (
            "Ana\nAna María García",
            "at most two words besides initials: see line 2",
        ),
    ] {
        let answer = school.paste(class, bad).await;
        answer.conflicting_fields(&["/labels"]);
        assert!(answer.text.contains(words), "{}", answer.text);
    }
    let thirty_one = "x".repeat(31);
    let answer = school.paste(class, &format!("Ana\n{thirty_one}")).await;
    answer.conflicting_fields(&["/labels"]);
    school.paste(class, "Ana").await.ok(201);
    let answer = school.paste(class, "Bo\nANA.").await;
    answer.conflicting_fields(&["/labels"]);
    assert!(
        answer.text.contains("line 2 is in the class already"),
        "{}",
        answer.text
    );
    let seen = school.see(&school.teacher, class).await.ok(200);
    assert_eq!(labels(&seen), ["Ana"]);
}

#[tokio::test]
async fn a_class_has_sixty_pupils_at_most() {
    let school = School::open().await;
    let class = school.class(&school.teacher, "3b").await;
    let label = |n: u8| format!("{}{}", char::from(b'A' + n / 26), char::from(b'a' + n % 26));
    let sixty: Vec<String> = (0..60).map(label).collect();
    let sixty_one = format!("{}\nZz", sixty.join("\n"));
    school
        .paste(class, &sixty_one)
        .await
        .problem(409, "too_many");
    school.paste(class, &sixty.join("\n")).await.ok(201);
    school.paste(class, "Zz").await.problem(409, "too_many");
}

#[tokio::test]
async fn two_who_paste_at_once_do_not_make_a_label_come_twice() {
    let school = Arc::new(School::open().await);
    let class = school.class(&school.teacher, "3b").await;
    let answers = all_at_once((0..4).map(|_| {
        let school = Arc::clone(&school);
        async move { school.paste(class, "Ana\nBo").await.status.as_u16() }
    }))
    .await;
    assert_eq!(
        answers.iter().filter(|status| **status == 201).count(),
        1,
        "{answers:?}"
    );
    let seen = school.see(&school.teacher, class).await.ok(200);
    assert_eq!(labels(&seen), ["Ana", "Bo"]);
}

#[tokio::test]
async fn nothing_is_stored_of_a_pupil_but_a_label() {
    let app = App::start().await;
    let columns = app
        .rows(
            "SELECT column_name AS name, data_type AS type FROM information_schema.columns
             WHERE table_name = 'pupils' ORDER BY ordinal_position",
        )
        .await;
    let named: Vec<(&str, &str)> = columns
        .iter()
        .map(|c| (c["name"].as_str().unwrap(), c["type"].as_str().unwrap()))
        .collect();
    let when = "timestamp with time zone";
    let expected = [
        ("site_id", "uuid"),
        ("id", "uuid"),
        ("class_id", "uuid"),
        ("label", "text"),
        ("added_at", when),
        ("left_at", when),
    ];
    assert_eq!(named, expected);
    // And nothing else in the database speaks of one but by key: whose turn it is, and who is
    // away.
    let others = app
        .rows(
            "SELECT table_name AS name, column_name AS by, data_type AS type
             FROM information_schema.columns
             WHERE column_name LIKE '%pupil%' AND table_schema = 'public' ORDER BY 1",
        )
        .await;
    let by_key = |table: &str| json!({ "name": table, "by": "pupil_id", "type": "uuid" });
    assert_eq!(others, [by_key("places"), by_key("pupil_absences")]);
}

#[tokio::test]
async fn labels_stand_neither_in_the_trail_nor_beside_idempotency_keys() {
    let school = School::open().await;
    let class = school.class(&school.teacher, "3b").await;
    let path = school.at(&format!("/classes/{class}/pupils"));
    let paste = || {
        let ask = school.app.ask(Method::POST, &path).by(&school.teacher);
        ask.header("idempotency-key", "k1")
            .json(&json!({ "labels": "Oleander\nBryony" }))
            .send()
    };
    let first = paste().await.ok(201);
    assert_eq!(paste().await.ok(201), first);
    for table in ["audit", "idempotency_keys", "letters", "jobs"] {
        let rows = school.app.rows(&format!("SELECT * FROM {table}")).await;
        let text = Value::from(rows).to_string();
        assert!(
            !text.contains("Oleander") && !text.contains("Bryony"),
            "{text}"
        );
    }
}
