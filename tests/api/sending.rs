//! Letters and a mail server that makes every mistake: each has its outcome, and nothing is lost.

use crate::frame::logged;
use crate::mail_peer::{Does, Greets, MailPeer};
use crate::post_office::{PostOffice, to_peer};
use chrono::TimeDelta;
use serde_json::{Value, json};
use wormrota::clock;
use wormrota::settings::Tls;

/// What the mail server does, and what becomes of the letter: state and reason.
const FAULTS: [(&str, Does, &str, Option<&str>); 11] = [
    ("fine", Does::Takes, "sent", None),
    (
        "421",
        Does::SaysToReceiver("421 4.3.2 closing"),
        "owed",
        Some("put_off"),
    ),
    (
        "450",
        Does::SaysToReceiver("450 4.2.0 greylisted"),
        "owed",
        Some("put_off"),
    ),
    (
        "452",
        Does::SaysToReceiver("452 4.2.2 full"),
        "owed",
        Some("put_off"),
    ),
    (
        "550",
        Does::SaysToReceiver("550 5.1.1 550@elm.example unknown"),
        "refused",
        Some("address_refused"),
    ),
    (
        "relay",
        Does::SaysToReceiver("550 5.7.1 no relaying"),
        "refused",
        Some("policy_refused"),
    ),
    (
        "554",
        Does::SaysToLetter("554 5.6.0 cannot be read"),
        "refused",
        Some("message_refused"),
    ),
    ("hang", Does::Hangs, "owed", Some("timed_out")),
    ("drop", Does::DropsLetter, "owed", Some("bad_answer")),
    (
        "nonsense",
        Does::SaysToReceiver("fine, thanks"),
        "owed",
        Some("bad_answer"),
    ),
    ("last", Does::Takes, "sent", None),
];

/// Protects letters from getting lost or being repeated because of any one mistake of a mail
/// server, and addresses from the log.
#[tokio::test]
async fn every_fault_has_its_outcome_and_the_rest_goes_on() {
    let peer = MailPeer::start().await;
    let office = PostOffice::with(|letters| {
        to_peer(letters, peer.port);
        letters.smtp.timeout_s = 5;
    })
    .await;
    let names = FAULTS.map(|(name, ..)| name);
    for (name, does, ..) in FAULTS {
        peer.to(name, does);
    }
    let (ada, site, letters) = office.invite(&names).await;
    let now = clock::wall();
    assert_eq!(office.send_at(now).await, 2);
    for ((name, _, state, reason), letter) in FAULTS.iter().zip(&letters) {
        let expected = ((*state).to_owned(), reason.map(str::to_owned));
        assert_eq!(office.state(*letter).await, expected, "{name}");
    }
    let log = logged();
    assert!(!log.contains("550@elm"), "an address in the log");
    assert!(log.contains("address_refused"));

    // Nothing is tried again before its pause is over; then the server has mended its ways.
    assert_eq!(office.send_at(now).await, 0);
    for name in names {
        peer.to(name, Does::Takes);
    }
    assert_eq!(office.send_at(now + TimeDelta::minutes(1)).await, 6);
    let refused = office.listed(&ada, site, "?state=refused").await;
    assert_eq!(refused["items"].as_array().unwrap().len(), 3);
    let received = peer.received();
    let of = |name: &str| -> Vec<String> {
        let to = format!("{name}@elm.example");
        let all = received.iter().filter(|one| one.to == to);
        all.map(|one| one.header("Message-ID")).collect()
    };
    for (name, letter) in names.iter().zip(&letters) {
        let expected = match *name {
            "550" | "relay" => 0,
            // It had come before the connection broke.
            "drop" => 2,
            _ => 1,
        };
        let id = format!("<{letter}@wormrota.invalid>");
        assert_eq!(of(name), vec![id; expected], "{name}");
    }
}

/// Protects links from being sent in the clear, and the mail server from being asked in vain
/// for each of many letters.
#[tokio::test]
async fn what_is_wrong_with_the_server_stops_all_letters_and_loses_none() {
    let peer = MailPeer::start().await;
    for (greets, tls, user, reason) in [
        (Greets::Well, Tls::StartTls, false, "no_tls"),
        (Greets::WithFalseTls, Tls::StartTls, false, "tls_failed"),
        (Greets::Well, Tls::Tls, false, "tls_failed"),
        (Greets::With("554 go away"), Tls::Off, false, "turned_away"),
        (Greets::With("421 too busy"), Tls::Off, false, "turned_away"),
        (Greets::With("hello there"), Tls::Off, false, "turned_away"),
        (Greets::WithAuth, Tls::Off, true, "sign_in_refused"),
    ] {
        peer.greet(greets);
        let office = PostOffice::with(|letters| {
            to_peer(letters, peer.port);
            letters.smtp.tls = tls;
            letters.smtp.connections = 1;
            if user {
                "bins".clone_into(&mut letters.smtp.user);
                letters.smtp.password = Some("heron".to_owned().into());
            }
        })
        .await;
        let (_, _, letters) = office.invite(&["bo", "cy"]).await;
        assert_eq!(office.send().await, 0, "{reason}");
        let expected = ("owed".to_owned(), Some(reason.to_owned()));
        assert_eq!(office.state(letters[0]).await, expected);
        assert!(peer.received().is_empty(), "{reason}");
        let commands = peer.commands();
        assert!(
            !commands.iter().any(|line| line.starts_with("MAIL")),
            "{commands:?}"
        );

        peer.greet(Greets::Well);
        if tls == Tls::Off && !user {
            assert_eq!(
                office.send_at(clock::wall() + TimeDelta::minutes(1)).await,
                2
            );
        }
        peer.forget();
    }
    let log = logged();
    assert!(log.contains("look at `letters` in the settings"));
    assert!(!log.contains("heron"));
}

/// Protects letters from a mail server that is away.
#[tokio::test]
async fn a_server_that_is_away_is_tried_until_the_letter_would_come_too_late() {
    let gone = MailPeer::start_and_leave().await;
    let office = PostOffice::with_peer(gone).await;
    let bo = office.app.stranger().await;
    let mut now = clock::wall();
    let until = now + TimeDelta::minutes(10);
    let (_, letter) = office.owe_link(&bo, "sign_in", until).await;
    let mut tries = 0;
    while office.state(letter).await.0 == "owed" {
        assert_eq!(office.send_at(now).await, 0);
        now += TimeDelta::seconds(5);
        tries = tries.max(office.attempts(letter).await);
    }
    let expected = ("too_late".to_owned(), Some("unreachable".to_owned()));
    assert_eq!(office.state(letter).await, expected);
    assert!(
        now <= until,
        "closed when the last pause reached beyond the end"
    );
    // 15 s, doubled each time, give or take a quarter.
    assert!((5..=6).contains(&tries), "{tries}");
}

/// Protects the others from one receiver's server that hangs.
#[tokio::test]
async fn a_letter_that_hangs_holds_no_other_up() {
    let peer = MailPeer::start().await;
    let office = PostOffice::with(|letters| {
        to_peer(letters, peer.port);
        letters.smtp.connections = 2;
    })
    .await;
    peer.to("slow", Does::HoldsLetter);
    let (_, _, letters) = office.invite(&["slow", "bo", "cy", "di", "el"]).await;
    let (desk, post) = (office.app.desk.clone(), office.post.clone());
    let now = clock::wall();
    let sending = tokio::spawn(async move { wormrota::letters::send_due(&desk, &post, now).await });
    peer.until_received(5).await;
    let slow = office.state(letters[0]).await;
    assert_eq!(slow, ("leased".to_owned(), None));
    peer.release();
    assert_eq!(sending.await.unwrap().unwrap(), 5);
}

/// Protects everybody from being written to in a stranger's name, and strangers from being
/// written to.
#[tokio::test]
async fn neither_a_name_nor_an_address_says_anything_to_the_server() {
    let peer = MailPeer::start().await;
    let office = PostOffice::with_peer(peer.port).await;
    let (ada, site, letters) = office.invite(&["name", "address"]).await;
    // Past the door, as if somebody had written to the database.
    office
        .app
        .sql(
            "UPDATE member_names SET name = E'Bo\\r\\nBcc: eve@evil.example\\r\\n\\r\\n<b>Hi</b>'
             WHERE email_lower = 'name@elm.example';
             UPDATE member_names SET
                email_lower = E'bo@elm.example>\\r\\nrcpt to:<eve@evil.example'
             WHERE email_lower = 'address@elm.example'",
        )
        .await;
    assert_eq!(office.send().await, 1);
    let unusable = ("refused".to_owned(), Some("address_unusable".to_owned()));
    assert_eq!(office.state(letters[1]).await, unusable);
    let received = peer.received();
    assert_eq!(received.len(), 1);
    let (head, body) = received[0].message.split_once("\r\n\r\n").unwrap();
    assert!(!head.to_lowercase().contains("\nbcc:"), "{head}");
    let unfolded = body.replace("=\r\n", "");
    assert!(unfolded.contains("&lt;b&gt;Hi&lt;/b&gt;"), "{body}");
    assert!(body.is_ascii());
    let commands = peer.commands();
    assert!(
        !commands.iter().any(|line| line.contains("eve")),
        "{commands:?}"
    );
    let listed = office.listed(&ada, site, "?state=refused").await;
    assert!(!listed.to_string().contains("evil"), "{listed}");
}

/// Protects a mailbox from being filled through this service, and the letters above the limit
/// from getting lost.
#[tokio::test]
async fn what_is_above_the_hours_limit_waits_and_what_was_not_sent_does_not_count() {
    let peer = MailPeer::start().await;
    let office = PostOffice::with(|letters| {
        to_peer(letters, peer.port);
        letters.to_one_address_per_hour = 2;
        letters.smtp.connections = 1;
    })
    .await;
    let bo = office.app.stranger().await;
    let whom = bo.email.split('@').next().unwrap();
    // The middle of an hour: none of this crosses into the next.
    let hour = next_hour();
    let until = hour + TimeDelta::days(1);
    let mut letters = Vec::new();
    for _ in 0..3 {
        letters.push(office.owe_link(&bo, "sign_in", until).await.1);
    }
    peer.to(whom, Does::SaysToReceiver("450 later"));
    assert_eq!(office.send_at(hour).await, 0);
    peer.to(whom, Does::Takes);
    assert_eq!(office.send_at(hour + TimeDelta::minutes(5)).await, 2);
    let states: Vec<_> = office
        .app
        .rows("SELECT state, reason FROM letters ORDER BY state")
        .await;
    assert_eq!(
        states,
        [
            json!({ "state": "owed", "reason": "many_this_hour" }),
            json!({ "state": "sent", "reason": Value::Null }),
            json!({ "state": "sent", "reason": Value::Null }),
        ]
    );
    assert_eq!(office.send_at(hour + TimeDelta::minutes(30)).await, 0);
    assert_eq!(office.send_at(hour + TimeDelta::minutes(61)).await, 1);
}

/// The beginning of an hour that lies ahead.
fn next_hour() -> chrono::DateTime<chrono::Utc> {
    let now = clock::wall();
    let into = TimeDelta::seconds(now.timestamp().rem_euclid(3_600));
    now - into + TimeDelta::hours(1)
}
