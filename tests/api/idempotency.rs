use crate::frame::{Answer, App, Person, all_at_once, id_of, new_bin, shared};
use reqwest::Method;
use serde_json::{Value, json};
use std::sync::Arc;
use uuid::Uuid;

async fn add(app: &App, who: &Person, path: &str, key: &str, body: &Value) -> Answer {
    app.ask(Method::POST, path)
        .by(who)
        .header("idempotency-key", key)
        .json(body)
        .send()
        .await
}

async fn count(app: &App, who: &Person, path: &str) -> usize {
    let page = app.get(who, path).await.ok(200);
    page["items"].as_array().unwrap().len()
}

#[tokio::test]
async fn a_repetition_gets_the_first_answer_and_writes_nothing() {
    let app = App::start().await;
    let ada = app.educator().await;
    let path = format!("/v1/sites/{}/bins", app.site(&ada).await);
    let first = add(&app, &ada, &path, "k1", &new_bin()).await.ok(201);
    let again = add(&app, &ada, &path, "k1", &new_bin()).await.ok(201);
    assert_eq!(again, first);
    assert_eq!(count(&app, &ada, &path).await, 1);
}

#[tokio::test]
async fn a_key_belongs_to_one_request_of_one_account() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let path = format!("/v1/sites/{site}/bins");
    add(&app, &ada, &path, "k1", &new_bin()).await.ok(201);

    let mut other = new_bin();
    other["name"] = "Other bin".into();
    let answer = add(&app, &ada, &path, "k1", &other).await;
    answer.problem(409, "idempotency_key_reused");
    let elsewhere = format!("/v1/sites/{}/bins", app.site(&ada).await);
    let answer = add(&app, &ada, &elsewhere, "k1", &new_bin()).await;
    answer.problem(409, "idempotency_key_reused");
    assert_eq!(count(&app, &ada, &path).await, 1);

    let bob = app.educator().await;
    let theirs = format!("/v1/sites/{}/bins", app.site(&bob).await);
    add(&app, &bob, &theirs, "k1", &new_bin()).await.ok(201);
}

#[tokio::test]
async fn what_failed_is_not_kept() {
    let app = App::start().await;
    let ada = app.educator().await;
    let path = format!("/v1/sites/{}/bins", app.site(&ada).await);
    let mut wrong = new_bin();
    wrong["trays"] = json!([]);
    add(&app, &ada, &path, "k1", &wrong)
        .await
        .wrong_fields(&["/trays"]);
    add(&app, &ada, &path, "k1", &new_bin()).await.ok(201);
}

#[tokio::test]
async fn a_key_that_cannot_be_used_is_refused() {
    let app = App::start().await;
    let ada = app.educator().await;
    let path = format!("/v1/sites/{}/bins", app.site(&ada).await);
    for key in ["", "two words", &"x".repeat(256)] {
        let answer = add(&app, &ada, &path, key, &new_bin()).await;
        answer.problem(400, "bad_idempotency_key");
    }
    let twice = app
        .ask(Method::POST, &path)
        .by(&ada)
        .header("idempotency-key", "a")
        .header("idempotency-key", "b")
        .json(&new_bin())
        .send()
        .await;
    twice.problem(400, "bad_idempotency_key");
    assert_eq!(count(&app, &ada, &path).await, 0);
}

#[tokio::test]
async fn twins_that_come_at_once_get_one_answer() {
    let app = shared().await;
    let ada = app.educator().await;
    let path = format!("/v1/sites/{}/bins", app.site(&ada).await);
    for round in 0..20 {
        let mut new = new_bin();
        new["name"] = format!("Bin {round}").into();
        let twins = (0..8).map(|_| {
            let (app, ada, path, new) = (Arc::clone(&app), ada.clone(), path.clone(), new.clone());
            async move { add(&app, &ada, &path, &format!("round-{round}"), &new).await }
        });
        let answers = all_at_once(twins).await;
        let mut ids: Vec<Uuid> = answers
            .iter()
            .map(|answer| id_of(&answer.ok(201)))
            .collect();
        ids.dedup();
        assert_eq!(ids.len(), 1, "round {round}");
    }
    assert_eq!(count(&app, &ada, &path).await, 20);
}
