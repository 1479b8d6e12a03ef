//! Who is asked and when, and of what whoever keeps the bins hears.

use super::{FIRST, Ground, KEEPERS, SECOND, links_in, to};
use crate::frame::weighed;
use serde_json::json;
use std::fmt::Write;
use uuid::Uuid;
use wormrota::clock;
use wormrota::desk::due::owe_due;
use wormrota_domain::access::Role;

/// Protects people from being asked more than twice, and the caretaker from silence.
#[tokio::test]
async fn silence_is_asked_about_once_more_and_then_told() {
    let (ground, [bo]) = Ground::held_by().await;
    let caretaker = ground.somebody(Role::Caretaker).await;
    let first = ground.go_to(FIRST).await;
    to(&first, "turn_unlogged", &bo);
    assert_eq!(first.len(), 1);
    assert_eq!(ground.go_to("2026-06-12T11:00:00Z").await, []);
    let second = ground.go_to(SECOND).await;
    assert_eq!(second.len(), 1);
    let again = to(&second, "turn_unlogged", &bo);
    assert!(again.contains("We still do not know"), "{again}");
    assert_eq!(ground.go_to("2026-06-13T11:00:00Z").await, []);
    let told = ground.go_to(KEEPERS).await;
    assert_eq!(told.len(), 1);
    let letter = to(&told, "turn_missed", &caretaker);
    assert!(letter.contains("has not answered"), "{letter}");
    assert!(
        letter.contains("Nobody has looked into the bin since"),
        "{letter}"
    );
    for instant in [
        "2026-06-14T12:00:00Z",
        "2026-06-15T12:00:00Z",
        "2026-06-17T12:00:00Z",
    ] {
        assert_eq!(ground.go_to(instant).await, []);
    }
    // The links of both letters still do what they say, and answering one answers both.
    let (older, newer) = (
        links_in(&to(&first, "turn_unlogged", &bo)),
        links_in(&again),
    );
    ground.press(&older["fed"], "amount=100").await;
    let known = ground.press(&newer["fed"], "amount=100").await;
    assert!(
        known.text.contains("written down meanwhile"),
        "{}",
        known.text
    );
    assert_eq!(ground.told().await.len(), 1);
}

/// Protects whoever looked into the bin from a letter which says that nobody did.
#[tokio::test]
async fn a_look_that_was_written_down_is_told_with_the_missed_turn() {
    let (ground, [bo]) = Ground::held_by().await;
    let caretaker = ground.somebody(Role::Caretaker).await;
    ground.go_to(FIRST).await;
    let (app, court) = (&ground.post.app, &ground.court);
    let seen = json!({ "checked_at": "2026-06-11T12:00:00Z", "smell": "earthy" });
    app.post(&bo, &court.bin_at("/checks"), &seen).await.ok(201);
    ground.go_to(SECOND).await;
    let told = ground.go_to(KEEPERS).await;
    let letter = to(&told, "turn_missed", &caretaker);
    let looked = "Somebody looked into the bin on Thursday, June 11";
    assert!(letter.contains(looked), "{letter}");
    assert!(!letter.contains("Nobody has looked"), "{letter}");
}

/// Protects people from being asked on one morning about all that lay in a long pause.
#[tokio::test]
async fn nobody_is_asked_about_a_turn_of_last_week_or_one_that_was_called_off() {
    let (ground, [_]) = Ground::held_by().await;
    assert_eq!(ground.go_to("2026-06-16T12:00:00Z").await, []);
    assert_eq!(ground.count("turn_unlogged").await, 0);
    let (ground, [_]) = Ground::held_by().await;
    let off = "UPDATE turns SET called_off = 'hand'";
    ground.post.app.sql(off).await;
    assert_eq!(ground.go_to(FIRST).await, []);
    let (ground, [_]) = Ground::held_by().await;
    ground
        .post
        .app
        .sql("UPDATE turns SET duty = 'tidying'")
        .await;
    assert_eq!(ground.go_to(FIRST).await, []);
}

/// Protects whoever was told in the morning that the bin takes nothing from being asked whether
/// they fed it, and the caretaker from hearing that they did not. That is reckoned anew each
/// time, so that no copy needs to remember it; what was seen later that day changes nothing.
#[tokio::test]
async fn nobody_is_asked_of_a_day_on_which_the_bin_took_nothing() {
    for (seen_at, asked) in [
        ("2026-06-10T11:00:00Z", 0),
        // After the letters of the day, which said that there was room.
        ("2026-06-10T15:00:00Z", 1),
    ] {
        let (ground, [bo]) = Ground::held_by().await;
        ground.somebody(Role::Caretaker).await;
        let sour = json!({ "smell": "sour", "checked_at": seen_at });
        let checks = ground.court.bin_at("/checks");
        let app = &ground.post.app;
        app.post(&bo, &checks, &sour).await.ok(201);
        assert_eq!(ground.go_to(FIRST).await.len(), asked, "{seen_at}");
        assert_eq!(ground.go_to(SECOND).await.len(), asked, "{seen_at}");
        assert_eq!(ground.go_to(KEEPERS).await.len(), asked, "{seen_at}");
        let day = "2026-06-14T12:00:00Z";
        assert_eq!(ground.go_to(day).await, [], "{seen_at}");
    }
}

/// Protects whoever wrote it down from being asked; and the bin from an entry that was taken back.
#[tokio::test]
async fn what_was_written_down_is_not_asked_about() {
    let (ground, [bo]) = Ground::held_by().await;
    let app = &ground.post.app;
    let mut meal = weighed("usual-mix", 0.2);
    meal["fed_at"] = json!("2026-06-10T16:00:00Z");
    let told = ground.court.bin_at("/feedings/told");
    let entry = app.post(&ground.court.resident, &told, &meal).await.ok(201);
    assert_eq!(ground.go_to(FIRST).await, []);
    let entry = ground
        .court
        .bin_at(&format!("/entries/{}", entry["id"].as_str().unwrap()));
    assert_eq!(app.delete(&ground.court.resident, &entry).await.status, 204);
    // Owed, and then written down before it was sent.
    let wall = clock::wall();
    owe_due(&app.desk, wall).await.unwrap();
    assert_eq!(ground.count("turn_unlogged").await, 1);
    app.post(&bo, &told, &meal).await.ok(201);
    ground.post.send_at(clock::wall()).await;
    let states = "SELECT state, reason FROM letters WHERE kind = 'turn_unlogged'";
    let states = app.rows(states).await;
    assert_eq!(states, [json!({ "state": "not_wanted", "reason": null })]);
}

/// Protects pupils from letters: the teacher of the class is asked, once, and hears what becomes
/// of it; a helper is not.
#[tokio::test]
async fn of_a_class_the_teacher_is_asked_and_nobody_else() {
    let ground = Ground::open(2).await;
    let (teacher, helper) = (
        ground.somebody(Role::Resident).await,
        ground.somebody(Role::Resident).await,
    );
    let (site, turn, class) = (ground.court.site, ground.turn, Uuid::now_v7());
    let (teacher_id, helper_id) = (ground.id(&teacher).await, ground.id(&helper).await);
    let pupils = [Uuid::now_v7(), Uuid::now_v7()];
    let since = "2026-06-01T00:00:00Z";
    let mut sql = format!(
        "INSERT INTO classes (site_id, id, name, ends_on, created_at, revision)
            VALUES ('{site}', '{class}', '2b', '2026-07-31', '{since}', 1);
         INSERT INTO class_adults (site_id, class_id, member_id, part)
            VALUES ('{site}', '{class}', '{teacher_id}', 'teacher'),
                ('{site}', '{class}', '{helper_id}', 'helper');
         UPDATE turns SET class_id = '{class}';"
    );
    for (seat, pupil) in (1..).zip(pupils) {
        write!(
            sql,
            "INSERT INTO pupils (site_id, id, class_id, label, added_at)
                VALUES ('{site}', '{pupil}', '{class}', 'P{seat}', '{since}');
             UPDATE places SET pupil_id = '{pupil}', how = 'duty', held_since = '{since}'
                WHERE turn_id = '{turn}' AND seat = {seat};"
        )
        .unwrap();
    }
    ground.post.app.sql(&sql).await;
    let asked = ground.go_to(FIRST).await;
    assert_eq!(asked.len(), 1, "{asked:?}");
    let letter = to(&asked, "turn_unlogged", &teacher);
    assert!(letter.contains("Yes, we fed it"), "{letter}");
    assert_eq!(ground.go_to(SECOND).await.len(), 1);
    let told = ground.go_to(KEEPERS).await;
    // And the educator, since the site has neither caretaker nor teacher.
    assert_eq!(told.len(), 2, "{told:?}");
    to(&told, "turn_missed", &ground.court.educator);
    let letter = to(&told, "turn_missed", &teacher);
    assert!(letter.contains("it was a class's turn"), "{letter}");
}

/// Protects whoever turned questions off from them, and the caretaker from not hearing then.
#[tokio::test]
async fn whoever_turned_questions_off_gets_none_and_the_caretaker_hears() {
    let (ground, [bo]) = Ground::held_by().await;
    let caretaker = ground.somebody(Role::Caretaker).await;
    let off = format!(
        "UPDATE members SET letters_off = '{{questions}}' WHERE id = '{}'",
        ground.id(&bo).await
    );
    ground.post.app.sql(&off).await;
    assert_eq!(ground.go_to(FIRST).await, []);
    assert_eq!(ground.go_to(SECOND).await, []);
    let told = ground.go_to(KEEPERS).await;
    to(&told, "turn_missed", &caretaker);
    assert_eq!(told.len(), 1);
}
