//! Links of letters that nobody followed in time.

use crate::cover_ground::{away, held, look, look_at, without_the_courts_own};
use crate::cover_links::{link, press};
use crate::frame::App;
use crate::place_ground::PlaceGround;
use reqwest::Method;
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

/// Protects bins from helpers who believe that they have given back what they still hold.
#[tokio::test]
async fn giving_back_ends_before_the_turn_and_says_whom_to_tell() {
    let ground = PlaceGround::open().await;
    without_the_courts_own(&ground).await;
    let [ben, ada] = ground.residents().await;
    let turn = held(&ground, "2026-06-20", &[&ben]).await;
    away(&ground, &ben, ("2026-06-18", None)).await;
    let app = &ground.app;
    look(app).await;
    let yes = link(app, &ada, "cover_call", LetterDeed::CoverYes).await;
    press(app, &yes).await;
    let back = link(app, &ada, "cover_taken", LetterDeed::CoverBack).await;
    run_out(app, "cover_taken", &["links_until"]).await;
    is_late(app, &back, "tell whoever looks after the bins at once").await;
    run_out(app, "cover_taken", &["too_late_at"]).await;
    is_late(app, &back, "The turn is over").await;
    assert_eq!(ground.holders(turn).await, [Some(ada.id)]);
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
