use crate::frame::{Answer, App, Person};
use crate::passwords::link;
use futures_util::future::join_all;
use serde_json::{Value, json};
use uuid::Uuid;
use wormrota::desk::credentials::LinkFor;
use wormrota_domain::ids::SessionId;

async fn ask(app: &App, email: &str) -> Answer {
    app.say("/v1/sign_in_links", &json!({ "email": email }))
        .await
}

async fn use_link(app: &App, token: &str) -> Answer {
    let body = json!({ "token": token, "device": "Phone" });
    app.say("/v1/sign_in_links/use", &body).await
}

/// Asks for a link to sign in, and gives its secret.
async fn sign_in_link(app: &App, who: &Person) -> String {
    ask(app, &who.email).await.ok(202);
    link(app, "sign_in", LinkFor::SignIn).await
}

#[tokio::test]
async fn a_link_signs_in_once() {
    let app = App::start().await;
    let ada = app.educator().await;
    let token = sign_in_link(&app, &ada).await;
    let session = use_link(&app, &token).await.ok(201);
    assert_eq!(session["account_id"], ada.account.to_string());
    assert_eq!(session["is_educator"], true);
    let signed_in = Person {
        token: session["access_token"].as_str().unwrap().to_owned(),
        session: SessionId(session["session_id"].as_str().unwrap().parse().unwrap()),
        ..ada
    };
    let list = app.get(&signed_in, "/v1/sessions").await.ok(200);
    assert_eq!(list["items"][0]["began_with"], "link");
    assert_eq!(list["items"][0]["device"], "Phone");
    use_link(&app, &token).await.problem(401, "link_refused");
}

#[tokio::test]
async fn a_link_used_many_times_at_once_signs_in_once() {
    let app = App::start().await;
    let ada = app.stranger().await;
    let token = sign_in_link(&app, &ada).await;
    let answers = join_all((0..8).map(|_| use_link(&app, &token))).await;
    let won = answers.iter().filter(|answer| answer.status == 201).count();
    assert_eq!(won, 1);
    for lost in answers.iter().filter(|answer| answer.status != 201) {
        lost.problem(401, "link_refused");
    }
    let begun = "SELECT id FROM sessions WHERE began_with = 'link'";
    assert_eq!(app.rows(begun).await.len(), 1);
}

#[tokio::test]
async fn links_that_cannot_be_used_get_the_same_answer() {
    let app = App::start().await;
    let ada = app.stranger().await;
    let used = sign_in_link(&app, &ada).await;
    use_link(&app, &used).await.ok(201);
    let revoked = sign_in_link(&app, &ada).await;
    app.sql("UPDATE account_links SET revoked_at = created_at WHERE used_at IS NULL")
        .await;
    let expired = sign_in_link(&app, &ada).await;
    app.sql(
        "UPDATE account_links SET created_at = created_at - interval '11 minutes',
            expires_at = expires_at - interval '11 minutes' WHERE revoked_at IS NULL",
    )
    .await;
    app.say("/v1/password_resets", &json!({ "email": ada.email }))
        .await
        .ok(202);
    let of_another_kind = link(&app, "reset", LinkFor::Reset).await;
    // Signed for signing in, but the row is of another kind.
    let mislabelled = link(&app, "reset", LinkFor::SignIn).await;
    ask(&app, "nobody@elmcourt.example").await.ok(202);
    let nobodys = link(&app, "sign_in", LinkFor::SignIn).await;
    let links = &app.desk.credentials().links;
    let of_no_row = links.token(LinkFor::SignIn, Uuid::now_v7());
    let forged = format!("{}AAAA", &of_no_row[..of_no_row.len() - 4]);
    let mut bodies = Vec::new();
    for token in [
        &used,
        &revoked,
        &expired,
        &of_another_kind,
        &mislabelled,
        &nobodys,
        &of_no_row,
        &forged,
        "",
        &"x".repeat(10_000),
    ] {
        let answer = use_link(&app, token).await;
        let mut body = answer.problem(401, "link_refused");
        body.as_object_mut().unwrap().remove("request_id");
        bodies.push(body);
    }
    bodies.dedup();
    assert_eq!(bodies.len(), 1, "{bodies:?}");
}

#[tokio::test]
async fn an_account_has_three_links_of_a_kind_open_at_most() {
    let mut settings = crate::frame::settings();
    settings.sign_in.letters_to_address = 0;
    let app = App::on(crate::frame::fresh_database().await, settings);
    let ada = app.stranger().await;
    let mut tokens = Vec::new();
    for _ in 0..4 {
        tokens.push(sign_in_link(&app, &ada).await);
    }
    app.say("/v1/password_resets", &json!({ "email": ada.email }))
        .await
        .ok(202);
    let list = app.get(&ada, "/v1/me/links").await.ok(200);
    let stands: Vec<(&str, &str)> = list["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(|link| {
            (
                link["kind"].as_str().unwrap(),
                link["state"].as_str().unwrap(),
            )
        })
        .collect();
    let expected = [
        ("reset", "open"),
        ("sign_in", "open"),
        ("sign_in", "open"),
        ("sign_in", "open"),
        ("sign_in", "revoked"),
    ];
    assert_eq!(stands, expected);
    use_link(&app, &tokens[0])
        .await
        .problem(401, "link_refused");
    use_link(&app, &tokens[1]).await.ok(201);
}

#[tokio::test]
async fn ones_own_links_can_be_taken_back_and_others_are_not_shown() {
    let app = App::start().await;
    let (ada, bob) = (app.stranger().await, app.stranger().await);
    let token = sign_in_link(&app, &ada).await;
    let list = app.get(&ada, "/v1/me/links").await.ok(200);
    assert_eq!(list["items"].as_array().unwrap().len(), 1);
    let id = list["items"][0]["id"].as_str().unwrap();
    assert!(!list.to_string().contains(&token));
    let none = app.get(&bob, "/v1/me/links").await.ok(200);
    assert_eq!(none["items"], json!([]));

    let path = format!("/v1/me/links/{id}");
    app.delete(&bob, &path).await.problem(404, "not_found");
    assert_eq!(app.delete(&ada, &path).await.status, 204);
    app.delete(&ada, &path).await.problem(404, "not_found");
    use_link(&app, &token).await.problem(401, "link_refused");
}

#[tokio::test]
async fn a_letter_is_owed_by_key_and_none_is_owed_to_nobody() {
    let app = App::start().await;
    let ada = app.stranger().await;
    ask(&app, &format!(" {} ", ada.email.to_uppercase()))
        .await
        .ok(202);
    ask(&app, "nobody@elmcourt.example").await.ok(202);
    ask(&app, "no address at all").await.ok(202);
    let letters = app
        .rows("SELECT kind, state, payload, purpose FROM letters ORDER BY id")
        .await;
    let states: Vec<&Value> = letters.iter().map(|letter| &letter["state"]).collect();
    assert_eq!(states, ["owed", "not_wanted", "not_wanted"]);
    for letter in &letters {
        let link = letter["payload"]["link"].as_str().unwrap();
        assert_eq!(letter["kind"], "sign_in");
        assert_eq!(letter["payload"], json!({ "link": link }));
        assert_eq!(letter["purpose"], link);
    }
    let text = json!(letters).to_string();
    assert!(!text.contains('@') && !text.contains("elmcourt"), "{text}");
}

#[tokio::test]
async fn letters_are_few_for_each_typed_address_and_each_place() {
    let mut settings = crate::frame::settings();
    settings.sign_in.letters_from_address = 8;
    let app = App::on(crate::frame::fresh_database().await, settings);
    let ada = app.stranger().await;
    let mut told = Vec::new();
    for email in [ada.email.as_str(), "nobody@elmcourt.example"] {
        for _ in 0..3 {
            ask(&app, email).await.ok(202);
        }
        let answer = ask(&app, email).await;
        assert!(answer.header("retry-after").is_some());
        told.push(answer.problem(429, "too_many_requests")["title"].clone());
    }
    assert_eq!(told[0], told[1]);
    // Eight were asked for from here, whatever came of them.
    app.say("/v1/password_resets", &json!({ "email": ada.email }))
        .await
        .problem(429, "too_many_requests");
    let body = json!({ "email": ada.email });
    app.say_from(2, "/v1/password_resets", &body).await.ok(202);
}
