//! Whoever's turns are changed by somebody else hears of it once, and nobody else does.

use crate::frame::id_of;
use crate::told_ground::{NOBODY, ToldGround, all, bringing, says, whom};
use serde_json::json;
use std::fmt::Write;
use uuid::Uuid;
use wormrota::clock;

const FRIDAY: &str = "2026-06-12";
const SATURDAY: &str = "2026-06-13";

/// Protects whoever is given a turn from not knowing of it, and everybody from letters about
/// what they did themselves.
#[tokio::test]
async fn who_is_given_a_place_is_told_and_who_takes_one_is_not() {
    let ground = ToldGround::open().await;
    let [ana, bo] = ground.residents().await;
    let friday = ground.turn(FRIDAY, 3).await;
    ground.take(&bo.who, friday, &json!({})).await;
    ground.take(&ground.keeper.who, friday, &json!({})).await;
    assert_eq!(whom(&ground.sent().await), NOBODY);

    let give = json!({ "member_id": ana.id });
    ground.take(&ground.keeper.who, friday, &give).await;
    let letter = ToldGround::only(&ground.sent().await, &ana);
    let bin = "to feed the bin Bin ";
    says(
        &letter,
        &[
            &format!("<{}>", ana.who.email),
            "Subject: A turn for you on Friday, June 12\r\n",
            "You now have a turn ",
            bin,
            "on Friday, June 12.",
            // The day before, as the site says.
            "give your place back by Thursday, June 11",
            "A caretaker gave you this turn.",
            "METHOD:REQUEST",
            "DTSTART;VALUE=DATE:20260612",
            "STATUS:CONFIRMED",
        ],
        // Neighbours are not named here.
        &["On the same turn: A resident", "curl "],
    );
    assert_eq!(ground.states().await, ["sent"]);
}

/// Protects whoever is given the turn of somebody who is away from wondering why, and whoever is
/// away from being named.
#[tokio::test]
async fn who_is_given_a_place_of_somebody_away_hears_why_and_not_whose() {
    let ground = ToldGround::open().await;
    let [ana, bo] = ground.residents().await;
    let app = &ground.post.app;
    let friday = ground.turn(FRIDAY, 1).await;
    ground.take(&ana.who, friday, &json!({})).await;
    let name = "UPDATE member_names SET name = 'Ana Reed' WHERE member_id =";
    app.sql(&format!("{name} '{}'", ana.id)).await;
    let absences = ground.court.at(&format!("/members/{}/absences", ana.id));
    let away = json!({ "first_day": FRIDAY, "last_day": FRIDAY });
    app.post(&ana.who, &absences, &away).await.ok(201);
    let give = json!({ "member_id": bo.id });
    ground.take(&ground.keeper.who, friday, &give).await;
    ground.post.send().await;
    let row = "SELECT id FROM letters WHERE kind = 'turn_changed' AND state = 'sent'";
    let rows = app.rows(row).await;
    assert_eq!(rows.len(), 1);
    says(
        &ground.post.letter(id_of(&rows[0])),
        &[
            "A turn for you",
            "Somebody who was to come cannot, so you come instead.",
            "A caretaker gave you this turn.",
        ],
        &["Reed"],
    );
}

/// Protects whoever loses a place from coming in vain and from bringing scraps that have no
/// room.
#[tokio::test]
async fn whose_place_is_given_back_for_them_is_told_and_of_their_room() {
    let ground = ToldGround::open().await;
    let [ana, bo] = ground.residents().await;
    let friday = ground.turn(FRIDAY, 2).await;
    let place = ground.take(&ana.who, friday, &bringing(0.05)).await;
    let own = ground.take(&bo.who, friday, &bringing(0.05)).await;
    ground.give_back(&bo.who, (friday, own)).await;
    assert_eq!(whom(&ground.sent().await), NOBODY);

    ground.give_back(&ground.keeper.who, (friday, place)).await;
    let letter = ToldGround::only(&ground.sent().await, &ana);
    says(
        &letter,
        &[
            "Subject: You need not come on Friday, June 12\r\n",
            "is not yours any more, so you need not come.",
            "that you had booked for it was given back. Please do not bring those scraps",
            "A caretaker made this change.",
            "METHOD:CANCEL",
            "STATUS:CANCELLED",
        ],
        &["give your place back"],
    );
}

/// Protects both ends of a place that goes from one to another.
#[tokio::test]
async fn of_a_place_that_is_moved_both_are_told() {
    let ground = ToldGround::open().await;
    let [ana, bo] = ground.residents().await;
    let friday = ground.turn(FRIDAY, 1).await;
    let place = ground.take(&ana.who, friday, &json!({})).await;
    // What its holder means to bring, and whether it is kept, changes nobody's day.
    let here = (friday, place);
    ground.change_place(&ana.who, here, &bringing(0.05)).await;
    let keeper = &ground.keeper.who;
    ground
        .change_place(keeper, here, &json!({ "kept": false }))
        .await;
    assert_eq!(whom(&ground.sent().await), NOBODY);

    let to_bo = json!({ "member_id": bo.id });
    ground.change_place(keeper, here, &to_bo).await;
    let sent = ground.sent().await;
    assert_eq!(whom(&sent), all([&ana, &bo]));
    says(
        &sent[&ana.id][0],
        &["not yours", "METHOD:CANCEL", "given back"],
        &[],
    );
    says(
        &sent[&bo.id][0],
        &["A turn for you", "METHOD:REQUEST"],
        &["given back"],
    );
    // To whoever moves it, it is no news that it is theirs.
    let to_keeper = json!({ "member_id": ground.keeper.id });
    ground.change_place(keeper, here, &to_keeper).await;
    says(
        &ToldGround::only(&ground.sent().await, &bo),
        &["not yours"],
        &[],
    );
}

/// Protects two who trade from two letters each, and whoever arranged it from one.
#[tokio::test]
async fn of_a_trade_each_is_told_in_one_letter() {
    let ground = ToldGround::open().await;
    let [ana, bo] = ground.residents().await;
    let (friday, saturday) = (ground.turn(FRIDAY, 1).await, ground.turn(SATURDAY, 1).await);
    let one = ground.take(&ana.who, friday, &json!({})).await;
    let other = ground.take(&bo.who, saturday, &bringing(0.05)).await;
    let trade = json!({ "one_place_id": one, "other_place_id": other });
    ground.ask("/trades", &trade).await.ok(201);
    let sent = ground.sent().await;
    assert_eq!(whom(&sent), all([&ana, &bo]));
    let lists = |letter: &str, yours: &str, not_yours: &str| {
        says(
            letter,
            &[
                "Subject: Changes to your turns at Elm Court",
                "A caretaker made",
            ],
            // Several turns come by the calendar that people subscribe to.
            &["text/calendar"],
        );
        let text = letter.split("<html").next().unwrap();
        let (given, gone) = text.split_once("Not yours any more").unwrap();
        assert!(given.contains("Yours now"), "{letter}");
        assert!(
            given.contains(yours) && !given.contains(not_yours),
            "{letter}"
        );
        assert!(
            gone.contains(not_yours) && !gone.contains(yours),
            "{letter}"
        );
    };
    lists(&sent[&ana.id][0], "Saturday, June 13", "Friday, June 12");
    lists(&sent[&bo.id][0], "Friday, June 12", "Saturday, June 13");
    says(&sent[&bo.id][0], &["booked for one of these turns"], &[]);
    says(&sent[&ana.id][0], &[], &["booked for"]);
}

/// Protects holders from coming to what is called off, and the turn from nobody coming when it
/// is on again.
#[tokio::test]
async fn holders_are_told_when_a_turn_is_called_off_on_again_or_at_other_hours() {
    let ground = ToldGround::open().await;
    let [ana, bo] = ground.residents().await;
    let friday = ground.turn(FRIDAY, 4).await;
    ground.take(&ana.who, friday, &bringing(0.05)).await;
    ground.take(&bo.who, friday, &json!({})).await;
    ground.take(&ground.keeper.who, friday, &json!({})).await;
    let both = all([&ana, &bo]);

    ground
        .change_turn(friday, &json!({ "called_off": true }))
        .await;
    let sent = ground.sent().await;
    assert_eq!(whom(&sent), both);
    let off = [
        "Subject: No turn on Friday, June 12",
        "METHOD:CANCEL",
        "Your place stays yours",
    ];
    says(&sent[&ana.id][0], &off, &["is shut"]);
    says(&sent[&ana.id][0], &["given back"], &[]);
    says(&sent[&bo.id][0], &off, &["given back"]);

    ground
        .change_turn(friday, &json!({ "called_off": false }))
        .await;
    let sent = ground.sent().await;
    assert_eq!(whom(&sent), both);
    let on = [
        "takes place after all",
        "METHOD:REQUEST",
        "Thursday, June 11",
    ];
    says(&sent[&bo.id][0], &on, &[]);

    let hours = json!({ "opens": "17:00", "closes": "19:30" });
    ground.change_turn(friday, &hours).await;
    let sent = ground.sent().await;
    assert_eq!(whom(&sent), both);
    let now = [
        "Subject: Other hours for your turn on Friday, June 12",
        "from 17:00 to 19:30",
        "DTSTART;TZID=America/Chicago:20260612T170000",
    ];
    says(&sent[&bo.id][0], &now, &["Until now"]);
    let all_day = json!({ "opens": null, "closes": null });
    ground.change_turn(friday, &all_day).await;
    let sent = ground.sent().await;
    assert_eq!(whom(&sent), both);
    let before = [
        "Any time of that day",
        "Until now it was from 17:00 to 19:30",
    ];
    says(&sent[&ana.id][0], &before, &[]);

    // What changes nobody's day is told to nobody.
    ground
        .change_turn(friday, &json!({ "places": 5, "effort": 3 }))
        .await;
    ground
        .change_turn(friday, &json!({ "called_off": false }))
        .await;
    assert_eq!(whom(&ground.sent().await), NOBODY);
}

/// Protects everybody from a letter a day when a site shuts for six weeks.
#[tokio::test]
async fn a_closure_of_six_weeks_is_one_letter_with_a_list() {
    let ground = ToldGround::open().await;
    let [ana, bo, _cy] = ground.residents().await;
    let days = ["2026-06-15", "2026-06-29", "2026-07-13", "2026-07-24"];
    for (at, day) in days.into_iter().enumerate() {
        let turn = ground.turn(day, 2).await;
        let body = if at == 0 { bringing(0.05) } else { json!({}) };
        ground.take(&ana.who, turn, &body).await;
    }
    let outside = ground.turn("2026-07-27", 2).await;
    ground.take(&bo.who, outside, &json!({})).await;
    let of_bo = ground.turn("2026-07-01", 1).await;
    ground.take(&bo.who, of_bo, &json!({})).await;
    let of_keeper = ground.turn("2026-07-02", 1).await;
    ground.take(&ground.keeper.who, of_keeper, &json!({})).await;

    let shut = json!({ "first_day": "2026-06-15", "last_day": "2026-07-26" });
    let made = ground.ask("/closures", &shut).await.ok(201);
    let sent = ground.sent().await;
    assert_eq!(whom(&sent), all([&ana, &bo]));
    let listed = [
        "Do not take place",
        "Monday, June 15",
        "Monday, June 29",
        "Monday, July 13",
        "Friday, July 24",
        "booked for one of these turns was given back",
    ];
    says(&sent[&ana.id][0], &listed, &["July 1:", "text/calendar"]);
    let one = [
        "Elm Court is shut on that day",
        "Wednesday, July 1",
        "METHOD:CANCEL",
    ];
    says(&sent[&bo.id][0], &one, &["July 27"]);

    let path = ground
        .court
        .at(&format!("/closures/{}", made["id"].as_str().unwrap()));
    let ended = ground.post.app.delete(&ground.keeper.who, &path).await;
    assert!(ended.status.is_success(), "{}", ended.text);
    let sent = ground.sent().await;
    assert_eq!(whom(&sent), all([&ana, &bo]));
    says(
        &sent[&ana.id][0],
        &["Take place after all", "July 24"],
        &["booked"],
    );
}

/// Protects holders from another rhythm that they do not hear of, and from letters where theirs
/// stays.
#[tokio::test]
async fn of_a_pattern_only_what_changes_ones_own_turns_is_told() {
    let ground = ToldGround::open().await;
    let [ana, _bo] = ground.residents().await;
    let new = json!({
        "bin_id": ground.court.bin, "rule": "FREQ=DAILY;COUNT=6", "first_day": FRIDAY,
        "places": 2, "effort": 1, "opens": "17:00", "closes": "20:00",
    });
    let made = ground.ask("/patterns", &new).await.ok(201);
    let app = &ground.post.app;
    let turns = app
        .get(&ana.who, &ground.court.at("/turns?limit=200"))
        .await
        .ok(200);
    for at in [0, 2] {
        let turn = turns["items"][at]["id"].as_str().unwrap().parse().unwrap();
        ground.take(&ana.who, turn, &json!({})).await;
    }
    let path = ground
        .court
        .at(&format!("/patterns/{}", made["id"].as_str().unwrap()));
    let change = async |change: serde_json::Value| {
        let changed = app.patch(&ground.keeper.who, &path, &change).await;
        changed.ok(200);
    };
    change(json!({ "places": 3, "effort": 2 })).await;
    assert_eq!(whom(&ground.sent().await), NOBODY);
    change(json!({ "opens": "18:00" })).await;
    let letter = ToldGround::only(&ground.sent().await, &ana);
    let listed = [
        "Have other hours now",
        "Friday, June 12 from 18:00 to 20:00",
        "Sunday, June 14 from 18:00 to 20:00",
    ];
    says(&letter, &listed, &["Saturday, June 13"]);
    // Whoever holds a turn that the pattern does not want any more keeps it.
    change(json!({ "rule": "FREQ=WEEKLY;BYDAY=FR;COUNT=3" })).await;
    assert_eq!(whom(&ground.sent().await), NOBODY);
}

/// Protects people from a night's to and fro: in the morning they hear what came of it, or
/// nothing.
#[tokio::test]
async fn what_is_changed_back_before_it_is_told_is_not_told() {
    let ground = ToldGround::open().await;
    let [ana, bo, cy] = ground.residents().await;
    let (friday, saturday) = (ground.turn(FRIDAY, 1).await, ground.turn(SATURDAY, 2).await);
    let place = ground.take(&ana.who, friday, &json!({})).await;
    ground.take(&bo.who, saturday, &bringing(0.05)).await;
    // Eleven in the evening.
    ground.post.app.set_clock("2026-06-11T04:00:00Z").await;
    let keeper = &ground.keeper.who;
    let here = (friday, place);
    ground
        .change_place(keeper, here, &json!({ "member_id": cy.id }))
        .await;
    ground
        .change_place(keeper, here, &json!({ "member_id": bo.id }))
        .await;
    for off in [true, false] {
        ground
            .change_turn(saturday, &json!({ "called_off": off }))
            .await;
    }
    assert_eq!(whom(&ground.sent().await), NOBODY);
    assert!(ground.states().await.contains(&"owed".to_owned()));
    let sent = ground.sent_in_the_morning().await;
    // Cy never heard of the turn, so nobody tells them that it is gone.
    assert_eq!(whom(&sent), all([&ana, &bo, &bo]));
    says(&sent[&ana.id][0], &["not yours"], &[]);
    let of_bo = sent[&bo.id].join("\n");
    let told = [
        "A turn for you on Friday",
        "Book room again for your turn on Saturday",
    ];
    says(&of_bo, &told, &["No turn on", "Your turn on Saturday"]);
    let states = ground.states().await;
    assert_eq!(states.iter().filter(|state| *state == "sent").count(), 3);
    assert_eq!(
        states.iter().filter(|state| *state == "not_wanted").count(),
        3
    );
}

/// Protects whoever gave a turn back themselves from being told that they have it.
#[tokio::test]
async fn who_acted_themselves_meanwhile_is_told_nothing() {
    let ground = ToldGround::open().await;
    let [ana] = ground.residents().await;
    let later = ground.turn("2026-06-20", 1).await;
    ground.post.app.set_clock("2026-06-11T04:00:00Z").await;
    let give = json!({ "member_id": ana.id });
    let place = ground.take(&ground.keeper.who, later, &give).await;
    ground.give_back(&ana.who, (later, place)).await;
    assert_eq!(whom(&ground.sent_in_the_morning().await), NOBODY);
    assert_eq!(ground.states().await, ["not_wanted"]);
}

/// Protects who leaves or wants no such letters; nobody else hears of it either.
#[tokio::test]
async fn who_left_or_wants_no_such_letters_gets_none() {
    let ground = ToldGround::open().await;
    let [ana, bo] = ground.residents().await;
    let (friday, saturday) = (ground.turn(FRIDAY, 2).await, ground.turn(SATURDAY, 1).await);
    ground.take(&ana.who, friday, &json!({})).await;
    ground.take(&bo.who, friday, &json!({})).await;
    ground.take(&ana.who, saturday, &json!({})).await;
    let path = ground.court.at(&format!("/members/{}", ana.id));
    let removed = ground.post.app.delete(&ground.keeper.who, &path).await;
    assert!(removed.status.is_success(), "{}", removed.text);
    assert_eq!(ground.states().await, [] as [&str; 0]);
    let off = format!(
        "UPDATE members SET letters_off = '{{changes}}' WHERE id = '{}'",
        bo.id
    );
    ground.post.app.sql(&off).await;
    ground
        .change_turn(friday, &json!({ "called_off": true }))
        .await;
    assert_eq!(whom(&ground.sent().await), NOBODY);
    assert_eq!(ground.states().await, ["not_wanted"]);
}

/// Protects a closure at a large house from a statement for each of its people: three hundred
/// are owed their letters within the same few.
#[tokio::test]
async fn three_hundred_holders_are_owed_one_letter_each() {
    let ground = ToldGround::open().await;
    let app = &ground.post.app;
    let crowd = crate::place_ground::crowd_of(app, ground.court.site, 300).await;
    let (site, bin) = (ground.court.site, ground.court.bin);
    let mut sql = String::new();
    for (day, three) in crowd.chunks(3).enumerate() {
        let turn = Uuid::now_v7();
        write!(
            sql,
            "INSERT INTO turns (site_id, id, bin_id, on_date, duty, effort, off_pattern,
                created_at, revision)
             VALUES ('{site}', '{turn}', '{bin}', date '2026-06-11' + {day}, 'feeding', 1, false,
                '2026-06-01T00:00:00Z', 1);"
        )
        .unwrap();
        for (seat, one) in three.iter().enumerate() {
            write!(
                sql,
                "INSERT INTO places (site_id, id, turn_id, seat, member_id, how, kept, held_since)
                 VALUES ('{site}', gen_random_uuid(), '{turn}', {}, '{}', 'taken', true,
                    '2026-06-01T00:00:00Z');",
                seat + 1,
                one.id
            )
            .unwrap();
        }
    }
    app.sql(&sql).await;
    let shut = json!({ "first_day": "2026-06-11", "last_day": "2026-09-30" });
    let made = ground.ask("/closures", &shut).await.ok(201);
    assert_eq!(made["turns"]["called_off"], 100);
    let query = "SELECT count(*) AS letters, count(DISTINCT member_id) AS members,
                    count(DISTINCT created_at) AS instants
                 FROM letters WHERE kind = 'turn_changed'";
    let owed = app.rows(query).await.remove(0);
    assert_eq!(
        owed,
        json!({ "letters": 300, "members": 300, "instants": 1 })
    );
    // None of the crowd has an address.
    assert_eq!(ground.post.send_at(clock::wall()).await, 0);
}
