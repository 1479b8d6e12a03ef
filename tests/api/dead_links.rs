//! Links to pages of their own that do nothing any more: who holds one is told why.

use crate::frame::{Answer, App, Person};
use crate::passwords::link;
use reqwest::Method;
use serde_json::{Value, json};
use uuid::Uuid;
use wormrota::desk::credentials::LinkFor;

const CHOSEN: &str = "password=seven+damp+newspapers&again=seven+damp+newspapers";

async fn see(app: &App, path: &str) -> Answer {
    app.ask(Method::GET, path).send().await
}

async fn press(app: &App, path: &str) -> Answer {
    let ask = app.ask(Method::POST, path);
    ask.header("content-type", "application/x-www-form-urlencoded")
        .body(CHOSEN)
        .send()
        .await
}

/// Both the page and its button say these; neither asks for anything or changes anything.
async fn is_over(app: &App, path: &str, says: &[&str]) {
    let before = app.contents().await;
    for page in [see(app, path).await, press(app, path).await] {
        assert_eq!(page.status, 404, "{}", page.text);
        for part in says {
            assert!(page.text.contains(part), "{part}: {}", page.text);
        }
        assert!(!page.text.contains("<form"), "{}", page.text);
    }
    assert_eq!(app.contents().await, before);
}

/// All of these show one and the same page.
async fn tell_nothing(app: &App, paths: &[String]) {
    let mut pages = Vec::new();
    for path in paths {
        for page in [see(app, path).await, press(app, path).await] {
            assert_eq!(page.status, 404, "{path}");
            pages.push(page.text);
        }
    }
    pages.dedup();
    assert_eq!(pages.len(), 1, "{pages:#?}");
    assert!(
        pages[0].contains("This link does nothing any more"),
        "{}",
        pages[0]
    );
}

/// The path of an invitation, and the path of the API to it.
async fn invited(app: &App, keeper: &Person, site: Uuid, name: &str) -> (String, String) {
    let email = format!("{name}@elm.example");
    let new = json!({ "email": email, "name": name, "roles": ["resident"] });
    let made = app.invite(keeper, site, &new).await;
    let id = made["id"].as_str().unwrap();
    (
        format!("/invitations/{}", app.invitation_token(&made)),
        format!("/v1/sites/{site}/invitations/{id}"),
    )
}

/// Protects newcomers from asking for an invitation that they do not need, and from waiting for
/// one that they have to ask for.
#[tokio::test]
async fn a_dead_invitation_says_whether_there_is_anything_to_do() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let there = "You belong to the worm bins of Elm Court already, so there is nothing to do";
    let (used, _) = invited(&app, &ada, site, "sam").await;
    assert_eq!(press(&app, &used).await.status, 200);
    is_over(&app, &used, &[there]).await;

    let (expired, _) = invited(&app, &ada, site, "kim").await;
    app.sql(
        "UPDATE invitations SET created_at = created_at - interval '15 days',
            expires_at = expires_at - interval '15 days' WHERE accepted_at IS NULL",
    )
    .await;
    let says = ["Elm Court has run out", "ask Ada for a new invitation"];
    is_over(&app, &expired, &says).await;

    let (old, path) = invited(&app, &ada, site, "lee").await;
    let renewed = app.ask(Method::POST, &format!("{path}/replacement"));
    let renewed = renewed.by(&ada).send().await.ok(201);
    is_over(&app, &old, &["or a newer letter took its place", "ask Ada"]).await;
    let newer = format!("/invitations/{}", app.invitation_token(&renewed));
    assert_eq!(press(&app, &newer).await.status, 200);
    // Whoever joined by the newer one belongs, whichever link they follow.
    is_over(&app, &old, &[there]).await;

    app.sql("UPDATE members SET language = 'es'").await;
    let says = [
        "<html lang=\"es\">",
        "ha caducado",
        "invitación nueva a Ada",
    ];
    is_over(&app, &expired, &says).await;

    // Whoever left is told no more than a stranger.
    app.sql("UPDATE members SET left_at = joined_at WHERE account_id IS NULL")
        .await;
    let links = &app.desk.credentials().links;
    let of_nothing = links.token(LinkFor::Invitation, Uuid::now_v7());
    let foreign = links.token(LinkFor::Reset, Uuid::now_v7());
    let tell = [
        expired,
        format!("/invitations/{of_nothing}"),
        format!("/invitations/{foreign}"),
        format!("{used}x"),
        "/invitations/xyz".to_owned(),
    ];
    tell_nothing(&app, &tell).await;
}

async fn asked(app: &App, who: &Person, path: &str) {
    app.say(path, &json!({ "email": who.email })).await.ok(202);
}

/// Protects people who open an old letter from guessing why nothing happens, and gives them the
/// way to a new one.
#[tokio::test]
async fn a_dead_link_of_an_account_says_why_and_leads_to_a_new_one() {
    let mut settings = crate::frame::settings();
    settings.sign_in.letters_to_address = 0;
    let app = App::on(crate::frame::fresh_database().await, settings);
    let ada = app.educator().await;
    app.site(&ada).await;
    for (kind, purpose, api, page, used) in [
        (
            "reset",
            LinkFor::Reset,
            "/v1/password_resets",
            "/password",
            "A new password was set with this link",
        ),
        (
            "sign_in",
            LinkFor::SignIn,
            "/v1/sign_in_links",
            "/sign_in",
            "Somebody has signed in with this link",
        ),
    ] {
        let another = format!("<a href=\"{page}\">");
        let mut dead = Vec::new();
        for (column, says) in [
            ("used_at = created_at", used),
            (
                "revoked_at = created_at",
                "This link was taken back, or something newer",
            ),
            (
                "expires_at = created_at + interval '1 microsecond'",
                "The time of this link is over",
            ),
        ] {
            asked(&app, &ada, api).await;
            let path = format!("{page}/{}", link(&app, kind, purpose).await);
            assert_eq!(see(&app, &path).await.status, 200);
            app.sql(&format!(
                "UPDATE account_links SET {column}
                 WHERE id = (SELECT id FROM account_links ORDER BY created_at DESC LIMIT 1)"
            ))
            .await;
            is_over(&app, &path, &[says, &another]).await;
            dead.push(path);
        }
        app.sql("UPDATE members SET language = 'es'").await;
        is_over(&app, &dead[0], &["<html lang=\"es\">", "ya no hace nada"]).await;
        app.sql("UPDATE members SET language = NULL").await;

        // What is nobody's says no more than what never was.
        let nobody = json!({ "email": "nobody@elm.example" });
        app.say(api, &nobody).await.ok(202);
        let nobodys = link(&app, kind, purpose).await;
        let links = &app.desk.credentials().links;
        let other = match purpose {
            LinkFor::Reset => LinkFor::SignIn,
            _ => LinkFor::Reset,
        };
        let tokens = [
            nobodys,
            links.token(purpose, Uuid::now_v7()),
            links.token(other, Uuid::now_v7()),
            "xyz".to_owned(),
        ];
        let paths = tokens.map(|token| format!("{page}/{token}"));
        tell_nothing(&app, &paths).await;
        assert!(see(&app, &paths[0]).await.text.contains(&another));
    }
    let begun = app.rows("SELECT id FROM sessions WHERE began_with = 'link'");
    assert_eq!(begun.await, Vec::<Value>::new());
}
