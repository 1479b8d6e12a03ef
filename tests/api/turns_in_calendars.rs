//! What letters and subscriptions say of one turn to one calendar.

use crate::closure_plans::{agree, plan_of, summer};
use crate::cover_ground::look;
use crate::frame::id_of;
use crate::place_ground::Neighbour;
use crate::told_ground::ToldGround;
use chrono::TimeDelta;
use reqwest::Method;
use serde_json::json;
use std::collections::BTreeMap;
use uuid::Uuid;
use wormrota::clock;

/// The lines of an appointment, by what stands before their colon.
type Lines = BTreeMap<String, String>;

/// The appointments in a text, each with the method of its calendar.
fn appointments(text: &str) -> Vec<Lines> {
    let unfolded = text.replace("\r\n ", "");
    let calendars = unfolded.split("BEGIN:VCALENDAR\r\n").skip(1);
    let mut found = Vec::new();
    for calendar in calendars {
        let (calendar, _) = calendar.split_once("END:VCALENDAR").unwrap();
        let lines = |part: &str| -> Lines {
            let lines = part.lines().filter_map(|line| line.split_once(':'));
            lines
                .map(|(name, value)| (name.to_owned(), value.to_owned()))
                .collect()
        };
        let method = lines(calendar).get("METHOD").cloned();
        for event in calendar.split("BEGIN:VEVENT\r\n").skip(1) {
            let mut event = lines(event.split_once("END:VEVENT").unwrap().0);
            event.extend(method.clone().map(|method| ("METHOD".to_owned(), method)));
            found.push(event);
        }
    }
    found
}

fn number(lines: &Lines) -> u64 {
    lines["SEQUENCE"].parse().unwrap()
}

/// Sends what is owed; gives the letters of a kind that went to somebody, the first first.
async fn sent(ground: &ToldGround, kind: &str, to: &Neighbour) -> Vec<String> {
    let wall = clock::wall();
    for at in [wall, wall + TimeDelta::hours(12)] {
        ground.post.send_at(at).await;
    }
    let query = format!(
        "SELECT id FROM letters WHERE kind = '{kind}' AND member_id = '{}' AND state = 'sent'
         ORDER BY id",
        to.id
    );
    let rows = ground.post.app.rows(&query).await;
    rows.iter()
        .map(|row| ground.post.letter(id_of(row)))
        .collect()
}

/// Somebody with three turns, of two of which a reminder told their calendar, which it gives.
async fn reminded(ground: &ToldGround, who: &Neighbour) -> (Vec<Uuid>, Vec<Lines>) {
    let mut turns = Vec::new();
    for day in ["2026-06-13", "2026-06-14", "2026-06-30"] {
        let turn = ground.turn(day, 1).await;
        ground.take(&who.who, turn, &json!({})).await;
        turns.push(turn);
    }
    for at in ["2026-06-11T17:30:00Z", "2026-06-12T17:30:00Z"] {
        ground.post.app.set_clock(at).await;
        look(&ground.post.app).await;
    }
    let letters = sent(ground, "turn_coming", who).await;
    let told: Vec<Lines> = letters
        .iter()
        .map(|letter| appointments(letter)[0].clone())
        .collect();
    assert_eq!(told.len(), 2, "{letters:?}");
    assert!(told.iter().all(|lines| lines["METHOD"] == "REQUEST"));
    (turns, told)
}

/// Insists that a letter has one file for each of these, of a method, and no older than they are.
#[track_caller]
fn assert_files(letter: &str, method: &str, of: &[Lines]) {
    let found = appointments(letter);
    let mut uids: Vec<&str> = found.iter().map(|lines| lines["UID"].as_str()).collect();
    uids.sort_unstable();
    let mut wanted: Vec<&str> = of.iter().map(|lines| lines["UID"].as_str()).collect();
    wanted.sort_unstable();
    assert_eq!(uids, wanted, "{letter}");
    for lines in &found {
        assert_eq!(lines["METHOD"], method, "{letter}");
        let before = of
            .iter()
            .find(|before| before["UID"] == lines["UID"])
            .unwrap();
        // Both may have been owed in one second; then a CANCEL counts more all the same.
        let least = number(before) + u64::from(method == "CANCEL");
        assert!(number(lines) >= least, "{letter}");
        for part in ["SUMMARY", "LOCATION"] {
            assert_eq!(lines[part], before[part], "{letter}");
        }
    }
    for number in 1..=of.len() {
        let name = format!("attachment; filename=\"turn-{number}.ics\"");
        assert_eq!(letter.matches(&name).count(), 1, "{letter}");
    }
}

/// Protects calendars from turns that their owner gave up with others: an absence over several is
/// one letter, with a file for each that a letter had brought there, and none for the others.
#[tokio::test]
async fn an_absence_over_several_turns_takes_each_out_of_the_calendar() {
    let ground = ToldGround::open().await;
    let [ana] = ground.residents().await;
    let (_, told) = reminded(&ground, &ana).await;
    let path = ground.court.at(&format!("/members/{}/absences", ana.id));
    let days = json!({ "first_day": "2026-06-13", "last_day": "2026-07-05" });
    let gone = ground.post.app.post(&ana.who, &path, &days).await.ok(201);
    assert_eq!(gone["given_up"].as_array().unwrap().len(), 3);
    let freed = sent(&ground, "turn_freed", &ana).await;
    let [freed] = &freed[..] else {
        panic!("one letter: {freed:?}")
    };
    assert_files(freed, "CANCEL", &told);
    for part in [
        "leave your calendar",
        "Saturday, June 13",
        "Sunday, June 14",
    ] {
        assert!(freed.contains(part), "{part}: {freed}");
    }
    assert!(!freed.contains("June 30"), "{freed}");
}

/// The same of what a keeper says for somebody, of closed days, and of days that are open again.
#[tokio::test]
async fn what_others_do_to_several_turns_reaches_the_calendar() {
    let ground = ToldGround::open().await;
    let [ana, bo] = ground.residents().await;
    let (_, of_ana) = reminded(&ground, &ana).await;
    let app = &ground.post.app;
    let shut = json!({ "first_day": "2026-06-13", "last_day": "2026-07-03" });
    let made = ground.ask("/closures", &shut).await.ok(201);
    let off = sent(&ground, "turn_changed", &ana).await;
    assert_files(&off[0], "CANCEL", &of_ana);
    let one = ground.court.at(&format!("/closures/{}", id_of(&made)));
    app.delete(&ground.keeper.who, &one).await.ok(200);
    let on = sent(&ground, "turn_changed", &ana).await;
    assert_files(&on[1], "REQUEST", &of_ana);

    app.set_clock("2026-06-12T18:00:00Z").await;
    let path = format!("/members/{}/absences", ana.id);
    let days = json!({ "first_day": "2026-06-13" });
    let told = ground.ask(&path, &days).await.ok(201);
    let gone = sent(&ground, "turn_changed", &ana).await;
    assert_files(&gone[2], "CANCEL", &of_ana);
    // Back again, they read that it is theirs, and not that somebody gave it to them.
    let one = ground.court.at(&format!("{path}/{}", id_of(&told)));
    app.delete(&ground.keeper.who, &one).await.ok(200);
    let back = sent(&ground, "turn_changed", &ana).await;
    assert!(
        back[3].contains("Yours again, since you are back"),
        "{}",
        back[3]
    );
    assert!(!back[3].contains("Yours now"), "{}", back[3]);

    let turn = ground.turn("2026-06-20", 1).await;
    ground.take(&bo.who, turn, &json!({})).await;
    let path = format!("/members/{}/absences", bo.id);
    let days = json!({ "first_day": "2026-06-19", "last_day": "2026-06-21" });
    let told = ground.ask(&path, &days).await.ok(201);
    let one = ground.court.at(&format!("{path}/{}", id_of(&told)));
    app.delete(&ground.keeper.who, &one).await.ok(200);
    let back = sent(&ground, "turn_changed", &bo).await;
    // What was changed back before it was told is not told; so it is told of first.
    assert!(back.is_empty(), "{back:?}");
    let told = ground.ask(&path, &days).await.ok(201);
    assert_eq!(sent(&ground, "turn_changed", &bo).await.len(), 1);
    let one = ground.court.at(&format!("{path}/{}", id_of(&told)));
    app.delete(&ground.keeper.who, &one).await.ok(200);
    let back = sent(&ground, "turn_changed", &bo).await;
    for part in [
        "Subject: Your turn on Saturday, June 20 is yours again",
        "You are back, so the turn",
        "made this change",
    ] {
        assert!(back[1].contains(part), "{part}: {}", back[1]);
    }
    assert!(!back[1].contains("gave you"), "{}", back[1]);
}

/// Protects calendars from one turn under two names or in two places: what a reminder brings there,
/// a later letter changes and a subscription shows has one UID, one title and one place.
#[tokio::test]
async fn a_turn_is_the_same_in_letters_and_subscriptions() {
    let ground = ToldGround::open().await;
    let [ana] = ground.residents().await;
    let (turns, told) = reminded(&ground, &ana).await;
    let hours = json!({ "opens": "08:00", "closes": "10:00" });
    ground.change_turn(turns[1], &hours).await;
    let changed = sent(&ground, "turn_changed", &ana).await;
    let changed = appointments(&changed[0])[0].clone();
    let path = ground.court.at("/calendar_addresses");
    let made = ground
        .post
        .app
        .post(&ana.who, &path, &json!({}))
        .await
        .ok(201);
    let path = made["address"].as_str().unwrap();
    let path = &path[path.find("/calendars/").unwrap()..];
    let feed = ground.post.app.ask(Method::GET, path).send().await;
    let feed = appointments(&feed.text);
    let own = feed.iter().find(|lines| lines["UID"] == told[1]["UID"]);
    let own = own.unwrap_or_else(|| panic!("{feed:?}"));
    for part in ["UID", "SUMMARY", "LOCATION"] {
        assert_eq!(told[1][part], changed[part], "{part}");
        assert_eq!(told[1][part], own[part], "{part}");
    }
    assert_eq!(changed["LOCATION"], "Elm Court");
    assert!(number(&changed) >= number(&told[1]));
    let hours = "DTSTART;TZID=America/Chicago";
    assert_eq!(changed[hours], own[hours]);
}

/// Protects whoever is sent to a shut site: the letter that gives them the visit says that it is
/// one, how to get in, and what goes in by the plan.
#[tokio::test]
async fn who_is_given_a_visit_hears_that_it_is_one() {
    let ground = ToldGround::open().await;
    let [ana] = ground.residents().await;
    let app = &ground.post.app;
    let closure = summer(app, &ground.court).await;
    agree(app, &ground.court, closure).await;
    let seen = plan_of(app, &ground.court, closure).await;
    let turn = id_of(&seen["visits"][0]["turn"]);
    let give = json!({ "member_id": ana.id });
    ground.take(&ground.keeper.who, turn, &give).await;
    let given = sent(&ground, "turn_changed", &ana).await;
    for part in [
        "Subject: A turn for you on",
        "is shut then, and this visit takes place all the same",
        "How to get in, ask",
        "By the plan for the closed days",
        "water in several goes",
        "Wear gloves",
    ] {
        assert!(given[0].contains(part), "{part}: {}", given[0]);
    }
}
