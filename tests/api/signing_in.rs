use crate::frame::{App, PASSWORD, Person, signing_key};
use chrono::TimeDelta;
use jsonwebtoken::{Algorithm, EncodingKey, Header, encode};
use reqwest::Method;
use serde_json::{Value, json};
use wormrota::clock;
use wormrota::desk::credentials::{Bearer, Credentials};
use wormrota::settings::{SigningKey, SigningKeys};

fn typed(email: &str, password: &str) -> Value {
    json!({ "email": email, "password": password })
}

async fn sign_in(app: &App, email: &str, password: &str) -> crate::frame::Answer {
    app.ask(Method::POST, "/v1/sessions")
        .json(&typed(email, password))
        .send()
        .await
}

#[tokio::test]
async fn address_and_password_give_a_token_that_lets_one_in() {
    let app = App::start().await;
    let ada = app.educator().await;
    let shouted = ada.email.to_uppercase();
    let answer = sign_in(&app, &format!(" {shouted} "), PASSWORD).await;
    let session = answer.ok(201);
    assert_eq!(session["token_type"], "Bearer");
    assert_eq!(session["account_id"], ada.account.to_string());
    assert_eq!(session["is_educator"], true);
    assert_eq!(answer.header("cache-control"), Some("no-store"));
    let expires: chrono::DateTime<chrono::Utc> =
        session["expires_at"].as_str().unwrap().parse().unwrap();
    let minutes = (expires - clock::wall()).num_minutes();
    assert!((14..=15).contains(&minutes), "{minutes}");

    let signed_in = Person {
        token: session["access_token"].as_str().unwrap().to_owned(),
        ..ada
    };
    app.get(&signed_in, "/v1/sites").await.ok(200);
}

#[tokio::test]
async fn a_wrong_password_and_an_unknown_address_get_the_same_answer() {
    let app = App::start().await;
    let ada = app.stranger().await;
    let mut bodies = Vec::new();
    for (email, password) in [
        (ada.email.as_str(), "ten red wigglers"),
        ("nobody@elmcourt.example", PASSWORD),
        ("not an address", PASSWORD),
        ("", ""),
    ] {
        let answer = sign_in(&app, email, password).await;
        let mut body = answer.problem(401, "sign_in_failed");
        assert_eq!(
            answer.header("www-authenticate"),
            Some(r#"Bearer realm="wormrota""#)
        );
        body.as_object_mut().unwrap().remove("request_id");
        bodies.push(body);
    }
    bodies.dedup();
    assert_eq!(bodies.len(), 1, "{bodies:?}");
}

#[tokio::test]
async fn an_unknown_address_costs_the_work_of_a_known_one() {
    let app = App::start().await;
    let ada = app.stranger().await;
    let linked = app.stranger().await;
    app.sql(&format!(
        "UPDATE accounts SET password_hash = NULL WHERE id = '{}'",
        linked.account
    ))
    .await;
    for email in [&ada.email, &linked.email, "x@y.example", "no address"] {
        let before = app.desk.credentials().passwords.worked();
        sign_in(&app, email, "ten red wigglers")
            .await
            .problem(401, "sign_in_failed");
        let work = app.desk.credentials().passwords.worked() - before;
        assert_eq!(work, 1, "{email}");
    }
}

#[tokio::test]
async fn a_request_without_a_good_token_is_told_how_to_get_one() {
    let app = App::start().await;
    let ask = || app.ask(Method::GET, "/v1/sites");

    let none = ask().send().await;
    none.problem(401, "no_token");
    assert_eq!(
        none.header("www-authenticate"),
        Some(r#"Bearer realm="wormrota""#)
    );

    let ada = app.stranger().await;
    let twice = ask().by(&ada).by(&ada).send().await;
    twice.problem(401, "bad_token");
    for header in [
        "Bearer",
        "Bearer ",
        "Bearer x.y.z",
        "Basic YWRhOmFkYQ==",
        &ada.token,
        &format!("Bearer {} x", ada.token),
        &format!("Bearer {}", "x".repeat(6_000)),
    ] {
        let answer = ask().header("authorization", header).send().await;
        answer.problem(401, "bad_token");
        assert!(
            answer
                .header("www-authenticate")
                .unwrap()
                .contains("invalid_token")
        );
    }
    // The scheme's case does not matter (RFC 9110, section 11.1).
    let lower = format!("bearer {}", ada.token);
    ask().header("authorization", &lower).send().await.ok(200);
}

#[tokio::test]
async fn expired_forged_and_foreign_tokens_are_refused() {
    let app = App::start().await;
    let ada = app.stranger().await;
    let settings = crate::frame::settings().sign_in;
    let keys = |first| SigningKeys {
        first,
        older: vec![],
    };
    let issue = |key: SigningKey, age: TimeDelta| {
        let tokens = Credentials::new(&settings, &keys(key)).unwrap().tokens;
        let bearer = Bearer {
            account: ada.account,
            session: ada.session,
        };
        tokens.issue(bearer, clock::wall() - age).unwrap().text
    };
    let with = |token: String| Person {
        token,
        ..ada.clone()
    };

    let expired = with(issue(signing_key(), TimeDelta::minutes(16)));
    app.get(&expired, "/v1/sites")
        .await
        .problem(401, "expired_token");

    let other_key = SigningKey {
        secret: vec![8; 32],
        ..signing_key()
    };
    let forged = with(issue(other_key.clone(), TimeDelta::zero()));
    app.get(&forged, "/v1/sites")
        .await
        .problem(401, "bad_token");

    let unknown_key = SigningKey {
        kid: "other".to_owned(),
        ..other_key
    };
    let foreign = with(issue(unknown_key, TimeDelta::zero()));
    app.get(&foreign, "/v1/sites")
        .await
        .problem(401, "bad_token");

    let mut header = Header::new(Algorithm::HS384);
    header.kid = Some("test".to_owned());
    let claims = json!({
        "iss": "wormrota", "aud": "wormrota-api", "sub": ada.account.0, "sid": ada.session.0,
        "iat": clock::wall().timestamp(), "exp": clock::wall().timestamp() + 600,
    });
    let secret = EncodingKey::from_secret(&signing_key().secret);
    let other_algorithm = with(encode(&header, &claims, &secret).unwrap());
    app.get(&other_algorithm, "/v1/sites")
        .await
        .problem(401, "bad_token");
    header.alg = Algorithm::HS256;
    let same = with(encode(&header, &claims, &secret).unwrap());
    app.get(&same, "/v1/sites").await.ok(200);

    // {"alg":"none","typ":"JWT","kid":"test"} with the good token's claims.
    let claims = ada.token.split('.').nth(1).unwrap();
    let unsigned = with(format!(
        "eyJhbGciOiJub25lIiwidHlwIjoiSldUIiwia2lkIjoidGVzdCJ9.{claims}."
    ));
    app.get(&unsigned, "/v1/sites")
        .await
        .problem(401, "bad_token");
}

#[tokio::test]
async fn a_token_of_an_account_that_is_gone_opens_nothing() {
    let app = App::start().await;
    let ada = app.educator().await;
    app.sql("DELETE FROM accounts").await;
    app.get(&ada, "/v1/sites")
        .await
        .problem(401, "session_ended");
    let answer = app.post(&ada, "/v1/sites", &crate::frame::new_site()).await;
    answer.problem(401, "session_ended");
}
