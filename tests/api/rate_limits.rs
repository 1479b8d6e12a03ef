//! How often somebody may ask. The spans are minutes of the machine's clock, and no test here
//! crosses the end of one.

use crate::frame::{Answer, App, PASSWORD, Person, fresh_database, settings};
use chrono::Timelike;
use futures_util::future::join_all;
use reqwest::Method;
use serde_json::json;
use std::time::Duration;
use wormrota::clock;

/// Waits for the next minute when this one is nearly over.
async fn early_in_a_minute() {
    let second = clock::wall().second();
    if second > 40 {
        tokio::time::sleep(Duration::from_secs(u64::from(61 - second))).await;
    }
}

/// The number after a parameter of a header such as `"account";r=12;t=33`.
fn parameter(answer: &Answer, header: &str, name: &str) -> u64 {
    let value = answer.header(header).unwrap();
    let (_, rest) = value.split_once(&format!(";{name}=")).unwrap();
    rest.split(';').next().unwrap().parse().unwrap()
}

async fn limited(a_minute: u32, anonymous: u32) -> App {
    let mut settings = settings();
    settings.server.requests_per_minute = a_minute;
    settings.server.anonymous_requests_per_minute = anonymous;
    App::on(fresh_database().await, settings)
}

/// Asks this many times at once and says how many were answered.
async fn answered(app: &App, who: &Person, times: usize) -> usize {
    let answers = join_all((0..times).map(|_| app.get(who, "/v1/me"))).await;
    let good = answers.iter().filter(|answer| answer.status == 200).count();
    for refused in answers.iter().filter(|answer| answer.status != 200) {
        refused.problem(429, "too_many_requests");
    }
    good
}

#[tokio::test]
async fn headers_say_what_is_left_and_when_there_is_more() {
    let app = limited(3, 0).await;
    let (busy, calm) = (app.stranger().await, app.stranger().await);
    early_in_a_minute().await;
    for left in [2, 1, 0] {
        let answer = app.get(&busy, "/v1/me").await;
        answer.ok(200);
        assert_eq!(
            answer.header("ratelimit-policy"),
            Some(r#""account";q=3;w=60"#)
        );
        assert_eq!(parameter(&answer, "ratelimit", "r"), left);
        assert!((1..=61).contains(&parameter(&answer, "ratelimit", "t")));
        assert_eq!(answer.header("retry-after"), None);
    }
    let answer = app.get(&busy, "/v1/me").await;
    answer.problem(429, "too_many_requests");
    assert_eq!(parameter(&answer, "ratelimit", "r"), 0);
    let wait: u64 = answer.header("retry-after").unwrap().parse().unwrap();
    assert_eq!(parameter(&answer, "ratelimit", "t"), wait);
    app.get(&calm, "/v1/me").await.ok(200);
}

#[tokio::test]
async fn what_cannot_be_used_counts_too() {
    let app = limited(4, 0).await;
    let ada = app.educator().await;
    early_in_a_minute().await;
    let wrong = [
        app.ask(Method::GET, "/v1/sites?limit=0"),
        app.ask(Method::POST, "/v1/sites").body("{"),
        app.ask(Method::PUT, "/v1/me/password").json(&json!({})),
        app.ask(Method::GET, "/v1/sites/no-key"),
    ];
    for ask in wrong {
        let answer = ask.by(&ada).send().await;
        assert!(answer.status.is_client_error(), "{}", answer.text);
        assert_ne!(answer.status, 429, "{}", answer.text);
        assert!(answer.header("ratelimit").is_some());
    }
    app.get(&ada, "/v1/me")
        .await
        .problem(429, "too_many_requests");
}

#[tokio::test]
async fn without_a_limit_there_is_no_header() {
    let app = limited(0, 0).await;
    let ada = app.stranger().await;
    let body = json!({ "email": ada.email, "password": PASSWORD });
    for answer in [
        app.get(&ada, "/v1/me").await,
        app.say("/v1/sessions", &body).await,
    ] {
        assert!(answer.status.is_success(), "{}", answer.text);
        for header in ["ratelimit", "ratelimit-policy"] {
            assert_eq!(answer.header(header), None, "{header}");
        }
    }
}

#[tokio::test]
async fn an_address_that_is_not_signed_in_is_counted_by_itself() {
    let app = limited(0, 3).await;
    let ada = app.stranger().await;
    early_in_a_minute().await;
    let body = json!({ "email": ada.email });
    for left in [2, 1] {
        let answer = app.say("/v1/password_resets", &body).await;
        answer.ok(202);
        assert_eq!(
            answer.header("ratelimit-policy"),
            Some(r#""address";q=3;w=60"#)
        );
        assert_eq!(parameter(&answer, "ratelimit", "r"), left);
    }
    // A probe is not signed in either.
    app.ask(Method::POST, "/v1/probe/readings")
        .header("authorization", "Bearer probe_unknown")
        .json(&json!({ "values": [{ "quantity": "bed_c", "value": 20 }] }))
        .send()
        .await
        .problem(401, "unknown_probe");
    app.say("/v1/sign_in_links", &body)
        .await
        .problem(429, "too_many_requests");
    app.say_from(2, "/v1/sign_in_links", &body).await.ok(202);
    app.get(&ada, "/v1/me").await.ok(200);
}

#[tokio::test]
async fn whoever_goes_on_with_a_dead_token_is_counted_as_a_stranger() {
    let app = limited(600, 2).await;
    let ada = app.stranger().await;
    assert_eq!(app.delete(&ada, "/v1/sessions").await.status, 204);
    early_in_a_minute().await;
    for _ in 0..2 {
        app.get(&ada, "/v1/me").await.problem(401, "session_ended");
    }
    app.get(&ada, "/v1/me")
        .await
        .problem(429, "too_many_requests");
}

#[tokio::test]
async fn two_copies_together_answer_not_one_request_more_than_the_limit() {
    let url = fresh_database().await;
    let mut settings = settings();
    // Lots of four.
    settings.server.requests_per_minute = 120;
    let one = App::on(url.clone(), settings.clone());
    let other = App::on(url, settings);
    let ada = one.stranger().await;
    let bob = one.stranger().await;
    early_in_a_minute().await;
    let (here, there) = tokio::join!(answered(&one, &ada, 100), answered(&other, &ada, 100));
    // What a copy still holds is handed out by itself only.
    let rest = answered(&one, &ada, 120).await + answered(&other, &ada, 120).await;
    assert_eq!(here + there + rest, 120, "{here} {there} {rest}");
    one.get(&bob, "/v1/me").await.ok(200);
}

#[tokio::test]
async fn most_requests_of_an_account_ask_no_row() {
    let app = limited(600, 0).await;
    let ada = app.stranger().await;
    early_in_a_minute().await;
    assert_eq!(answered(&app, &ada, 1).await, 1);
    for _ in 0..19 {
        app.get(&ada, "/v1/me").await.ok(200);
    }
    let used = "SELECT used FROM allowances WHERE counted = 'requests'";
    assert_eq!(app.rows(used).await, [json!({ "used": 20 })]);
    app.get(&ada, "/v1/me").await.ok(200);
    assert_eq!(app.rows(used).await, [json!({ "used": 40 })]);
}

#[tokio::test]
async fn no_address_stands_in_what_is_counted_by() {
    let app = limited(600, 600).await;
    let ada = app.stranger().await;
    let body = json!({ "email": ada.email, "password": PASSWORD });
    app.say("/v1/sessions", &body).await.ok(201);
    for table in ["allowances", "familiar_addresses"] {
        let rows = json!(app.rows(&format!("SELECT * FROM {table}")).await).to_string();
        assert!(rows.contains("\\\\x"), "{rows}");
        for plain in [&ada.email, "127.0.0.1", "7f000001"] {
            assert!(!rows.contains(plain), "{plain} stands in {table}: {rows}");
        }
    }
}
