//! Links of letters that nobody followed in time.

use crate::cover_ground::{away, held, look, look_at, without_the_courts_own};
use crate::cover_links::{link, press};
use crate::frame::App;
use crate::place_ground::PlaceGround;
use reqwest::Method;
use wormrota_domain::access::Role;
use wormrota_domain::letters::LetterDeed;

/// Both the page and its button say that the time is over, and this; nothing is changed.
async fn is_late(app: &App, path: &str, says: &str) {
    let before = app.contents().await;
    for method in [Method::GET, Method::POST] {
        let ask = app.ask(method, path);
        let ask = ask.header("content-type", "application/x-www-form-urlencoded");
        let page = ask.body("").send().await;
        assert_eq!(page.status, 404, "{}", page.text);
        for part in ["The time for this is over", "This link worked until", says] {
            assert!(page.text.contains(part), "{part}: {}", page.text);
        }
        assert!(!page.text.contains("<form"), "{}", page.text);
    }
    assert_eq!(app.contents().await, before);
}

async fn run_out(app: &App, kind: &str, columns: &[&str]) {
    for column in columns {
        let sql = format!("UPDATE letters SET {column} = created_at WHERE kind = '{kind}'");
        app.sql(&sql).await;
    }
}

/// Protects whoever answers a call from a page that does not say why it does nothing, and turns
/// from answers that come when they are over.
#[tokio::test]
async fn an_answer_to_a_call_ends_with_the_turn() {
    let ground = PlaceGround::open().await;
    without_the_courts_own(&ground).await;
    let [ben, ada] = ground.residents().await;
    let turn = held(&ground, "2026-06-20", &[&ben]).await;
    away(&ground, &ben, ("2026-06-18", None)).await;
    let app = &ground.app;
    look(app).await;
    run_out(app, "cover_call", &["links_until", "too_late_at"]).await;
    for deed in [LetterDeed::CoverYes, LetterDeed::CoverNo] {
        let path = link(app, &ada, "cover_call", deed).await;
        is_late(app, &path, "The turn is over").await;
    }
    assert_eq!(ground.holders(turn).await, [None]);

    // The same letter can still be ended, and in the reader's language it is said as well.
    let stop = link(app, &ada, "cover_call", LetterDeed::Stop).await;
    let page = app.ask(Method::GET, &stop).send().await;
    assert_eq!(page.status, 200, "{}", page.text);
    app.sql(&format!(
        "UPDATE members SET language = 'es' WHERE id = '{}'",
        ada.id
    ))
    .await;
    let yes = link(app, &ada, "cover_call", LetterDeed::CoverYes).await;
    let page = press(app, &yes).await;
    assert!(page.contains("El plazo para esto ha terminado"), "{page}");
    assert!(page.contains("<html lang=\"es\">"), "{page}");
}

/// Protects bins from helpers who believe that they have given back what they still hold: once it
/// is too late the page says so before anybody presses a button, and leads to what still works.
#[tokio::test]
async fn giving_back_ends_before_the_turn_and_leads_to_what_still_works() {
    let ground = PlaceGround::open().await;
    without_the_courts_own(&ground).await;
    let [ben, ada] = ground.residents().await;
    let keeper = ground.neighbour(Role::Caretaker).await;
    ground.limit(&keeper, "share", "'none'").await;
    let turn = held(&ground, "2026-06-20", &[&ben]).await;
    away(&ground, &ben, ("2026-06-18", None)).await;
    let app = &ground.app;
    look(app).await;
    let yes = link(app, &ada, "cover_call", LetterDeed::CoverYes).await;
    press(app, &yes).await;
    let back = link(app, &ada, "cover_taken", LetterDeed::CoverBack).await;
    // The last hour of the day before, in Chicago.
    app.set_clock("2026-06-20T04:30:00Z").await;
    let page = app.ask(Method::GET, &back).send().await;
    assert_eq!(page.status, 200, "{}", page.text);
    app.set_clock("2026-06-20T05:00:00Z").await;
    let name = app
        .rows(&format!(
            "SELECT name FROM member_names WHERE member_id = '{}'",
            keeper.id
        ))
        .await;
    let cannot = link(app, &ada, "cover_taken", LetterDeed::CannotCome).await;
    for page in [
        app.ask(Method::GET, &back).send().await.text,
        press(app, &back).await,
    ] {
        for part in [
            "too late to give the place",
            "until the end of Friday, June 19",
            name[0]["name"].as_str().unwrap(),
            &format!("<a href=\"{cannot}\">I cannot come</a>"),
        ] {
            assert!(page.contains(part), "{part}: {page}");
        }
        assert!(!page.contains("<form"), "{page}");
    }
    assert_eq!(ground.holders(turn).await, [Some(ada.id)]);
    let page = app.ask(Method::GET, &cannot).send().await;
    assert_eq!(page.status, 200, "{}", page.text);
    press(app, &cannot).await;
    assert_eq!(ground.holders(turn).await, [None]);
    run_out(app, "cover_taken", &["links_until", "too_late_at"]).await;
    is_late(app, &back, "The turn is over").await;
}

/// Protects people from a button that would only refuse: a turn that is over by the site's own
/// time, or was called off, is not offered to be given up.
#[tokio::test]
async fn saying_that_one_cannot_come_is_not_offered_where_it_would_be_refused() {
    let ground = PlaceGround::open().await;
    let [ben] = ground.residents().await;
    let turn = held(&ground, "2026-06-20", &[&ben]).await;
    let app = &ground.app;
    look_at(app, "2026-06-18T17:00:00Z").await;
    let path = link(app, &ben, "turn_coming", LetterDeed::CannotCome).await;
    let off = format!("UPDATE turns SET called_off = 'hand' WHERE id = '{turn}'");
    app.sql(&off).await;
    for page in [
        app.ask(Method::GET, &path).send().await.text,
        press(app, &path).await,
    ] {
        assert!(page.contains("was called off"), "{page}");
        assert!(!page.contains("<form"), "{page}");
    }
    app.sql("UPDATE turns SET called_off = NULL").await;
    app.set_clock("2026-06-21T05:00:00Z").await;
    is_late(app, &path, "The turn is over").await;
    assert_eq!(ground.holders(turn).await, [Some(ben.id)]);
}

/// Protects places from a reminder of long ago.
#[tokio::test]
async fn saying_that_one_cannot_come_ends_with_the_turn() {
    let ground = PlaceGround::open().await;
    let [ben] = ground.residents().await;
    let turn = held(&ground, "2026-06-20", &[&ben]).await;
    let app = &ground.app;
    look_at(app, "2026-06-18T17:00:00Z").await;
    let path = link(app, &ben, "turn_coming", LetterDeed::CannotCome).await;
    let page = app.ask(Method::GET, &path).send().await;
    assert_eq!(page.status, 200, "{}", page.text);
    run_out(app, "turn_coming", &["links_until", "too_late_at"]).await;
    is_late(app, &path, "The turn is over").await;
    assert_eq!(ground.holders(turn).await, [Some(ben.id)]);
}
