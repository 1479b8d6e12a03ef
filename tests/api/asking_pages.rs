//! The pages on which somebody asks for a link by themselves, and the one that signs in.

use crate::frame::{Answer, App, logged};
use crate::passwords::link;
use crate::post_office::PostOffice;
use reqwest::Method;
use serde_json::json;
use wormrota::desk::credentials::LinkFor;

async fn see(app: &App, path: &str) -> Answer {
    app.ask(Method::GET, path).send().await
}

async fn type_in(app: &App, path: &str, email: &str) -> Answer {
    let ask = app.ask(Method::POST, path);
    ask.header("content-type", "application/x-www-form-urlencoded")
        .body(format!("email={}", email.replace('@', "%40")))
        .send()
        .await
}

/// Protects people who forgot a password from having to write a program, and everybody's address
/// from whoever tries which has an account.
#[tokio::test]
async fn a_link_is_asked_for_on_a_page_that_tells_nobody_who_has_an_account() {
    let app = App::start().await;
    let ada = app.stranger().await;
    for (path, kind) in [("/password", "reset"), ("/sign_in", "sign_in")] {
        let before = app.contents().await;
        let page = see(&app, path).await;
        assert_eq!(page.status, 200, "{}", page.text);
        for part in [
            "<form method=\"post\">",
            "type=\"email\"",
            "Send me the link",
        ] {
            assert!(page.text.contains(part), "{part}: {}", page.text);
        }
        assert!(!page.text.contains("<script"), "{}", page.text);
        for typed in ["", "ada", "ada@elm"] {
            let page = type_in(&app, path, typed).await;
            assert_eq!(page.status, 422, "{}", page.text);
            assert!(page.text.contains("is no e-mail address"), "{}", page.text);
            assert!(page.text.contains("<form"), "{}", page.text);
        }
        let odd = app
            .ask(Method::POST, path)
            .json(&json!({ "email": ada.email }));
        assert!(odd.send().await.text.contains("<form"));
        assert_eq!(app.contents().await, before);

        let known = type_in(&app, path, &ada.email).await;
        let unknown = type_in(&app, path, "nobody@elmcourt.example").await;
        assert_eq!(known.status, 200, "{}", known.text);
        assert!(
            known
                .text
                .contains("If there is an account with this address"),
            "{}",
            known.text
        );
        assert_eq!((known.status, &known.text), (unknown.status, &unknown.text));
        let query =
            format!("SELECT state FROM letters WHERE kind = '{kind}' ORDER BY created_at, id");
        let states = ["owed", "not_wanted"].map(|state| json!({ "state": state }));
        assert_eq!(app.rows(&query).await, states);
    }
    assert!(!logged().contains(&ada.email));
}

/// Protects mailboxes from being filled through the page: it has the API's own limits.
#[tokio::test]
async fn the_page_counts_as_the_api_does() {
    let app = App::start().await;
    let ada = app.stranger().await;
    let mut told = Vec::new();
    for email in [ada.email.as_str(), "nobody@elmcourt.example"] {
        let body = json!({ "email": email });
        app.say("/v1/password_resets", &body).await.ok(202);
        for _ in 0..2 {
            assert_eq!(type_in(&app, "/password", email).await.status, 200);
        }
        let page = type_in(&app, "/password", email).await;
        assert_eq!(page.status, 429, "{}", page.text);
        let wait: u64 = page.header("retry-after").unwrap().parse().unwrap();
        assert!(wait > 0);
        assert!(
            page.text.contains("<h1>Please wait a little</h1>"),
            "{}",
            page.text
        );
        told.push(page.text);
        let denied = app.say("/v1/password_resets", &body).await;
        denied.problem(429, "too_many_requests");
    }
    // Only the minutes may differ, by one that went by.
    let words = |page: &String| page.replace(|c: char| c.is_ascii_digit(), "");
    assert_eq!(words(&told[0]), words(&told[1]));
}

/// Protects people of whom nothing is known from a page that they cannot read.
#[tokio::test]
async fn a_page_for_anybody_speaks_the_language_of_the_browser() {
    let app = App::start().await;
    for (asked, said) in [
        ("es-MX,es;q=0.9,en;q=0.8", "Tu dirección de correo"),
        ("de,en;q=0.5", "Your e-mail address"),
    ] {
        let page = app.ask(Method::GET, "/password");
        let page = page.header("accept-language", asked).send().await;
        assert!(page.text.contains(said), "{asked}: {}", page.text);
    }
    let dead = app.ask(Method::GET, "/invitations/xyz");
    let dead = dead.header("accept-language", "es").send().await;
    assert!(
        dead.text.contains("Este enlace ya no hace nada"),
        "{}",
        dead.text
    );
}

/// Protects whoever has a letter and no command line: the page signs in once, and shows what a
/// program needs to go on from there.
#[tokio::test]
async fn a_link_signs_in_on_the_page_that_its_letter_leads_to() {
    let office = PostOffice::with_folder().await;
    let app = &office.app;
    let ada = app.stranger().await;
    let asked = json!({ "email": ada.email });
    app.say("/v1/sign_in_links", &asked).await.ok(202);
    let token = link(app, "sign_in", LinkFor::SignIn).await;
    assert_eq!(office.send().await, 1);
    let query = "SELECT id FROM letters WHERE kind = 'sign_in'";
    let letter = office.letter(crate::frame::id_of(&app.rows(query).await[0]));
    let path = format!("/sign_in/{token}");
    for part in [
        format!("Sign in:\r\nhttps://bins.example.org{path}\r\n"),
        "If you would rather have a password:\r\nhttps://bins.example.org/password\r\n".to_owned(),
    ] {
        assert!(letter.contains(&part), "{part}: {letter}");
    }

    let before = app.contents().await;
    let page = see(app, &path).await;
    assert_eq!(page.status, 200, "{}", page.text);
    for part in [
        "for the program that you use",
        &ada.email,
        "you need not sign in",
    ] {
        assert!(page.text.contains(part), "{part}: {}", page.text);
    }
    assert_eq!(app.contents().await, before);

    let form = "application/x-www-form-urlencoded";
    let press = async || {
        let ask = app.ask(Method::POST, &path).header("content-type", form);
        ask.body("").send().await
    };
    let page = press().await;
    assert_eq!(page.status, 200, "{}", page.text);
    assert_eq!(page.header("cache-control"), Some("no-store"));
    assert!(page.headers.get("set-cookie").is_none());
    let shown: Vec<&str> = page.text.split("<pre>").skip(1).collect();
    let shown: Vec<&str> = shown
        .iter()
        .map(|one| one.split('<').next().unwrap())
        .collect();
    let [access, refresh] = shown[..] else {
        panic!("{}", page.text)
    };
    assert!(
        page.text.contains("Access token, which works until"),
        "{}",
        page.text
    );
    let me = app.ask(Method::GET, "/v1/me");
    let me = me.header("authorization", &format!("Bearer {access}"));
    assert_eq!(me.send().await.ok(200)["email"], json!(ada.email));
    let next = json!({ "refresh_token": refresh });
    app.say("/v1/refresh_tokens/use", &next).await.ok(201);

    // It is shown once.
    let again = press().await;
    assert_eq!(again.status, 404, "{}", again.text);
    assert!(
        again.text.contains("has signed in with this link"),
        "{}",
        again.text
    );
    let begun = app.rows("SELECT id FROM sessions WHERE began_with = 'link'");
    assert_eq!(begun.await.len(), 1);
    for secret in [token.as_str(), access, refresh] {
        assert!(!logged().contains(secret), "{secret} was logged");
    }
    assert!(logged().contains("/sign_in/{token}"));
}
