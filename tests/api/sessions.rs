use crate::frame::{Answer, App, PASSWORD, Person};
use chrono::{DateTime, TimeDelta, Utc};
use futures_util::future::join_all;
use serde_json::{Value, json};
use wormrota::clock;
use wormrota::desk::sign_out::sign_out;
use wormrota::work;
use wormrota_domain::ids::SessionId;

/// Signs somebody in and gives what they got.
async fn sign_in(app: &App, who: &Person, device: &str) -> Value {
    let body = json!({ "email": who.email, "password": PASSWORD, "device": device });
    app.say("/v1/sessions", &body).await.ok(201)
}

async fn refresh(app: &App, session: &Value) -> Answer {
    let body = json!({ "refresh_token": session["refresh_token"] });
    app.say("/v1/refresh_tokens/use", &body).await
}

/// Somebody with the access token of a session.
fn with(who: &Person, session: &Value) -> Person {
    Person {
        token: session["access_token"].as_str().unwrap().to_owned(),
        session: SessionId(session["session_id"].as_str().unwrap().parse().unwrap()),
        ..who.clone()
    }
}

fn instant(value: &Value) -> DateTime<Utc> {
    value.as_str().unwrap().parse().unwrap()
}

#[tokio::test]
async fn a_refresh_token_gets_the_next_pair_and_the_session_goes_on() {
    let app = App::start().await;
    let ada = app.educator().await;
    let first = sign_in(&app, &ada, "Kitchen tablet").await;
    let kept = instant(&first["refresh_expires_at"]) - clock::wall();
    assert!((29..=30).contains(&kept.num_days()), "{kept}");

    let second = refresh(&app, &first).await.ok(201);
    assert_eq!(second["session_id"], first["session_id"]);
    assert_eq!(second["account_id"], ada.account.to_string());
    assert_eq!(second["is_educator"], true);
    assert_ne!(second["refresh_token"], first["refresh_token"]);
    for session in [&first, &second] {
        // An access token is good for its minutes, whatever else was handed out meanwhile.
        app.get(&with(&ada, session), "/v1/sites").await.ok(200);
    }
    let third = refresh(&app, &second).await.ok(201);
    app.get(&with(&ada, &third), "/v1/me").await.ok(200);
}

#[tokio::test]
async fn no_refresh_token_lasts_longer_than_its_session() {
    let app = App::start().await;
    let ada = app.stranger().await;
    let session = sign_in(&app, &ada, "Phone").await;
    let id = session["session_id"].as_str().unwrap();
    let soon = clock::wall() + TimeDelta::hours(1);
    app.sql(&format!(
        "UPDATE sessions SET ends_at = '{soon}' WHERE id = '{id}'"
    ))
    .await;
    let next = refresh(&app, &session).await.ok(201);
    assert_eq!(instant(&next["refresh_expires_at"]), soon);

    let past = clock::wall() - TimeDelta::seconds(1);
    app.sql(&format!(
        "UPDATE sessions SET created_at = created_at - interval '1 day', ends_at = '{past}'
         WHERE id = '{id}'"
    ))
    .await;
    refresh(&app, &next).await.problem(401, "refresh_refused");
    app.get(&with(&ada, &next), "/v1/me")
        .await
        .problem(401, "session_ended");
}

#[tokio::test]
async fn refresh_tokens_that_are_unknown_expired_or_used_get_the_same_answer() {
    let app = App::start().await;
    let ada = app.stranger().await;
    let used = sign_in(&app, &ada, "Phone").await;
    refresh(&app, &used).await.ok(201);
    let expired = sign_in(&app, &ada, "Tablet").await;
    app.sql(&format!(
        "UPDATE refresh_tokens SET issued_at = issued_at - interval '60 days',
            expires_at = expires_at - interval '60 days'
         WHERE session_id = '{}'",
        expired["session_id"].as_str().unwrap()
    ))
    .await;
    let ended = sign_in(&app, &ada, "Desk").await;
    app.delete(&with(&ada, &ended), "/v1/sessions").await;
    let token = |session: &Value| session["refresh_token"].as_str().unwrap().to_owned();
    let mut bodies = Vec::new();
    for text in [
        token(&used),
        token(&expired),
        token(&ended),
        "refresh_AAAA".to_owned(),
        ada.token.clone(),
        String::new(),
        "x".repeat(10_000),
    ] {
        let answer = app
            .say("/v1/refresh_tokens/use", &json!({ "refresh_token": text }))
            .await;
        let mut body = answer.problem(401, "refresh_refused");
        body.as_object_mut().unwrap().remove("request_id");
        bodies.push(body);
    }
    bodies.dedup();
    assert_eq!(bodies.len(), 1, "{bodies:?}");
}

#[tokio::test]
async fn the_list_shows_ones_own_devices_and_each_can_be_signed_out() {
    let app = App::start().await;
    let ada = app.stranger().await;
    let bob = app.stranger().await;
    let phone = with(&ada, &sign_in(&app, &ada, "  Phone ").await);
    let tablet = sign_in(&app, &ada, "Tablet").await;
    let list = app.get(&phone, "/v1/sessions").await.ok(200);
    let items = list["items"].as_array().unwrap();
    assert_eq!(items.len(), 3, "{list}");
    let found = |device: &str| items.iter().find(|item| item["device"] == device).unwrap();
    assert_eq!(found("Phone")["is_current"], true);
    assert_eq!(found("Tablet")["is_current"], false);
    assert_eq!(found("Tablet")["began_with"], "password");
    assert!(!list.to_string().contains("refresh_"), "{list}");

    let before = instant(&found("Tablet")["last_used_at"]);
    let tablet = refresh(&app, &tablet).await.ok(201);
    let list = app.get(&phone, "/v1/sessions").await.ok(200);
    assert_eq!(list["items"][0]["device"], "Tablet");
    assert!(instant(&list["items"][0]["last_used_at"]) > before);

    let path = format!("/v1/sessions/{}", tablet["session_id"].as_str().unwrap());
    app.delete(&bob, &path).await.problem(404, "not_found");
    app.get(&with(&ada, &tablet), "/v1/me").await.ok(200);
    assert_eq!(app.delete(&phone, &path).await.status, 204);
    app.get(&with(&ada, &tablet), "/v1/me")
        .await
        .problem(401, "session_ended");
    refresh(&app, &tablet).await.problem(401, "refresh_refused");
    app.delete(&phone, &path).await.problem(404, "not_found");
    let list = app.get(&phone, "/v1/sessions").await.ok(200);
    assert_eq!(list["items"].as_array().unwrap().len(), 2);
}

#[tokio::test]
async fn signing_out_everywhere_ends_every_token_at_once() {
    let app = App::start().await;
    let (ada, bob) = (app.stranger().await, app.stranger().await);
    let phone = sign_in(&app, &ada, "Phone").await;
    let tablet = sign_in(&app, &ada, "Tablet").await;
    let answer = app.delete(&with(&ada, &phone), "/v1/sessions").await;
    assert_eq!(answer.status, 204);
    for session in [&phone, &tablet] {
        let refused = app.get(&with(&ada, session), "/v1/me").await;
        refused.problem(401, "session_ended");
        let challenge = refused.header("www-authenticate").unwrap();
        assert!(challenge.contains("invalid_token"), "{challenge}");
        refresh(&app, session).await.problem(401, "refresh_refused");
    }
    app.get(&ada, "/v1/me").await.problem(401, "session_ended");
    app.get(&bob, "/v1/me").await.ok(200);
}

#[tokio::test]
async fn a_device_has_a_short_printable_name_or_none() {
    let app = App::start().await;
    let ada = app.stranger().await;
    for bad in ["", " ", "a\u{0}b", &"x".repeat(61)] {
        let body = json!({ "email": ada.email, "password": PASSWORD, "device": bad });
        app.say("/v1/sessions", &body)
            .await
            .wrong_fields(&["/device"]);
    }
    let body = json!({ "email": ada.email, "password": PASSWORD });
    app.say("/v1/sessions", &body).await.ok(201);
}

#[tokio::test]
async fn the_fifty_first_device_signs_out_the_one_that_was_not_used_for_longest() {
    let app = App::start().await;
    let ada = app.stranger().await;
    let first = sign_in(&app, &ada, "First").await;
    for _ in 0..48 {
        app.session(ada.account).await;
    }
    // Fifty now, the one of the frame and the first among them.
    app.get(&with(&ada, &first), "/v1/me").await.ok(200);
    app.get(&ada, "/v1/me").await.ok(200);
    sign_in(&app, &ada, "One more").await;
    app.get(&ada, "/v1/me").await.problem(401, "session_ended");
    app.get(&with(&ada, &first), "/v1/me").await.ok(200);
}

#[tokio::test]
async fn what_is_over_is_forgotten_after_its_time() {
    let app = App::start().await;
    let ada = app.stranger().await;
    let old = sign_in(&app, &ada, "Old").await;
    let new = sign_in(&app, &ada, "New").await;
    app.say("/v1/password_resets", &json!({ "email": ada.email }))
        .await
        .ok(202);
    app.sql(&format!(
        "UPDATE sessions SET revoked_at = created_at WHERE id = '{}'",
        old["session_id"].as_str().unwrap()
    ))
    .await;
    let count = async |table: &str| {
        let rows = app
            .rows(&format!("SELECT count(*) AS n FROM {table}"))
            .await;
        rows[0]["n"].as_i64().unwrap()
    };
    let before = [
        count("sessions").await,
        count("refresh_tokens").await,
        count("account_links").await,
        count("familiar_addresses").await,
    ];
    assert_eq!(before, [3, 2, 1, 1]);
    assert!(count("allowances").await > 0);

    work::work_once(&app.desk, clock::wall() + TimeDelta::days(29))
        .await
        .unwrap();
    assert_eq!(count("sessions").await, 3);
    assert_eq!(count("allowances").await, 0);
    work::work_once(&app.desk, clock::wall() + TimeDelta::days(31))
        .await
        .unwrap();
    let after = [
        count("sessions").await,
        count("refresh_tokens").await,
        count("account_links").await,
        count("familiar_addresses").await,
    ];
    // The frame's own session lasts a day only.
    assert_eq!(after, [1, 1, 0, 1]);
    work::work_once(&app.desk, clock::wall() + TimeDelta::days(91))
        .await
        .unwrap();
    assert_eq!(count("familiar_addresses").await, 0);
    refresh(&app, &new).await.problem(401, "refresh_refused");
}

#[tokio::test]
async fn a_refresh_token_used_twice_ends_the_session_for_thief_and_owner() {
    let app = App::start().await;
    let ada = app.stranger().await;
    let other = sign_in(&app, &ada, "Other device").await;
    let first = sign_in(&app, &ada, "Phone").await;
    let thiefs = refresh(&app, &first).await.ok(201);
    // The owner comes with the token that the thief has used.
    refresh(&app, &first).await.problem(401, "refresh_refused");
    for dead in [&first, &thiefs] {
        app.get(&with(&ada, dead), "/v1/me")
            .await
            .problem(401, "session_ended");
        refresh(&app, dead).await.problem(401, "refresh_refused");
    }
    refresh(&app, &other).await.ok(201);
}

#[tokio::test]
async fn a_refresh_token_used_many_times_at_once_ends_the_session_too() {
    let app = App::start().await;
    let ada = app.stranger().await;
    for round in 0..5 {
        let first = sign_in(&app, &ada, "Phone").await;
        let answers = join_all((0..8).map(|_| refresh(&app, &first))).await;
        let won: Vec<Value> = answers
            .iter()
            .filter(|answer| answer.status == 201)
            .map(Answer::json)
            .collect();
        assert_eq!(won.len(), 1, "round {round}");
        for lost in answers.iter().filter(|answer| answer.status != 201) {
            lost.problem(401, "refresh_refused");
        }
        app.get(&with(&ada, &won[0]), "/v1/me")
            .await
            .problem(401, "session_ended");
        refresh(&app, &won[0]).await.problem(401, "refresh_refused");
    }
}

#[tokio::test]
async fn a_device_that_signs_in_again_leaves_its_old_session() {
    let app = App::start().await;
    let ada = app.educator().await;
    let other = sign_in(&app, &ada, "Phone").await;
    let old = sign_in(&app, &ada, "Kitchen tablet").await;
    let body = json!({
        "email": ada.email, "password": PASSWORD, "refresh_token": old["refresh_token"],
    });
    let new = app.say("/v1/sessions", &body).await.ok(201);
    app.get(&with(&ada, &old), "/v1/me")
        .await
        .problem(401, "session_ended");
    for session in [&other, &new] {
        app.get(&with(&ada, session), "/v1/me").await.ok(200);
    }
}

#[tokio::test]
async fn whoever_runs_the_service_can_sign_somebody_out_everywhere() {
    let app = App::start().await;
    let (ada, eve) = (app.educator().await, app.educator().await);
    let phone = sign_in(&app, &ada, "Phone").await;
    let ended = sign_out(&app.desk, &ada.email.to_uppercase())
        .await
        .unwrap();
    assert_eq!(ended, 2);
    for gone in [&ada, &with(&ada, &phone)] {
        app.get(gone, "/v1/me").await.problem(401, "session_ended");
    }
    app.get(&eve, "/v1/me").await.ok(200);
    let unknown = sign_out(&app.desk, "nobody@elmcourt.example").await;
    assert_eq!(unknown.unwrap_err().code(), "not_found");
}
