//! Several senders, and senders that die: each letter goes once, but for those whose
//! acknowledgement was cut off, and these go again under the same Message-ID.

use crate::frame::{App, settings};
use crate::mail_peer::{Does, MailPeer};
use crate::post_office::{PostOffice, to_peer};
use chrono::TimeDelta;
use diesel_async::{AsyncConnection, AsyncPgConnection, SimpleAsyncConnection};
use std::collections::BTreeSet;
use uuid::Uuid;
use wormrota::clock;
use wormrota::desk::lease_letters::LEASE;
use wormrota::letters::send_due;

fn message_id(letter: Uuid) -> String {
    format!("<{letter}@wormrota.invalid>")
}

/// Protects receivers from doubles where two copies of the service send at once.
#[tokio::test]
async fn two_copies_at_once_send_no_letter_twice() {
    let peer = MailPeer::start().await;
    let office = PostOffice::with_peer(peer.port).await;
    let names: Vec<String> = (0..60).map(|n| format!("r{n}")).collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let (_, _, letters) = office.invite(&names).await;
    let other = App::on(office.app.url.clone(), settings());
    let now = clock::wall();
    let (one, two) = tokio::join!(
        send_due(&office.app.desk, &office.post, now),
        send_due(&other.desk, &office.post, now),
    );
    assert_eq!(one.unwrap() + two.unwrap(), 60);
    let received = peer.received();
    assert_eq!(received.len(), 60);
    let ids: BTreeSet<String> = received
        .iter()
        .map(|one| one.header("Message-ID"))
        .collect();
    let expected: BTreeSet<String> = letters.into_iter().map(message_id).collect();
    assert_eq!(ids, expected);
}

/// Protects letters of a copy that died between the server's yes and its own commit.
#[tokio::test]
async fn a_copy_that_dies_before_it_hears_the_answer_has_its_letter_sent_again_as_the_same() {
    let peer = MailPeer::start().await;
    let office = PostOffice::with_peer(peer.port).await;
    peer.to("bo", Does::HoldsLetter);
    let (_, _, letters) = office.invite(&["bo"]).await;
    let (desk, post) = (office.app.desk.clone(), office.post.clone());
    let now = clock::wall();
    let dying = tokio::spawn(async move { send_due(&desk, &post, now).await });
    peer.until_received(1).await;
    dying.abort();
    assert!(dying.await.unwrap_err().is_cancelled());
    peer.to("bo", Does::Takes);

    // Its lease protects the letter until it runs out.
    let leased = ("leased".to_owned(), None);
    assert_eq!(office.state(letters[0]).await, leased);
    assert_eq!(office.send_at(now + LEASE - TimeDelta::seconds(1)).await, 0);
    assert_eq!(office.send_at(now + LEASE).await, 1);
    assert_eq!(office.state(letters[0]).await, ("sent".to_owned(), None));
    let received = peer.received();
    assert_eq!(received.len(), 2);
    for one in &received {
        assert_eq!(one.header("Message-ID"), message_id(letters[0]));
    }
    assert_eq!(received[0].message, received[1].message);
}

/// Protects the speed of sending from the disk: a sender goes on with what lies ready while its
/// last letters are settled and others are leased.
#[tokio::test]
async fn a_sender_goes_on_while_letters_are_settled_and_leases_more_afterwards() {
    let peer = MailPeer::start().await;
    let office = PostOffice::with(|letters| {
        to_peer(letters, peer.port);
        letters.smtp.connections = 1;
    })
    .await;
    let names: Vec<String> = (0..9).map(|n| format!("r{n}")).collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    // Leases of one, two and four letters: this one is the first of four.
    peer.to("r3", Does::HoldsLetter);
    let (_, _, letters) = office.invite(&names).await;
    let (desk, post) = (office.app.desk.clone(), office.post.clone());
    let now = clock::wall();
    let sending = tokio::spawn(async move { send_due(&desk, &post, now).await });
    peer.until_received(4).await;

    let mut writer = AsyncPgConnection::establish(office.app.url.reveal())
        .await
        .unwrap();
    let holds = "BEGIN; LOCK TABLE letters IN EXCLUSIVE MODE";
    writer.batch_execute(holds).await.unwrap();
    peer.release();
    peer.until_received(7).await;
    for letter in &letters[3..7] {
        assert_eq!(office.state(*letter).await.0, "leased");
    }
    for letter in &letters[7..] {
        assert_eq!(office.state(*letter).await.0, "owed");
    }

    writer.batch_execute("COMMIT").await.unwrap();
    assert_eq!(sending.await.unwrap().unwrap(), 9);
    assert_eq!(peer.received().len(), 9);
    for letter in &letters {
        assert_eq!(office.state(*letter).await.0, "sent");
    }
}

/// Protects what a faster copy has settled from one that lost its lease.
#[tokio::test]
async fn who_lost_the_lease_changes_nothing_any_more() {
    let peer = MailPeer::start().await;
    let office = PostOffice::with_peer(peer.port).await;
    peer.to("bo", Does::HoldsLetter);
    let (_, _, letters) = office.invite(&["bo"]).await;
    let (desk, post) = (office.app.desk.clone(), office.post.clone());
    let now = clock::wall();
    let slow = tokio::spawn(async move { send_due(&desk, &post, now).await });
    peer.until_received(1).await;

    peer.to("bo", Does::SaysToLetter("554 5.6.0 no"));
    assert_eq!(office.send_at(now + LEASE).await, 0);
    let refused = ("refused".to_owned(), Some("message_refused".to_owned()));
    assert_eq!(office.state(letters[0]).await, refused);

    peer.release();
    slow.await.unwrap().unwrap();
    assert_eq!(office.state(letters[0]).await, refused);
    assert_eq!(office.attempts(letters[0]).await, 2);
}

/// Protects letters that an older copy of the service owes as jobs while copies are replaced.
#[tokio::test]
async fn a_letter_that_an_older_copy_owes_is_sent() {
    let office = PostOffice::with_folder().await;
    let (_, site, _) = office.invite(&["bo"]).await;
    let invitation = office.app.rows("SELECT id FROM invitations").await[0]["id"].clone();
    let invitation = invitation.as_str().unwrap();
    let (job, now) = (Uuid::now_v7(), clock::wall());
    let bo = office.app.stranger().await;
    let (link, _) = office
        .owe_link(&bo, "reset", now + TimeDelta::hours(1))
        .await;
    office
        .app
        .sql(&format!(
            "DELETE FROM letters;
             INSERT INTO jobs (id, kind, site_id, purpose, payload, run_after, state, attempts, created_at)
             VALUES ('{job}', 'letter', '{site}', 'invitation:{invitation}',
                '{{\"kind\": \"invitation\", \"invitation\": \"{invitation}\", \"site\": \"{site}\"}}',
                '{now}', 'waiting', 0, '{now}');
             INSERT INTO jobs (id, kind, purpose, payload, run_after, state, attempts, created_at)
             VALUES ('{link}', 'letter', 'reset:{link}',
                '{{\"kind\": \"reset\", \"link\": \"{link}\"}}', '{now}', 'waiting', 0, '{now}')"
        ))
        .await;
    assert!(office.app.rows("SELECT id FROM jobs").await.is_empty());
    assert_eq!(office.send().await, 2);
    assert!(office.letter(job).contains("bo@elm.example"));
    assert!(office.letter(link).contains(&bo.email));
}

/// Protects letters that were leased with one that shows that none can go: they wait for no
/// lease, and nothing is counted for them.
#[tokio::test]
async fn letters_that_were_leased_and_not_begun_go_back_as_they_were() {
    let peer = MailPeer::start().await;
    let office = PostOffice::with(|letters| {
        to_peer(letters, peer.port);
        letters.smtp.connections = 1;
    })
    .await;
    let names: Vec<String> = (0..7).map(|n| format!("r{n}")).collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    // Leases of one, two and four letters: three letters lie ready when this one comes.
    peer.to("r3", Does::SaysToReceiver("530 5.7.0 sign in first"));
    let (_, _, letters) = office.invite(&names).await;
    let now = clock::wall();
    assert_eq!(office.send_at(now).await, 3);
    let refused = ("owed".to_owned(), Some("sign_in_refused".to_owned()));
    assert_eq!(office.state(letters[3]).await, refused);
    for letter in &letters[4..] {
        assert_eq!(office.state(*letter).await, ("owed".to_owned(), None));
        assert_eq!(office.attempts(*letter).await, 0);
    }
    let counted = "SELECT sum(used) AS used FROM allowances WHERE counted = 'letters_sent'";
    assert_eq!(office.app.rows(counted).await[0]["used"].to_string(), "3");

    peer.to("r3", Does::Takes);
    assert_eq!(office.send_at(now + TimeDelta::minutes(1)).await, 4);
    assert_eq!(peer.received().len(), 7);
}
