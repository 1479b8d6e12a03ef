//! Answering a call by the links of its letter.

use crate::cover_ground::{asked, away, call, call_of, held, look, says, without_the_courts_own};
use crate::frame::{App, id_of};
use crate::place_ground::{Neighbour, PlaceGround};
use reqwest::Method;
use uuid::Uuid;
use wormrota::desk::credentials::LinkFor;
use wormrota_domain::letters::LetterDeed;

/// The path of a link in the letter of a kind to somebody.
pub(crate) async fn link(app: &App, to: &Neighbour, kind: &str, deed: LetterDeed) -> String {
    let query = format!(
        "SELECT id FROM letters WHERE kind = '{kind}' AND member_id = '{}'",
        to.id
    );
    let letter: Uuid = id_of(&app.rows(&query).await[0]);
    let links = &app.desk.credentials().links;
    let token = links.token(LinkFor::Letter(deed), letter);
    format!("/letters/{}/{token}", deed.code())
}

async fn follow(app: &App, path: &str) -> String {
    app.ask(Method::GET, path).send().await.text
}

pub(crate) async fn press(app: &App, path: &str) -> String {
    let ask = app.ask(Method::POST, path);
    let ask = ask.header("content-type", "application/x-www-form-urlencoded");
    ask.body("").send().await.text
}

/// Protects people who answer from their mail, and places from programs that follow every link:
/// the page asks, its button does, and whoever comes second is told so in kind words.
#[tokio::test]
async fn a_yes_by_link_has_the_place_and_can_be_given_back() {
    let ground = PlaceGround::open().await;
    without_the_courts_own(&ground).await;
    let [ben, ada, cy] = ground.residents().await;
    let turn = held(&ground, "2026-06-20", &[&ben]).await;
    away(&ground, &ben, ("2026-06-18", None)).await;
    let app = &ground.app;
    look(app).await;
    let yes = link(app, &ada, "cover_call", LetterDeed::CoverYes).await;
    let asks = follow(app, &yes).await;
    assert!(asks.contains("Yes, I will come"), "{asks}");
    assert_eq!(ground.holders(turn).await, [None]);
    let done = press(app, &yes).await;
    assert!(done.contains("is yours"), "{done}");
    assert_eq!(ground.holders(turn).await, [Some(ada.id)]);
    // Again, it is done already.
    assert!(follow(app, &yes).await.contains("is yours"));
    let late = link(app, &cy, "cover_call", LetterDeed::CoverYes).await;
    let quicker = press(app, &late).await;
    assert!(quicker.contains("omebody else was quicker"), "{quicker}");
    assert!(quicker.contains("hank you all the same"), "{quicker}");

    let back = link(app, &ada, "cover_taken", LetterDeed::CoverBack).await;
    assert!(follow(app, &back).await.contains("I cannot come after all"));
    assert_eq!(ground.holders(turn).await, [Some(ada.id)]);
    press(app, &back).await;
    assert_eq!(ground.holders(turn).await, [None]);
    // Who was quicker is none any more, and a late yes counts.
    press(app, &late).await;
    assert_eq!(ground.holders(turn).await, [Some(cy.id)]);
    // Shortly before the turn a yes stands.
    app.set_clock("2026-06-20T17:00:00Z").await;
    let settled = link(app, &cy, "cover_taken", LetterDeed::CoverBack).await;
    let too_late = press(app, &settled).await;
    assert!(
        too_late.contains("too late to give the place"),
        "{too_late}"
    );
    assert_eq!(ground.holders(turn).await, [Some(cy.id)]);
}

/// Protects whoever gives a place back from believing that others are asked where nobody is left to
/// be: the page says what is true.
#[tokio::test]
async fn the_page_says_what_becomes_of_a_place_that_was_given_back() {
    let ground = PlaceGround::open().await;
    without_the_courts_own(&ground).await;
    let [ben, ada, cy, di] = ground.residents().await;
    held(&ground, "2026-06-20", &[&ben]).await;
    let id = call_of(&away(&ground, &ben, ("2026-06-18", None)).await);
    let app = &ground.app;
    look(app).await;
    let whom = asked(app).await;
    let helper = [&ada, &cy].into_iter().find(|one| whom.contains(&one.id));
    let helper = helper.unwrap();
    says(&ground, helper, id, "yes").await.ok(200);
    let back = link(app, helper, "cover_taken", LetterDeed::CoverBack).await;
    let done = press(app, &back).await;
    assert!(done.contains("omebody else is looked for"), "{done}");
    // The third is the only one who was not asked.
    let people = [&ada, &cy, &di].into_iter();
    let third = { people }.find(|one| !whom.contains(&one.id)).unwrap();
    ground.limit(third, "share", "'none'").await;
    let done = follow(app, &back).await;
    assert!(done.contains("obody is left who could be asked"), "{done}");
    says(&ground, third, id, "yes").await.ok(200);
    let done = follow(app, &back).await;
    assert!(done.contains("omebody else comes"), "{done}");
}

/// Protects hard rules from a yes by link, and whoever says no from being asked why.
#[tokio::test]
async fn a_link_says_why_somebody_may_not_come_and_takes_a_no() {
    let ground = PlaceGround::open().await;
    without_the_courts_own(&ground).await;
    let [ben, ada] = ground.residents().await;
    let turn = held(&ground, "2026-06-20", &[&ben]).await;
    let told = away(&ground, &ben, ("2026-06-18", None)).await;
    let app = &ground.app;
    look(app).await;
    let yes = link(app, &ada, "cover_call", LetterDeed::CoverYes).await;
    let no = link(app, &ada, "cover_call", LetterDeed::CoverNo).await;
    away(&ground, &ada, ("2026-06-19", Some("2026-06-21"))).await;
    let page = press(app, &yes).await;
    assert!(page.contains("you are away then"), "{page}");
    assert_eq!(ground.holders(turn).await, [None]);
    let page = press(app, &no).await;
    assert!(page.contains("you are not asked again"), "{page}");
    let answers = app.rows("SELECT state FROM call_answers").await;
    assert_eq!(answers[0]["state"], "no");
    assert_eq!(call(app).await["state"], "open");
    says(&ground, &ada, call_of(&told), "yes")
        .await
        .problem(409, "rules_broken");
}

/// Protects a bin from a holder who cannot come and has only their mail at hand: any letter that
/// names a turn can offer the link.
#[tokio::test]
async fn a_letter_about_a_turn_can_say_that_one_cannot_come() {
    let ground = PlaceGround::open().await;
    let [ben] = ground.residents().await;
    let turn = held(&ground, "2026-06-20", &[&ben]).await;
    let (app, site, letter) = (&ground.app, ground.court.site, Uuid::now_v7());
    app.sql(&format!(
        "INSERT INTO letters (id, site_id, kind, purpose, member_id, payload, goes_first, state,
            due_at, too_late_at, attempts, created_at, links_until)
         VALUES ('{letter}', '{site}', 'booking_shrunk', 'test', '{}',
            '{{\"turn\": \"{turn}\"}}', false, 'owed', now(), now() + interval '9 days', 0, now(),
            now() + interval '9 days')",
        ben.id
    ))
    .await;
    let links = &app.desk.credentials().links;
    let deed = LetterDeed::CannotCome;
    let path = format!(
        "/letters/{}/{}",
        deed.code(),
        links.token(LinkFor::Letter(deed), letter)
    );
    assert!(follow(app, &path).await.contains("nobody asks why"));
    assert_eq!(ground.holders(turn).await, [Some(ben.id)]);
    let done = press(app, &path).await;
    assert!(done.contains("is free"), "{done}");
    assert_eq!(ground.holders(turn).await, [None]);
    let begun = call(app).await;
    assert_eq!(
        (&begun["state"], &begun["excused"]),
        (&"open".into(), &true.into())
    );
    assert!(follow(app, &path).await.contains("not yours any more"));
}
