//! What those who look after bins are told before and after a long closure.

use crate::frame::{Court, id_of};
use crate::post_office::PostOffice;
use serde_json::json;
use uuid::Uuid;
use wormrota::clock;
use wormrota::desk::due::owe_due;
use wormrota_domain::access::Role;

async fn owe(post: &PostOffice) {
    owe_due(&post.app.desk, clock::wall()).await.unwrap();
}

/// The letters about closures, the oldest first.
async fn letters(post: &PostOffice) -> Vec<Uuid> {
    let query = "SELECT id FROM letters WHERE kind = 'closure_plan' ORDER BY id";
    post.app.rows(query).await.iter().map(id_of).collect()
}

async fn shut(post: &PostOffice, court: &Court, first: &str, last: &str) -> Uuid {
    let body = json!({ "first_day": first, "last_day": last });
    let made = post
        .app
        .post(&court.educator, &court.at("/closures"), &body)
        .await;
    id_of(&made.ok(201))
}

/// Protects a summer from being noticed too late: caretakers are told three weeks and one week
/// before, each once however often the service looks, and how to begin again afterwards.
#[tokio::test]
async fn caretakers_are_told_before_a_long_closure_and_after_it() {
    let post = PostOffice::with_folder().await;
    let court = post.app.court().await;
    post.app.member(court.site, Role::Caretaker).await;
    let closure = shut(&post, &court, "2026-07-06", "2026-08-16").await;
    // Two weeks are nothing to tell of.
    shut(&post, &court, "2026-09-07", "2026-09-20").await;

    post.app.set_clock("2026-06-14T17:00:00Z").await;
    owe(&post).await;
    assert!(letters(&post).await.is_empty());
    post.app.set_clock("2026-06-15T17:00:00Z").await;
    owe(&post).await;
    owe(&post).await;
    let owed = letters(&post).await;
    assert_eq!(owed.len(), 1);
    post.send().await;
    assert_eq!(post.state(owed[0]).await.0, "sent");
    let text = post.letter(owed[0]);
    for part in [
        " is shut from Monday",
        "42 days",
        "accept the plan",
        "wear gloves",
        "shortly before the first day",
    ] {
        assert!(
            text.to_lowercase().contains(&part.to_lowercase()),
            "{part}: {text}"
        );
    }

    // The days that were agreed on, and not those that would do as well.
    let path = court.at(&format!("/closures/{closure}/visits"));
    let agreed = json!({ "visit_weekdays": [2, 5] });
    let agreed = post.app.post(&court.educator, &path, &agreed).await;
    assert_eq!(agreed.ok(201)["added"], 1);
    post.app.set_clock("2026-06-30T17:00:00Z").await;
    owe(&post).await;
    let owed = letters(&post).await;
    assert_eq!(owed.len(), 2);
    post.send().await;
    assert_eq!(post.state(owed[1]).await.0, "sent");
    let text = post.letter(owed[1]);
    assert!(
        text.contains("One visit is agreed on, and no other"),
        "{text}"
    );
    assert!(text.contains("and nobody has it yet"), "{text}");
    assert!(!text.contains("somebody needs to come"), "{text}");

    post.app.set_clock("2026-07-20T17:00:00Z").await;
    owe(&post).await;
    assert_eq!(letters(&post).await.len(), 2);
    post.app.set_clock("2026-08-17T17:00:00Z").await;
    owe(&post).await;
    let owed = letters(&post).await;
    assert_eq!(owed.len(), 3);
    post.send().await;
    assert_eq!(post.state(owed[2]).await.0, "sent");
    assert!(post.letter(owed[2]).contains("gentle start"));
    post.app.set_clock("2026-08-25T17:00:00Z").await;
    owe(&post).await;
    assert_eq!(letters(&post).await.len(), 3);
}

/// Protects people from letters about days on which the site is open, or that are no longer
/// theirs to look after.
#[tokio::test]
async fn what_is_settled_meanwhile_is_not_sent() {
    let post = PostOffice::with_folder().await;
    let court = post.app.court().await;
    post.app.member(court.site, Role::Teacher).await;
    let closure = shut(&post, &court, "2026-06-29", "2026-08-09").await;
    owe(&post).await;
    let owed = letters(&post).await;
    assert_eq!(owed.len(), 1);
    let path = court.at(&format!("/closures/{closure}"));
    post.app.delete(&court.educator, &path).await.ok(200);
    assert_eq!(post.send().await, 0);
    assert_eq!(post.state(owed[0]).await.0, "not_wanted");
}
