use crate::frame::{Answer, App, PASSWORD, Person, settings};
use futures_util::future::join_all;
use serde_json::{Value, json};
use uuid::Uuid;
use wormrota::desk::add_account::{NewAccount, add_account};
use wormrota::desk::credentials::LinkFor;

/// Another password that is good.
const OTHER: &str = "seven damp newspapers";

async fn sign_in(app: &App, email: &str, password: &str) -> Answer {
    let body = json!({ "email": email, "password": password });
    app.say("/v1/sessions", &body).await
}

async fn change(app: &App, who: &Person, current: &str, new: &str) -> Answer {
    let body = json!({ "current_password": current, "new_password": new });
    app.put(who, "/v1/me/password", &body).await
}

/// The secret of the newest link that a letter is owed for.
pub(crate) async fn link(app: &App, kind: &str, purpose: LinkFor) -> String {
    let rows = app
        .rows(&format!(
            "SELECT payload FROM letters WHERE kind = '{kind}'
             ORDER BY created_at DESC, id DESC LIMIT 1"
        ))
        .await;
    let id: Uuid = rows[0]["payload"]["link"]
        .as_str()
        .unwrap()
        .parse()
        .unwrap();
    app.desk.credentials().links.token(purpose, id)
}

/// Asks for a link to set a new password, and gives its secret.
async fn reset_link(app: &App, who: &Person) -> String {
    let body = json!({ "email": who.email });
    app.say("/v1/password_resets", &body).await.ok(202);
    link(app, "reset", LinkFor::Reset).await
}

async fn reset(app: &App, token: &str, new: &str) -> Answer {
    let body = json!({ "token": token, "new_password": new });
    app.say("/v1/password_resets/use", &body).await
}

#[tokio::test]
async fn a_changed_password_signs_in_and_ends_the_other_sessions() {
    let app = App::start().await;
    let ada = app.stranger().await;
    let elsewhere = Person {
        token: app.token(ada.account, app.session(ada.account).await),
        ..ada.clone()
    };
    let link = reset_link(&app, &ada).await;
    assert_eq!(change(&app, &ada, PASSWORD, OTHER).await.status, 204);

    app.get(&ada, "/v1/me").await.ok(200);
    app.get(&elsewhere, "/v1/me")
        .await
        .problem(401, "session_ended");
    sign_in(&app, &ada.email, PASSWORD)
        .await
        .problem(401, "sign_in_failed");
    sign_in(&app, &ada.email, OTHER).await.ok(201);
    reset(&app, &link, "eight damp newspapers")
        .await
        .problem(401, "link_refused");
}

#[tokio::test]
async fn the_current_password_is_needed_and_cannot_be_guessed_at_leisure() {
    let app = App::start().await;
    let ada = app.stranger().await;
    let body = json!({ "new_password": OTHER });
    app.put(&ada, "/v1/me/password", &body)
        .await
        .conflicting_fields(&["/current_password"]);
    change(&app, &ada, PASSWORD, OTHER).await;
    for _ in 0..10 {
        change(&app, &ada, PASSWORD, OTHER)
            .await
            .conflicting_fields(&["/current_password"]);
    }
    let answer = change(&app, &ada, OTHER, PASSWORD).await;
    answer.problem(429, "too_many_requests");
    assert!(answer.header("retry-after").is_some());
}

#[tokio::test]
async fn passwords_are_long_not_guessable_and_otherwise_free() {
    let app = App::start().await;
    let ada = app.stranger().await;
    for short_or_long in ["", "fourteen chars", &"x1 ".repeat(43)] {
        change(&app, &ada, PASSWORD, short_or_long)
            .await
            .wrong_fields(&["/new_password"]);
    }
    let address_again = ada.email.to_uppercase();
    for guessable in [
        "passwordpassword",
        "aaaaaaaaaaaaaaaa",
        "1234567890123456",
        "wormrota-wormrota",
        &address_again,
    ] {
        change(&app, &ada, PASSWORD, guessable)
            .await
            .conflicting_fields(&["/new_password"]);
    }
    let long = "lombriz \u{1FAB1} roja y papel mojado, ".repeat(3);
    let mut current = PASSWORD.to_owned();
    for good in [
        "all lower case and blanks",
        "  begins and ends blank  ",
        &long,
    ] {
        let answer = change(&app, &ada, &current, good).await;
        assert_eq!(answer.status, 204, "{good}: {}", answer.text);
        sign_in(&app, &ada.email, good).await.ok(201);
        // Nothing is cut off and no letter is changed.
        let nearly = format!("{}x", &good[..good.len() - 1]);
        sign_in(&app, &ada.email, &nearly)
            .await
            .problem(401, "sign_in_failed");
        current = good.to_owned();
    }
}

#[tokio::test]
async fn an_account_is_not_added_with_a_password_that_is_tried_early() {
    let app = App::start().await;
    let add = |password: &str| NewAccount {
        email: "otto@elmcourt.example".to_owned(),
        password: password.to_owned(),
        is_educator: false,
        member: None,
    };
    let now = app.now().await;
    for (password, code) in [
        ("red wigglers 7", "invalid_fields"),
        ("iloveyouiloveyou", "conflicting_fields"),
        ("otto@elmcourt.example", "conflicting_fields"),
    ] {
        let refused = add_account(&app.desk, add(password), now)
            .await
            .unwrap_err();
        assert_eq!(refused.code(), code, "{password}");
    }
    add_account(&app.desk, add(OTHER), now).await.unwrap();
}

#[tokio::test]
async fn a_reset_sets_the_password_and_leaves_nobody_signed_in() {
    let app = App::start().await;
    let ada = app.stranger().await;
    let session = sign_in(&app, &ada.email, PASSWORD).await.ok(201);
    let older = reset_link(&app, &ada).await;
    let newer = reset_link(&app, &ada).await;
    assert_eq!(reset(&app, &newer, OTHER).await.status, 204);

    app.get(&ada, "/v1/me").await.problem(401, "session_ended");
    let body = json!({ "refresh_token": session["refresh_token"] });
    app.say("/v1/refresh_tokens/use", &body)
        .await
        .problem(401, "refresh_refused");
    for dead in [&newer, &older] {
        reset(&app, dead, "eight damp newspapers")
            .await
            .problem(401, "link_refused");
    }
    sign_in(&app, &ada.email, PASSWORD)
        .await
        .problem(401, "sign_in_failed");
    sign_in(&app, &ada.email, OTHER).await.ok(201);
}

#[tokio::test]
async fn a_reset_link_used_many_times_at_once_sets_one_password() {
    let app = App::start().await;
    let ada = app.stranger().await;
    let token = reset_link(&app, &ada).await;
    let passwords: Vec<String> = (0..6).map(|n| format!("{n} damp newspapers")).collect();
    let answers = join_all(passwords.iter().map(|new| reset(&app, &token, new))).await;
    let mut set = Vec::new();
    for (answer, password) in answers.iter().zip(&passwords) {
        if answer.status == 204 {
            set.push(password);
        } else {
            answer.problem(401, "link_refused");
        }
    }
    assert_eq!(set.len(), 1, "{set:?}");
    for password in &passwords {
        let signed_in = sign_in(&app, &ada.email, password).await.status == 201;
        assert_eq!(signed_in, password == set[0], "{password}");
    }
}

#[tokio::test]
async fn whoever_signs_in_while_the_password_is_reset_is_signed_out_with_the_others() {
    let app = App::start().await;
    let ada = app.stranger().await;
    let token = reset_link(&app, &ada).await;
    let signing_in = join_all((0..6).map(|_| sign_in(&app, &ada.email, PASSWORD)));
    let (answers, answer) = tokio::join!(signing_in, reset(&app, &token, OTHER));
    assert_eq!(answer.status, 204, "{}", answer.text);
    for answer in answers {
        if answer.status != 201 {
            answer.problem(401, "sign_in_failed");
            continue;
        }
        let body: Value = answer.json();
        let body = json!({ "refresh_token": body["refresh_token"] });
        app.say("/v1/refresh_tokens/use", &body)
            .await
            .problem(401, "refresh_refused");
    }
    let live = "SELECT id FROM sessions WHERE revoked_at IS NULL";
    assert_eq!(app.rows(live).await, Vec::<Value>::new());
}

#[tokio::test]
async fn a_new_password_is_looked_at_only_behind_a_good_link() {
    let app = App::start().await;
    let ada = app.stranger().await;
    let token = reset_link(&app, &ada).await;
    reset(&app, "no link", "passwordpassword")
        .await
        .problem(401, "link_refused");
    reset(&app, "no link", "short")
        .await
        .wrong_fields(&["/new_password"]);
    for guessable in ["passwordpassword", &ada.email.to_uppercase()] {
        reset(&app, &token, guessable)
            .await
            .conflicting_fields(&["/new_password"]);
    }
    // The link is as good as before.
    assert_eq!(reset(&app, &token, OTHER).await.status, 204);
}

#[tokio::test]
async fn without_a_password_one_sets_the_first_while_signed_in() {
    let app = App::start().await;
    let ada = app.stranger().await;
    app.sql("UPDATE accounts SET password_hash = NULL").await;
    sign_in(&app, &ada.email, PASSWORD)
        .await
        .problem(401, "sign_in_failed");
    change(&app, &ada, PASSWORD, OTHER)
        .await
        .conflicting_fields(&["/current_password"]);
    let body = json!({ "new_password": OTHER });
    let answer = app.put(&ada, "/v1/me/password", &body).await;
    assert_eq!(answer.status, 204, "{}", answer.text);
    sign_in(&app, &ada.email, OTHER).await.ok(201);

    app.sql("UPDATE accounts SET email_lower = NULL").await;
    change(&app, &ada, OTHER, PASSWORD)
        .await
        .conflicting_fields(&["/new_password"]);
}

#[tokio::test]
async fn an_expired_reset_link_sets_nothing() {
    let app = App::start().await;
    let ada = app.stranger().await;
    let token = reset_link(&app, &ada).await;
    app.sql(
        "UPDATE account_links SET created_at = created_at - interval '31 minutes',
            expires_at = expires_at - interval '31 minutes'",
    )
    .await;
    reset(&app, &token, OTHER)
        .await
        .problem(401, "link_refused");
    sign_in(&app, &ada.email, PASSWORD).await.ok(201);
}

#[tokio::test]
async fn guessers_elsewhere_do_not_lock_the_owner_out() {
    let mut settings = settings();
    settings.sign_in.wrong_passwords_elsewhere = 6;
    let app = App::on(crate::frame::fresh_database().await, settings);
    let ada = app.stranger().await;
    let typed = |email: &str, password: &str| json!({ "email": email, "password": password });
    // The owner's own place and device.
    let at_home = sign_in(&app, &ada.email, PASSWORD).await.ok(201);
    let nobody = "nobody@elmcourt.example";
    let mut told = Vec::new();
    for email in [ada.email.as_str(), nobody] {
        for place in [2, 2, 2, 3, 3, 3] {
            app.say_from(place, "/v1/sessions", &typed(email, "ten red wigglers"))
                .await
                .problem(401, "sign_in_failed");
        }
        let answer = app
            .say_from(4, "/v1/sessions", &typed(email, PASSWORD))
            .await;
        let mut body = answer.problem(429, "too_many_requests");
        for member in ["request_id", "detail"] {
            body.as_object_mut().unwrap().remove(member);
        }
        told.push(body);
        assert!(answer.header("retry-after").is_some());
    }
    assert_eq!(told[0], told[1]);

    sign_in(&app, &ada.email, PASSWORD).await.ok(201);
    let mut known_device = typed(&ada.email, PASSWORD);
    known_device["refresh_token"] = at_home["refresh_token"].clone();
    app.say_from(5, "/v1/sessions", &known_device).await.ok(201);
    // A token of another account shows nothing.
    let eve = app.stranger().await;
    let eves = sign_in(&app, &eve.email, PASSWORD).await.ok(201);
    let mut not_hers = typed(&ada.email, PASSWORD);
    not_hers["refresh_token"] = eves["refresh_token"].clone();
    app.say_from(7, "/v1/sessions", &not_hers)
        .await
        .problem(429, "too_many_requests");
    // A letter reaches the owner wherever they are.
    let wanted = json!({ "email": ada.email });
    app.say_from(6, "/v1/sign_in_links", &wanted).await.ok(202);
    let token = link(&app, "sign_in", LinkFor::SignIn).await;
    let by_link = json!({ "token": token });
    app.say_from(6, "/v1/sign_in_links/use", &by_link)
        .await
        .ok(201);
    // And that place is the owner's now.
    app.say_from(6, "/v1/sessions", &typed(&ada.email, PASSWORD))
        .await
        .ok(201);
}

#[tokio::test]
async fn one_place_gets_ten_wrong_passwords_for_one_account() {
    let app = App::start().await;
    let ada = app.stranger().await;
    for _ in 0..12 {
        // A right password gives its try back.
        sign_in(&app, &ada.email, PASSWORD).await.ok(201);
    }
    for _ in 0..10 {
        sign_in(&app, &ada.email, "ten red wigglers")
            .await
            .problem(401, "sign_in_failed");
    }
    let answer = sign_in(&app, &ada.email, PASSWORD).await;
    answer.problem(429, "too_many_requests");
    let body = json!({ "email": ada.email, "password": PASSWORD });
    app.say_from(2, "/v1/sessions", &body).await.ok(201);
}

#[tokio::test]
async fn one_place_cannot_try_one_password_on_everybody() {
    let mut settings = settings();
    settings.sign_in.wrong_passwords_from_address = 4;
    let app = App::on(crate::frame::fresh_database().await, settings);
    let (ada, bob) = (app.stranger().await, app.stranger().await);
    sign_in(&app, &ada.email, PASSWORD).await.ok(201);
    for n in 0..4 {
        sign_in(&app, &format!("p{n}@elmcourt.example"), OTHER)
            .await
            .problem(401, "sign_in_failed");
    }
    sign_in(&app, &bob.email, PASSWORD)
        .await
        .problem(429, "too_many_requests");
    // Whoever signed in from there before is no stranger there.
    sign_in(&app, &ada.email, PASSWORD).await.ok(201);
}
