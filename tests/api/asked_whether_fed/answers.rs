//! What the answers do.

use super::{FIRST, Ground, KEEPERS, SECOND, links_in, to};
use serde_json::json;
use wormrota_domain::access::Role;

/// Protects the caretaker from running after people who fed, and whoever fed from signing in to
/// say so: the letter, the page, the amount, and what pressing again does.
#[tokio::test]
async fn one_tap_says_that_it_was_fed_and_how_much() {
    let (ground, [bo]) = Ground::held_by().await;
    let app = &ground.post.app;
    let book = json!({ "on_date": "2026-06-10", "amount_kg": 0.25 });
    let bookings = ground.court.bin_at("/bookings");
    app.post(&bo, &bookings, &book).await.ok(201);
    app.sql("UPDATE places SET booking_id = (SELECT id FROM bookings) WHERE member_id IS NOT NULL")
        .await;

    assert_eq!(ground.go_to("2026-06-11T11:00:00Z").await, []);
    let letters = ground.go_to(FIRST).await;
    assert_eq!(letters.len(), 1, "{letters:?}");
    let letter = to(&letters, "turn_unlogged", &bo);
    assert!(letter.contains("Subject: Was the bin"), "{letter}");
    let links = links_in(&letter);
    let deeds = ["fed", "fed_by_other", "not_fed"];
    assert!(
        deeds.iter().all(|deed| links.contains_key(*deed)),
        "{links:?}"
    );
    assert_eq!(ground.go_to(FIRST).await, []);

    let asks = ground.look(&links["fed"]).await;
    assert_eq!(asks.status, 200);
    let options = asks.text.split_once("<select").unwrap().1;
    let first = options.split_once("<option value=\"").unwrap().1;
    assert!(first.starts_with("250\""), "{options}");
    assert_eq!(ground.told().await, []);

    let done = ground.press(&links["fed"], "amount=250").await;
    assert_eq!(done.status, 200);
    for part in ["Thank you for your answer", "is in the log"] {
        assert!(done.text.contains(part), "{part}: {}", done.text);
    }
    let noon = "2026-06-10T17:00:00Z".parse().unwrap();
    let fed = [(250, noon, ground.id(&bo).await)];
    assert_eq!(ground.told().await, fed);
    let used = app.rows("SELECT state FROM bookings").await;
    assert_eq!(used, [json!({ "state": "used" })]);

    for deed in deeds {
        let again = ground.press(&links[deed], "amount=900").await;
        assert_eq!(
            (again.status, &again.text),
            (done.status, &done.text),
            "{deed}"
        );
        assert_eq!(ground.look(&links[deed]).await.text, done.text, "{deed}");
    }
    assert_eq!(ground.told().await, fed);
    for instant in [SECOND, KEEPERS] {
        assert_eq!(ground.go_to(instant).await, []);
    }
}

/// Protects the bin from being reckoned with one meal twice, and neighbours from a question that
/// another has answered: sent, owed or asked again.
#[tokio::test]
async fn what_one_holder_says_settles_the_questions_of_the_others() {
    let (ground, [bo, cy]) = Ground::held_by().await;
    let letters = ground.go_to(FIRST).await;
    assert_eq!(letters.len(), 2);
    let of = |who| links_in(&to(&letters, "turn_unlogged", who));
    let (of_bo, of_cy) = (of(&bo), of(&cy));
    ground.press(&of_bo["fed"], "amount=200").await;
    for deed in ["fed", "not_fed", "fed_by_other"] {
        let known = ground.press(&of_cy[deed], "amount=200").await;
        assert_eq!(known.status, 200);
        assert!(
            known.text.contains("written down meanwhile"),
            "{}",
            known.text
        );
        assert!(!known.text.contains("<form"), "{}", known.text);
    }
    assert_eq!(ground.told().await.len(), 1);
    for instant in [SECOND, KEEPERS] {
        assert_eq!(ground.go_to(instant).await, []);
    }
    assert_eq!(ground.count("turn_missed").await, 0);
}

/// Protects worms from a turn that nobody did: whoever looks after the bins hears of it at once,
/// each by one letter, with who was to come and what to do.
#[tokio::test]
async fn a_no_is_told_to_whoever_looks_after_the_bins_at_once() {
    let (ground, [bo, cy]) = Ground::held_by().await;
    let caretaker = ground.somebody(Role::Caretaker).await;
    let teacher = ground.somebody(Role::Teacher).await;
    let app = &ground.post.app;
    let name = format!(
        "UPDATE member_names SET name = 'Bo Reed' WHERE member_id = '{}'",
        ground.id(&bo).await
    );
    app.sql(&name).await;
    let letters = ground.go_to(FIRST).await;
    let links_of = |who| links_in(&to(&letters, "turn_unlogged", who));
    let of_bo = links_of(&bo);
    let asks = ground.look(&of_bo["not_fed"]).await;
    assert!(asks.text.contains("nobody fed the bin"), "{}", asks.text);
    assert_eq!(ground.count("turn_missed").await, 0);
    let done = ground.press(&of_bo["not_fed"], "").await;
    assert!(done.text.contains("hears of it"), "{}", done.text);
    let again = ground.press(&of_bo["not_fed"], "").await;
    assert_eq!(again.text, done.text);

    let told = ground.go_to("2026-06-11T12:05:00Z").await;
    assert_eq!(told.len(), 2, "{told:?}");
    for keeper in [&caretaker, &teacher] {
        let letter = to(&told, "turn_missed", keeper);
        for part in [
            "was not fed",
            "Bo Reed says that it was not fed",
            "has not answered",
            "gloves",
        ] {
            assert!(letter.contains(part), "{part}: {letter}");
        }
    }
    // Nobody is asked any more, and nothing is told twice.
    for instant in [SECOND, KEEPERS, "2026-06-14T12:00:00Z"] {
        assert_eq!(ground.go_to(instant).await, []);
    }
    // The other one did feed: no is not the last word.
    let done = ground.press(&links_of(&cy)["fed"], "amount=150").await;
    assert!(done.text.contains("is in the log"), "{}", done.text);
    assert_eq!(ground.told().await.len(), 1);
}

/// Protects the model from amounts that nobody knows, and people from being asked again.
#[tokio::test]
async fn that_somebody_else_fed_closes_it_with_an_amount_or_without() {
    for (form, grams) in [("amount=unknown", vec![]), ("amount=250", vec![250])] {
        let (ground, [bo]) = Ground::held_by().await;
        ground.somebody(Role::Caretaker).await;
        let links = ground.asked(&bo).await;
        let asks = ground.look(&links["fed_by_other"]).await;
        assert!(
            asks.text.contains("<option value=\"unknown\">"),
            "{}",
            asks.text
        );
        let done = ground.press(&links["fed_by_other"], form).await;
        assert_eq!(done.status, 200);
        assert!(done.text.contains("will not ask again"), "{}", done.text);
        let told: Vec<i64> = ground.told().await.iter().map(|fed| fed.0).collect();
        assert_eq!(told, grams);
        for instant in [SECOND, KEEPERS] {
            assert_eq!(ground.go_to(instant).await, []);
        }
    }
}

/// Protects the bin from a meal that is not reckoned with since nobody weighed it: whoever fed and
/// does not know how much gave the usual, and is told what was written down.
#[tokio::test]
async fn whoever_fed_and_does_not_know_how_much_gave_the_usual() {
    let (ground, [bo]) = Ground::held_by().await;
    let links = ground.asked(&bo).await;
    let asks = ground.look(&links["fed"]).await.text;
    let options = asks.split_once("<select").unwrap().1;
    // The bin's only feeding so far comes first, and not knowing last.
    let first = options.find("<option value=\"150\">").unwrap();
    let unknown = "<option value=\"unknown\">I do not know: write down 5 oz, as usual</option>";
    let last = options.find(unknown).unwrap_or_else(|| panic!("{options}"));
    assert!(first < last && !options[last + unknown.len()..].contains("<option"));
    let done = ground.press(&links["fed"], "amount=unknown").await;
    assert_eq!(done.status, 200);
    assert!(done.text.contains("is in the log"), "{}", done.text);
    let noon = "2026-06-10T17:00:00Z".parse().unwrap();
    assert_eq!(ground.told().await, [(150, noon, ground.id(&bo).await)]);
    for instant in [SECOND, KEEPERS] {
        assert_eq!(ground.go_to(instant).await, []);
    }
}

/// Protects a bin that got too much: the page says what to do, and a notice is put up. What
/// cannot be meant is asked again.
#[tokio::test]
async fn too_much_is_recorded_and_the_page_says_what_to_do() {
    let (ground, [bo]) = Ground::held_by().await;
    let links = ground.asked(&bo).await;
    for bad in [
        "",
        "amount=",
        "amount=-5",
        "amount=0",
        "amount=1e3",
        "amount=50001",
    ] {
        let asks = ground.press(&links["fed"], bad).await;
        assert_eq!(asks.status, 422, "{bad}");
        assert!(asks.text.contains("<form"), "{bad}: {}", asks.text);
    }
    assert_eq!(ground.told().await, []);
    let done = ground.press(&links["fed"], "amount=5000").await;
    for part in [
        "more than the worms can keep up with",
        "<li>",
        "Wash your hands",
    ] {
        assert!(done.text.contains(part), "{part}: {}", done.text);
    }
    let notices = ground.post.app.rows("SELECT kind FROM notices").await;
    assert!(
        notices.contains(&json!({ "kind": "over_limit" })),
        "{notices:?}"
    );
}
