//! What whoever looks after a site sees of letters: what became of them, and nothing they said.

use crate::frame::id_of;
use crate::mail_peer::{Does, MailPeer};
use crate::post_office::PostOffice;
use chrono::TimeDelta;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use wormrota::clock;
use wormrota::work::work_once;
use wormrota_domain::access::Role;

/// Protects caretakers from waiting for somebody whose letters come back, and everybody's
/// address and words from the list.
#[tokio::test]
async fn keepers_see_what_became_of_letters_and_whose_come_back() {
    let peer = MailPeer::start().await;
    let office = PostOffice::with_peer(peer.port).await;
    peer.to("gone", Does::SaysToReceiver("550 5.1.1 unknown"));
    peer.to("busy", Does::SaysToReceiver("450 later"));
    let (ada, site, _) = office.invite(&["bo", "gone", "busy"]).await;
    let now = clock::wall();
    assert_eq!(office.send_at(now).await, 1);

    let all = office.listed(&ada, site, "").await;
    let items = all["items"].as_array().unwrap();
    let seen: Vec<_> = items
        .iter()
        .map(|one| {
            (
                one["kind"].as_str().unwrap(),
                one["state"].as_str().unwrap(),
                one["reason"].as_str(),
            )
        })
        .collect();
    assert_eq!(
        seen,
        [
            ("invitation", "owed", Some("put_off")),
            ("invitation", "refused", Some("address_refused")),
            ("invitation", "sent", None),
        ]
    );
    assert!(items[0]["due_at"].is_string() && items[0]["closed_at"].is_null());
    assert!(items[1]["due_at"].is_null() && items[1]["closed_at"].is_string());
    let text = all.to_string();
    for hidden in ["@", "elm.example", "token", "bo", "Hello"] {
        assert!(!text.contains(hidden), "{hidden}: {text}");
    }

    // Page by page, and by state.
    let first = office.listed(&ada, site, "?limit=2").await;
    let next = first["next_cursor"].as_str().unwrap();
    let rest = office
        .listed(&ada, site, &format!("?limit=2&cursor={next}"))
        .await;
    let mut ids: Vec<&Value> = first["items"].as_array().unwrap().iter().collect();
    ids.extend(rest["items"].as_array().unwrap());
    assert_eq!(ids, items.iter().collect::<Vec<_>>());
    let sent = office.listed(&ada, site, "?state=sent").await;
    assert_eq!(sent["items"], json!([items[2]]));
    for bad in [
        "?state=lost",
        "?state=sent&state=owed",
        "?limit=0",
        "?whose=bo",
    ] {
        let path = format!("/v1/sites/{site}/letters{bad}");
        office.app.get(&ada, &path).await.problem(400, "bad_query");
    }

    // The member is marked until there is another address.
    let gone = items[1]["member_id"].as_str().unwrap();
    let path = format!("/v1/sites/{site}/members/{gone}");
    let member = office.app.get(&ada, &path).await.ok(200);
    assert!(member["details"]["bounced_at"].is_string(), "{member}");
    let change = json!({ "email": "here@elm.example" });
    let member = office.app.patch(&ada, &path, &change).await.ok(200);
    assert_eq!(member["details"]["bounced_at"], Value::Null);
    assert_eq!(office.send_at(now + TimeDelta::seconds(5)).await, 1);
    let to: BTreeSet<String> = peer.received().into_iter().map(|one| one.to).collect();
    assert_eq!(
        to,
        BTreeSet::from(["bo@elm.example".to_owned(), "here@elm.example".to_owned()])
    );
}

/// Protects keepers from believing in a bounce that is over, and neighbours' marks from
/// neighbours.
#[tokio::test]
async fn a_letter_to_an_account_marks_its_members_and_one_that_arrives_clears_the_mark() {
    let peer = MailPeer::start().await;
    let office = PostOffice::with_peer(peer.port).await;
    let (ada, site, _) = office.invite(&[]).await;
    let bo = office.app.member(site, Role::Resident).await;
    let member = office.app.member_id(&bo, site).await;
    let path = format!("/v1/sites/{site}/members/{member}");
    let whom = bo.email.split('@').next().unwrap();
    let now = clock::wall();
    for (does, marked) in [
        (Does::SaysToReceiver("550 5.1.1 unknown"), true),
        (Does::SaysToLetter("554 no"), true),
        (Does::Takes, false),
    ] {
        peer.to(whom, does);
        office
            .owe_link(&bo, "sign_in", now + TimeDelta::hours(1))
            .await;
        office.send_at(now).await;
        let seen = office.app.get(&ada, &path).await.ok(200);
        assert_eq!(
            seen["details"]["bounced_at"].is_string(),
            marked,
            "{does:?}"
        );
    }
    // What an account asked for is no site's business.
    let listed = office.listed(&ada, site, "").await;
    assert_eq!(listed["items"], json!([]));
}

/// Protects people from being remembered by letters of long ago, and what is still owed from
/// being forgotten.
#[tokio::test]
async fn letters_are_forgotten_thirty_days_after_they_were_closed() {
    let office = PostOffice::with_folder().await;
    let (ada, site, letters) = office.invite(&["bo", "cy", "di"]).await;
    assert_eq!(office.send().await, 3);
    let now = clock::wall();
    let closed = |days| now - TimeDelta::days(days);
    office
        .app
        .sql(&format!(
            "UPDATE letters SET closed_at = '{}' WHERE id = '{}';
             UPDATE letters SET closed_at = '{}' WHERE id = '{}';
             UPDATE letters SET state = 'owed', closed_at = NULL, created_at = '{}'
                WHERE id = '{}'",
            closed(31),
            letters[0],
            closed(29),
            letters[1],
            closed(31),
            letters[2]
        ))
        .await;
    work_once(&office.app.desk, now).await.unwrap();
    let left = office.listed(&ada, site, "").await;
    let left: Vec<_> = left["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(id_of)
        .collect();
    assert_eq!(left, [letters[2], letters[1]]);
}
