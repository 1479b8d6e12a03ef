//! The week in one letter, for whoever looks after sites.

use crate::frame::{id_of, weighed};
use crate::keepers_are_told::{count, letters_to, look, says};
use crate::place_ground::turn_of;
use crate::post_office::PostOffice;
use serde_json::json;
use uuid::Uuid;
use wormrota::desk::credentials::LinkFor;
use wormrota_domain::access::Role;
use wormrota_domain::letters::LetterDeed;

/// Protects whoever looks after many sites from a letter for each, and everybody from a second
/// one: an account gets one on Monday morning, about all that it looks after and nothing else.
#[tokio::test]
async fn an_account_gets_one_letter_a_week_over_all_its_sites() {
    let post = PostOffice::with_folder().await;
    let court = post.app.court().await;
    let caretaker = post.app.member(court.site, Role::Caretaker).await;
    let second = post.app.site(&court.educator).await;
    let rename = json!({ "name": "Oak School" });
    let path = format!("/v1/sites/{second}");
    post.app
        .patch(&court.educator, &path, &rename)
        .await
        .ok(200);
    post.app.set_clock("2026-06-14T23:00:00Z").await;
    look(&post).await;
    post.app.set_clock("2026-06-15T11:59:00Z").await;
    look(&post).await;
    assert_eq!(count(&post, "digest", "owed").await, 0);
    post.app.set_clock("2026-06-15T12:10:00Z").await;
    look(&post).await;
    assert_eq!(post.send().await, 2);
    let letters = letters_to(&post, &court.educator, "digest").await;
    assert_eq!(letters.len(), 1);
    says(
        &letters[0],
        &[
            "Subject: Your worm bins, week of Monday, June 15",
            "Elm Court\n\nThe bin is well and nothing waits for you",
            "Oak School\n\nNo bin is stocked yet",
        ],
    );
    let letters = letters_to(&post, &caretaker, "digest").await;
    says(&letters[0], &["Elm Court\n\n"]);
    assert!(!letters[0].contains("Oak School"), "{}", letters[0]);
    assert_eq!(letters_to(&post, &court.resident, "digest").await.len(), 0);

    // Until Thursday nothing more comes of it, not even to who comes now, and then next week.
    post.app.member(court.site, Role::Teacher).await;
    post.app.set_clock("2026-06-17T12:00:00Z").await;
    look(&post).await;
    assert_eq!(post.send().await, 0);
    post.app.set_clock("2026-06-22T12:10:00Z").await;
    look(&post).await;
    assert_eq!(count(&post, "digest", "owed").await, 3);
}

/// Protects keepers from a week that says less than it knows: empty places, turns without a
/// feeding, what waits, and what went in, by plain sums.
#[tokio::test]
async fn the_week_tells_what_comes_what_was_missed_and_what_waits() {
    let post = PostOffice::with_folder().await;
    let court = post.app.court().await;
    let caretaker = post.app.member(court.site, Role::Caretaker).await;
    let bin = (court.site, court.bin);
    for (day, places) in [("2026-06-11", 1), ("2026-06-12", 1), ("2026-06-16", 2)] {
        turn_of(&post.app, bin, ("feeding", day), places).await;
    }
    for day in ["2026-06-13", "2026-06-17"] {
        let off = turn_of(&post.app, bin, ("feeding", day), 1).await;
        let sql = format!("UPDATE turns SET called_off = 'hand' WHERE id = '{off}'");
        post.app.sql(&sql).await;
    }
    turn_of(&post.app, bin, ("tidying", "2026-06-10"), 1).await;
    let told = court.bin_at("/feedings/told");
    for (day, kg) in [("2026-06-11T17:00:00Z", 0.1), ("2026-06-14T17:00:00Z", 0.2)] {
        post.app.set_clock(day).await;
        let meal = weighed("usual-mix", kg);
        post.app.post(&court.resident, &told, &meal).await.ok(201);
    }
    // Entered twice by mistake, and taken back.
    let meal = weighed("usual-mix", 0.05);
    let twice = post.app.post(&court.resident, &told, &meal).await.ok(201);
    let entry = court.bin_at(&format!("/entries/{}", id_of(&twice)));
    let gone = post.app.delete(&court.resident, &entry).await;
    assert!(gone.status.is_success(), "{}", gone.text);
    post.app.newcomer(&court.educator, court.site, "Kim").await;
    post.app
        .sql("UPDATE letters SET state = 'not_wanted', closed_at = created_at")
        .await;
    post.app.set_clock("2026-06-15T12:10:00Z").await;
    look(&post).await;
    // Somebody is asked to come to the empty turn meanwhile.
    post.send().await;
    assert_eq!(count(&post, "digest", "sent").await, 2);
    let letters = letters_to(&post, &caretaker, "digest").await;
    says(
        &letters[0],
        &[
            "- Tuesday, June 16, “",
            "”: 2 places are still empty.",
            "- Friday, June 12, “",
            "”: nobody wrote down a feeding.",
            "”: well, and can take ",
            "- 1 newcomer waits to be let in.",
            // A meal of 150 g on June 9, the court's own, 100 g and 200 g.
            "- Last week 15 oz of scraps went in, and 15 oz since the beginning of the year.",
        ],
    );
    for not in ["June 11,", "June 13,", "June 17,", "June 10,"] {
        assert!(!letters[0].contains(not), "{not}: {}", letters[0]);
    }
}

/// Protects whoever wants no such letter: the link ends it for all sites, since it is one
/// letter for all.
#[tokio::test]
async fn the_week_can_be_ended_by_its_link() {
    let post = PostOffice::with_folder().await;
    let court = post.app.court().await;
    post.app.site(&court.educator).await;
    post.app.set_clock("2026-06-15T12:10:00Z").await;
    look(&post).await;
    assert_eq!(post.send().await, 1);
    let row = post
        .app
        .rows("SELECT id FROM letters WHERE kind = 'digest'")
        .await;
    let links = &post.app.desk.credentials().links;
    let stop = LinkFor::Letter(LetterDeed::Stop);
    let token = links.token(stop, id_of(&row[0]));
    let path = format!("/letters/stop/{token}");
    let ask = post.app.ask(reqwest::Method::POST, &path);
    let ask = ask.header("content-type", "application/x-www-form-urlencoded");
    assert_eq!(ask.body("").send().await.status, 200);
    post.app.set_clock("2026-06-22T12:10:00Z").await;
    look(&post).await;
    assert_eq!(post.send().await, 0);
    assert_eq!(count(&post, "digest", "not_wanted").await, 1);
}

/// Protects keepers from reading one trouble of a bin over and over: each is one line, with the day
/// of its newest notice, and none where the line of the bin says it already.
#[tokio::test]
async fn a_trouble_of_a_bin_is_one_line_however_often_it_was_noticed() {
    let post = PostOffice::with_folder().await;
    let court = post.app.court().await;
    let second = post.app.stocked_bin(&court.educator, court.site).await;
    let notices = [
        (court.bin, "trouble_seen", 11),
        (court.bin, "over_limit", 12),
        (second, "trouble_seen", 12),
        (court.bin, "trouble_seen", 13),
    ];
    for (bin, kind, day) in notices {
        let (site, id) = (court.site, Uuid::now_v7());
        let notice = format!(
            "INSERT INTO notices (site_id, id, bin_id, kind, created_at)
             VALUES ('{site}', '{id}', '{bin}', '{kind}', '2026-06-{day}T17:00:00Z')"
        );
        post.app.sql(&notice).await;
    }
    post.app.set_clock("2026-06-15T12:10:00Z").await;
    look(&post).await;
    post.send().await;
    let letters = letters_to(&post, &court.educator, "digest").await;
    let lines = |of: &str| letters[0].lines().filter(|line| line.contains(of)).count();
    assert_eq!(lines("somebody saw pests"), 2, "{}", letters[0]);
    assert_eq!(lines("Saturday, June 13"), 1, "{}", letters[0]);
    assert_eq!(lines("Thursday, June 11"), 0, "{}", letters[0]);
    assert_eq!(lines("too much food went in"), 1, "{}", letters[0]);
    assert_eq!(lines("more notice"), 0, "all are said: {}", letters[0]);
}
