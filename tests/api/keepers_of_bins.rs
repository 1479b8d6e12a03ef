//! Troubles of bins that nobody told: found by looking, told once a week while they last.

use crate::frame::{App, NOON_IN_JUNE, all_at_once};
use crate::keepers_are_told::{count, letters_to, look, says};
use crate::post_office::PostOffice;
use chrono::{DateTime, TimeDelta, Utc};
use serde_json::{Value, json};
use std::time::Instant;
use wormrota::clock;
use wormrota::desk::due::owe_due;
use wormrota::desk::lease_letters::claim;
use wormrota::desk::letters::{Found, Part, letters_for};
use wormrota_domain::access::Role;

async fn later(post: &PostOffice, days: i64, hours: i64) {
    let noon: DateTime<Utc> = NOON_IN_JUNE.parse().unwrap();
    let at = noon + TimeDelta::days(days) + TimeDelta::hours(hours);
    post.app.set_clock(&at.to_rfc3339()).await;
}

async fn notices(post: &PostOffice, kind: &str) -> usize {
    let query = format!("SELECT id FROM notices WHERE kind = '{kind}'");
    post.app.rows(&query).await.len()
}

/// Protects worms from being forgotten, and keepers from a letter every hour: many copies that
/// look at once put up one notice, and the next one comes a week later.
#[tokio::test]
async fn a_bin_that_dries_out_is_told_once_a_week_until_somebody_tends_it() {
    let post = PostOffice::with_folder().await;
    let court = post.app.court().await;
    let caretaker = post.app.member(court.site, Role::Caretaker).await;
    look(&post).await;
    assert_eq!(
        post.app.rows("SELECT id FROM notices").await,
        [] as [Value; 0]
    );

    // From a Thursday on, and no Monday to Wednesday: nobody gets their week as well.
    later(&post, 29, 0).await;
    let desk = post.app.desk.clone();
    let looks = (0..8).map(|_| {
        let desk = desk.clone();
        async move { owe_due(&desk, clock::wall()).await.unwrap() }
    });
    all_at_once(looks).await;
    assert_eq!(notices(&post, "drying_out").await, 1);
    assert_eq!(post.send().await, 1);
    let letters = letters_to(&post, &caretaker, "bin_trouble").await;
    says(
        &letters[0],
        &[
            "began to dry about ",
            "1. Sprinkle water over the bedding until",
        ],
    );

    for (days, hours, told) in [(29, 1, 1), (31, 0, 1), (35, 23, 1), (36, 1, 2), (36, 2, 2)] {
        later(&post, days, hours).await;
        look(&post).await;
        assert_eq!(notices(&post, "drying_out").await, told, "{days} {hours}");
    }
    // Somebody tends it before the second letter goes.
    let damp = json!({ "smell": "earthy", "dampness": "right" });
    let checks = court.bin_at("/checks");
    post.app.post(&court.resident, &checks, &damp).await.ok(201);
    assert_eq!(post.send().await, 0);
    assert_eq!(count(&post, "bin_trouble", "not_wanted").await, 1);
    later(&post, 44, 0).await;
    look(&post).await;
    assert_eq!(notices(&post, "drying_out").await, 2);
}

/// Protects worms from heat: what a resident measures is told at once with its degrees, and not
/// again an hour later by whoever looks.
#[tokio::test]
async fn a_hot_bed_is_told_at_once_and_once() {
    let post = PostOffice::with_folder().await;
    let court = post.app.court().await;
    let caretaker = post.app.member(court.site, Role::Caretaker).await;
    let hot = json!({ "values": [{ "quantity": "bed_c", "value": 32.0 }] });
    let readings = court.bin_at("/readings");
    post.app
        .post(&court.resident, &readings, &hot)
        .await
        .ok(201);
    look(&post).await;
    assert_eq!(notices(&post, "too_hot").await, 1);
    assert_eq!(post.send().await, 1);
    let letters = letters_to(&post, &caretaker, "bin_trouble").await;
    says(
        &letters[0],
        &[
            "Subject: Too hot for the worms in the bin",
            "By what was measured lately its bed has about 90 °F.",
            "1. Above 95 °F worms die: if the bed is that hot, bring the bin into the cool now",
            "2. Do not reach into a bed that feels hot before it has cooled.",
        ],
    );
}

/// Protects worms from a meal in a hot bed, and keepers from "put nothing in" and "bring a meal"
/// about one bin: hunger is told when the notice of heat is ticked off, and not before.
#[tokio::test]
async fn hunger_waits_until_heat_is_seen_to() {
    let post = PostOffice::with_folder().await;
    let court = post.app.court().await;
    let caretaker = post.app.member(court.site, Role::Caretaker).await;
    let readings = court.bin_at("/readings");
    let measure = async |degrees: f64| {
        let bed = json!({ "values": [{ "quantity": "bed_c", "value": degrees }] });
        let told = post.app.post(&court.resident, &readings, &bed).await;
        told.ok(201);
    };
    // Looked after, and never fed.
    let damp = json!({ "dampness": "right" });
    let checks = court.bin_at("/checks");
    later(&post, 20, 0).await;
    post.app.post(&court.resident, &checks, &damp).await.ok(201);
    later(&post, 38, 0).await;
    post.app.post(&court.resident, &checks, &damp).await.ok(201);
    measure(32.0).await;
    later(&post, 40, 0).await;
    measure(22.0).await;
    look(&post).await;
    assert_eq!(notices(&post, "too_hot").await, 1);
    assert_eq!(notices(&post, "hungry").await, 0);
    post.app
        .sql("UPDATE notices SET seen_at = created_at, seen_by = (SELECT id FROM members LIMIT 1)")
        .await;
    later(&post, 40, 1).await;
    look(&post).await;
    assert_eq!(notices(&post, "hungry").await, 1);
    // A new heat before the letter goes: it is not sent.
    measure(33.0).await;
    post.send().await;
    let letters = letters_to(&post, &caretaker, "bin_trouble").await;
    assert!(
        letters.iter().all(|letter| !letter.contains("Hungry")),
        "{letters:?}"
    );
}

/// Protects keepers from a bin that rests for good since nobody looked, and from old news about
/// one that was given up.
#[tokio::test]
async fn a_bin_that_rests_unseen_is_told_again_and_one_given_up_is_not() {
    let post = PostOffice::with_folder().await;
    let court = post.app.court().await;
    let caretaker = post.app.member(court.site, Role::Caretaker).await;
    let sour = json!({ "smell": "sour" });
    let checks = court.bin_at("/checks");
    post.app.post(&caretaker, &checks, &sour).await.ok(201);
    look(&post).await;
    assert_eq!(notices(&post, "bin_rests").await, 0);
    later(&post, 8, 0).await;
    look(&post).await;
    assert_eq!(notices(&post, "bin_rests").await, 1);
    assert_eq!(post.send().await, 1);
    let letters = letters_to(&post, &caretaker, "bin_trouble").await;
    says(
        &letters[0],
        &[
            "What was noticed: a sour smell.",
            // What the forecast says too.
            "1. Put in no more than 2.5 oz (",
            "since Wednesday, June 10",
        ],
    );

    let again = "UPDATE letters SET state = 'owed', closed_at = NULL WHERE kind = 'bin_trouble'";
    let retire = format!(
        "{again}; UPDATE bins SET retired_at = now() WHERE id = '{}'",
        court.bin
    );
    post.app.sql(&retire).await;
    assert_eq!(post.send().await, 0);
    assert_eq!(count(&post, "bin_trouble", "not_wanted").await, 1);
}

/// Protects the service from reckoning every bin every twenty seconds: thirty sites with three
/// bins each are looked at once an hour. Prints how long it takes.
#[tokio::test]
async fn bins_are_reckoned_once_an_hour() {
    let app = App::start_in_june_without_limits().await;
    let ada = app.educator().await;
    for _ in 0..30 {
        let site = app.site(&ada).await;
        for _ in 0..3 {
            app.stocked_bin(&ada, site).await;
        }
    }
    let mut known = 0;
    for (clock_at, fresh) in [
        ("2026-07-09T17:10:00Z", 30),
        ("2026-07-09T17:10:20Z", 0),
        ("2026-07-09T18:10:00Z", 30),
    ] {
        app.set_clock(clock_at).await;
        let begun = Instant::now();
        owe_due(&app.desk, clock::wall()).await.unwrap();
        println!("{fresh} sites with 3 bins: {:?}", begun.elapsed());
        let looks = app
            .rows("SELECT id FROM jobs WHERE kind = 'bin_troubles'")
            .await;
        known += fresh;
        assert_eq!(looks.len(), known);
    }
    let told = app
        .rows("SELECT id FROM notices WHERE kind = 'drying_out'")
        .await;
    assert_eq!(told.len(), 90);

    // And the week of all thirty sites is one letter.
    app.set_clock("2026-07-13T12:10:00Z").await;
    let wall = clock::wall();
    owe_due(&app.desk, wall).await.unwrap();
    let digest = claim(&app.desk, wall, 9).await.unwrap();
    assert_eq!(digest.len(), 1);
    assert_eq!(digest[0].kind, "digest");
    let begun = Instant::now();
    let found = letters_for(&app.desk, digest, wall).await.unwrap();
    println!("the week of 30 sites: {:?}", begun.elapsed());
    let [Found::Letter(letter)] = found.as_slice() else {
        panic!("{found:?}");
    };
    let parts = letter.content.parts.iter();
    let headings = parts.filter(|part| matches!(part, Part::Heading(_)));
    assert_eq!(headings.count(), 30);
}
