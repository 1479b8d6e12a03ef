//! Pages behind the links of letters on which something is typed.

use crate::frame::{Answer, App, PASSWORD, Person, logged};
use crate::passwords::link;
use crate::post_office::PostOffice;
use reqwest::Method;
use serde_json::{Value, json};
use uuid::Uuid;
use wormrota::desk::credentials::LinkFor;

const CHOSEN: &str = "seven damp newspapers";

async fn see(app: &App, path: &str) -> Answer {
    app.ask(Method::GET, path).send().await
}

/// Sends the form of a page.
async fn send(app: &App, path: &str, password: &str, again: &str) -> Answer {
    let plus = |text: &str| text.replace(' ', "+");
    let form = format!("password={}&again={}", plus(password), plus(again));
    let ask = app.ask(Method::POST, path);
    ask.header("content-type", "application/x-www-form-urlencoded")
        .body(form)
        .send()
        .await
}

/// The page of somebody who is invited.
async fn invited(app: &App, keeper: &Person, site: Uuid, email: &str) -> String {
    let new = json!({ "email": email, "name": "Sam", "roles": ["resident"] });
    let made = app.invite(keeper, site, &new).await;
    format!("/invitations/{}", app.invitation_token(&made))
}

async fn signs_in(app: &App, email: &str, password: &str) -> u16 {
    let body = json!({ "email": email, "password": password });
    app.say("/v1/sessions", &body).await.status.as_u16()
}

/// Protects newcomers from having to write a program: the letter leads to a page, the page
/// takes a password, and says what comes next.
#[tokio::test]
async fn an_invitation_is_accepted_on_the_page_that_its_letter_leads_to() {
    let office = PostOffice::with_folder().await;
    let (_, _, letters) = office.invite(&["sam"]).await;
    let app = &office.app;
    assert_eq!(office.send().await, 1);
    let letter = office.letter(letters[0]);
    let (_, rest) = letter
        .split_once("https://bins.example.org/invitations/")
        .unwrap();
    let path = format!("/invitations/{}", rest.lines().next().unwrap());

    let before = app.contents().await;
    let page = see(app, &path).await;
    assert_eq!(page.status, 200, "{}", page.text);
    for part in [
        "Elm Court",
        "sam@elm.example",
        "type=\"password\"",
        "new-password",
    ] {
        assert!(page.text.contains(part), "{part}: {}", page.text);
    }
    let policy = page.header("content-security-policy").unwrap();
    assert!(policy.starts_with("default-src 'none'"), "{policy}");
    assert_eq!(page.header("cache-control"), Some("no-store"));
    for (password, again, said) in [
        (CHOSEN, "seven damp newspaper", "were not the same"),
        ("too short", "too short", "has 15 to 128 characters"),
        (
            "passwordpassword",
            "passwordpassword",
            "first that others would try",
        ),
    ] {
        let page = send(app, &path, password, again).await;
        assert_eq!(page.status, 422, "{}", page.text);
        assert!(page.text.contains(said), "{said}: {}", page.text);
        assert!(
            page.text.contains("<form method=\"post\">"),
            "{}",
            page.text
        );
        assert!(!page.text.contains(password), "{}", page.text);
    }
    // What is no form changes nothing: it is not taken for one that was left empty.
    let odd = app.ask(Method::POST, &path).json(&json!({})).send().await;
    assert!(odd.text.contains("<form method=\"post\">"), "{}", odd.text);
    assert_eq!(app.contents().await, before);

    let page = send(app, &path, CHOSEN, CHOSEN).await;
    assert_eq!(page.status, 200, "{}", page.text);
    for part in ["Welcome", "Before each of your turns", "ask Ada", "gloves"] {
        assert!(page.text.contains(part), "{part}: {}", page.text);
    }
    assert!(page.headers.get("set-cookie").is_none());
    // A page keeps nobody signed in, so nothing is left open.
    let begun = "SELECT id FROM sessions WHERE began_with = 'invitation'";
    assert_eq!(app.rows(begun).await, Vec::<Value>::new());
    assert_eq!(signs_in(app, "sam@elm.example", CHOSEN).await, 201);
    assert_eq!(send(app, &path, CHOSEN, CHOSEN).await.status, 404);
    assert_eq!(see(app, &path).await.status, 404);

    let token = path.rsplit('/').next().unwrap();
    for secret in [token, CHOSEN, "seven+damp"] {
        assert!(!logged().contains(secret), "{secret} was logged");
    }
    assert!(logged().contains("/invitations/{token}"));
}

/// Protects people who want no password, and those who have an account from a second one.
#[tokio::test]
async fn who_wants_no_password_has_none_and_who_has_an_account_keeps_it() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let path = invited(&app, &ada, site, "kim@elm.example").await;
    let page = send(&app, &path, "", "").await;
    assert_eq!(page.status, 200, "{}", page.text);
    assert!(page.text.contains("ask for a link"), "{}", page.text);
    let query = "SELECT password_hash FROM accounts WHERE email_lower = 'kim@elm.example'";
    assert_eq!(app.rows(query).await, [json!({ "password_hash": null })]);

    let bo = app.stranger().await;
    let path = invited(&app, &ada, site, &bo.email).await;
    let page = see(&app, &path).await;
    assert!(
        page.text.contains("an account with your address"),
        "{}",
        page.text
    );
    assert!(!page.text.contains("type=\"password\""), "{}", page.text);
    // A password that is sent all the same is not taken.
    let page = send(&app, &path, CHOSEN, CHOSEN).await;
    assert_eq!(page.status, 200, "{}", page.text);
    assert_eq!(signs_in(&app, &bo.email, CHOSEN).await, 401);
    assert_eq!(signs_in(&app, &bo.email, PASSWORD).await, 201);
    app.get(&bo, &format!("/v1/sites/{site}")).await.ok(200);
}

/// Protects people who read Spanish, and sites from links that were taken back or made up.
#[tokio::test]
async fn the_page_speaks_the_language_of_who_is_invited_and_ends_with_the_invitation() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let new = json!({
        "email": "sol@elm.example", "name": "Sol", "roles": ["resident"], "language": "es",
    });
    let made = app.invite(&ada, site, &new).await;
    let path = format!("/invitations/{}", app.invitation_token(&made));
    let page = see(&app, &path).await;
    assert!(page.text.contains("<html lang=\"es\">"), "{}", page.text);
    assert!(page.text.contains("Hola, Sol"), "{}", page.text);
    let gone = format!(
        "/v1/sites/{site}/invitations/{}",
        made["id"].as_str().unwrap()
    );
    assert_eq!(app.delete(&ada, &gone).await.status, 204);
    for path in [path.as_str(), "/invitations/xyz", "/password/xyz"] {
        assert_eq!(see(&app, path).await.status, 404, "{path}");
        assert_eq!(send(&app, path, CHOSEN, CHOSEN).await.status, 404, "{path}");
    }
}

/// Protects accounts: a new password is set once, by the page, and ends what was signed in.
#[tokio::test]
async fn a_new_password_is_set_on_its_page_once() {
    let app = App::start().await;
    let ada = app.educator().await;
    let asked = json!({ "email": ada.email });
    app.say("/v1/password_resets", &asked).await.ok(202);
    let token = link(&app, "reset", LinkFor::Reset).await;
    let path = format!("/password/{token}");
    let before = app.contents().await;
    let page = see(&app, &path).await;
    assert_eq!(page.status, 200, "{}", page.text);
    assert!(page.text.contains(&ada.email), "{}", page.text);
    for (password, again) in [("", ""), (CHOSEN, ""), ("too short", "too short")] {
        let page = send(&app, &path, password, again).await;
        assert_eq!(page.status, 422, "{}", page.text);
        assert_eq!(
            page.text.matches("has 15 to 128").count(),
            1,
            "{}",
            page.text
        );
    }
    assert_eq!(app.contents().await, before);

    let page = send(&app, &path, CHOSEN, CHOSEN).await;
    assert_eq!(page.status, 200, "{}", page.text);
    assert!(page.text.contains("has to sign in again"), "{}", page.text);
    assert_eq!(signs_in(&app, &ada.email, PASSWORD).await, 401);
    assert_eq!(signs_in(&app, &ada.email, CHOSEN).await, 201);
    app.get(&ada, "/v1/me").await.problem(401, "session_ended");
    assert_eq!(send(&app, &path, CHOSEN, CHOSEN).await.status, 404);
    // A link for signing in is nothing here.
    app.say("/v1/sign_in_links", &asked).await.ok(202);
    let other = link(&app, "sign_in", LinkFor::SignIn).await;
    assert_eq!(see(&app, &format!("/password/{other}")).await.status, 404);
    assert!(!logged().contains(&token));
}
