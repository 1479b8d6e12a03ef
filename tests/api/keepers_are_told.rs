//! What whoever looks after a site is told by letter: who waits, what happened to a bin, and
//! whose letters come back.

use crate::frame::{Person, id_of, weighed};
use crate::mail_peer::{Does, MailPeer};
use crate::post_office::PostOffice;
use reqwest::Method;
use serde_json::json;
use uuid::Uuid;
use wormrota::clock;
use wormrota::desk::due::owe_due;
use wormrota_domain::access::Role;

/// The letters of a kind that went to somebody, the oldest first.
pub(crate) async fn letters_to(post: &PostOffice, who: &Person, kind: &str) -> Vec<String> {
    let query = format!(
        "SELECT letters.id FROM letters
         JOIN members ON members.site_id = letters.site_id AND members.id = letters.member_id
         WHERE kind = '{kind}' AND state = 'sent' AND members.account_id = '{}'
         ORDER BY letters.id",
        who.account
    );
    let rows = post.app.rows(&query).await;
    let letters = rows.iter().map(|row| post.letter(id_of(row)));
    letters.map(|letter| plain(&letter)).collect()
}

/// The plain part, with its subject, as it is read.
fn plain(letter: &str) -> String {
    let (text, _) = letter.split_once("Content-Type: text/html").unwrap();
    text.replace("\r\n", "\n")
}

/// How many letters of a kind are owed or were.
pub(crate) async fn count(post: &PostOffice, kind: &str, state: &str) -> usize {
    let query = format!("SELECT id FROM letters WHERE kind = '{kind}' AND state = '{state}'");
    post.app.rows(&query).await.len()
}

/// Looks at every site twice: the second time nothing more may come of it.
pub(crate) async fn look(post: &PostOffice) {
    owe_due(&post.app.desk, clock::wall()).await.unwrap();
    let rows = || {
        post.app
            .rows("SELECT id FROM letters UNION ALL SELECT id FROM notices")
    };
    let before = rows().await.len();
    owe_due(&post.app.desk, clock::wall()).await.unwrap();
    assert_eq!(rows().await.len(), before);
}

#[track_caller]
pub(crate) fn says(letter: &str, parts: &[&str]) {
    for part in parts {
        assert!(letter.contains(part), "{part}: {letter}");
    }
}

async fn make_deputy(post: &PostOffice, keeper: &Person, site: Uuid, deputy: &Person) {
    let deputy = post.app.member_id(deputy, site).await;
    let change = json!({ "deputy_id": deputy });
    let path = format!("/v1/sites/{site}");
    post.app.patch(keeper, &path, &change).await.ok(200);
}

/// Protects newcomers from waiting unseen, and educators of many sites from a letter about each.
#[tokio::test]
async fn keepers_hear_at_once_who_waits_and_the_deputy_after_a_day() {
    let post = PostOffice::with_folder().await;
    let court = post.app.court().await;
    let caretaker = post.app.member(court.site, Role::Caretaker).await;
    let teacher = post.app.member(court.site, Role::Teacher).await;
    let deputy = &court.resident;
    make_deputy(&post, &court.educator, court.site, deputy).await;
    let kim = post.app.newcomer(&court.educator, court.site, "Kim").await;
    look(&post).await;
    assert_eq!(post.send().await, 2);
    for keeper in [&caretaker, &teacher] {
        let letters = letters_to(&post, keeper, "newcomer_waits").await;
        assert_eq!(letters.len(), 1);
        says(
            &letters[0],
            &[
                "Subject: Somebody waits to be let in at Elm Court",
                "Kim from flat 4a asked on Wednesday, June 10 to join",
                "open the list of newcomers",
            ],
        );
    }

    post.app.set_clock("2026-06-11T17:01:00Z").await;
    look(&post).await;
    assert_eq!(post.send().await, 1);
    assert_eq!(letters_to(&post, deputy, "newcomer_waits").await.len(), 1);

    // Whoever is let in before the letter goes is no news any more.
    let lee = post.app.newcomer(&court.educator, court.site, "Lee").await;
    for who in [lee, kim] {
        let path = court.at(&format!("/newcomers/{who}/confirmation"));
        post.app.post(deputy, &path, &json!({})).await;
        post.app.post(&court.educator, &path, &json!({})).await;
    }
    assert_eq!(post.send().await, 0);
    assert_eq!(count(&post, "newcomer_waits", "not_wanted").await, 2);
}

/// Protects a newcomer's name and flat from somebody who was a caretaker when the letter was
/// owed, and is none when it goes.
#[tokio::test]
async fn who_is_no_keeper_any_more_is_told_nothing() {
    let post = PostOffice::with_folder().await;
    let court = post.app.court().await;
    let caretaker = post.app.member(court.site, Role::Caretaker).await;
    post.app.member(court.site, Role::Caretaker).await;
    post.app.newcomer(&court.educator, court.site, "Kim").await;
    let id = post.app.member_id(&caretaker, court.site).await;
    let path = court.at(&format!("/members/{id}"));
    let change = json!({ "roles": ["resident"] });
    post.app
        .patch(&court.educator, &path, &change)
        .await
        .ok(200);
    assert_eq!(post.send().await, 1);
    let letters = letters_to(&post, &caretaker, "newcomer_waits").await;
    assert_eq!(letters, [] as [String; 0]);
    assert_eq!(count(&post, "newcomer_waits", "not_wanted").await, 1);
}

/// Protects newcomers from not knowing that they are in.
#[tokio::test]
async fn who_is_let_in_hears_of_it_by_letter() {
    let post = PostOffice::with_folder().await;
    let court = post.app.court().await;
    let new = json!({ "expires_in_days": 1, "most_uses": 5 });
    let sheets = court.at("/joining_sheets");
    let sheet = post.app.post(&court.educator, &sheets, &new).await;
    let code = sheet.ok(201)["code"].clone();
    let bo = post.app.stranger().await;
    let join = json!({ "code": code, "name": "Bo" });
    post.app.post(&bo, "/v1/joinings", &join).await.ok(201);
    let join = json!({ "code": code, "name": "Cy", "email": "cy@elm.example" });
    post.app.say("/v1/joinings", &join).await.ok(201);
    post.app.newcomer(&court.educator, court.site, "Di").await;
    assert_eq!(post.send().await, 0);
    let waiting = post.app.get(&court.educator, &court.at("/newcomers")).await;
    for newcomer in waiting.ok(200)["items"].as_array().unwrap() {
        let path = court.at(&format!("/newcomers/{}/confirmation", id_of(newcomer)));
        post.app
            .post(&court.educator, &path, &json!({}))
            .await
            .ok(201);
    }
    // Bo is in, Cy hears so with the invitation, Di has no address.
    assert_eq!(post.send().await, 2);
    assert_eq!(count(&post, "let_in", "sent").await, 1);
    let query = "SELECT id FROM letters WHERE kind = 'invitation'";
    let invitation = post.letter(id_of(&post.app.rows(query).await[0]));
    says(
        &invitation,
        &[
            "Subject: You are in: the worm bins of Elm Court",
            "To: Cy <cy@elm.example>",
            "accept this invitation",
            "ask what the bin can take that day",
        ],
    );
    let letters = letters_to(&post, &bo, "let_in").await;
    says(
        &letters[0],
        &[
            "Subject: You are in: the worm bins of Elm Court",
            "you find it in your list of sites",
            "ask what the bin can take that day",
        ],
    );
}

/// Protects bins from trouble that is only seen by whoever looks at a list: keepers hear at
/// once, the deputy when nobody ticked it off, and nobody after it was.
#[tokio::test]
async fn a_notice_is_told_to_keepers_and_to_the_deputy_when_they_leave_it() {
    let post = PostOffice::with_folder().await;
    let court = post.app.court().await;
    let caretaker = post.app.member(court.site, Role::Caretaker).await;
    let teacher = post.app.member(court.site, Role::Teacher).await;
    make_deputy(&post, &court.educator, court.site, &court.resident).await;
    let told = court.bin_at("/feedings/told");
    // A teacher who tells it themselves knows.
    let much = weighed("usual-mix", 9.0);
    post.app.post(&teacher, &told, &much).await.ok(201);
    assert_eq!(post.send().await, 1);
    let letters = letters_to(&post, &caretaker, "bin_trouble").await;
    assert_eq!(letters.len(), 1);
    says(
        &letters[0],
        &[
            "Subject: Too much food in the bin",
            "What to do\n\n1. Put nothing more in, and with gloves take out food that is still whole.\n2. ",
            "If you cannot see to it yourself, ask A teacher.",
            "Wear gloves. Wash your hands with soap afterwards.",
            "has rules about this, they come first.",
        ],
    );

    let seen = json!({ "visitors": ["rodents", "liquid"] });
    let checks = court.bin_at("/checks");
    post.app.post(&court.resident, &checks, &seen).await.ok(201);
    let notices = post
        .app
        .get(&caretaker, &court.at("/notices"))
        .await
        .ok(200);
    let over = notices["items"].as_array().unwrap();
    let over = over.iter().find(|one| one["kind"] == "over_limit").unwrap();
    let tick = court.at(&format!("/notices/{}/seen", id_of(over)));
    post.app
        .ask(Method::POST, &tick)
        .by(&caretaker)
        .send()
        .await
        .ok(200);
    assert_eq!(post.send().await, 2);
    let letters = letters_to(&post, &teacher, "bin_trouble").await;
    says(
        &letters[0],
        &[
            "- Rats or mice, or their traces.\n- Liquid that stands at the bottom.",
            "call a licensed pest controller; lay no bait where children are",
            "keep it away from plants that are eaten",
        ],
    );

    post.app.set_clock("2026-06-11T17:01:00Z").await;
    look(&post).await;
    assert_eq!(post.send().await, 1);
    let letters = letters_to(&post, &court.resident, "bin_trouble").await;
    assert_eq!(letters.len(), 1);
    says(&letters[0], &["Subject: Trouble was seen in the bin"]);
}

/// Protects keepers and the deputy from a letter for each trouble of one feeding: all stand in
/// one, the steps that they share said once, and looking again owes nothing more.
#[tokio::test]
async fn several_troubles_of_one_feeding_are_one_letter() {
    let post = PostOffice::with_folder().await;
    let court = post.app.court().await;
    let caretaker = post.app.member(court.site, Role::Caretaker).await;
    make_deputy(&post, &court.educator, court.site, &court.resident).await;
    let told = court.bin_at("/feedings/told");
    let mut much = weighed("usual-mix", 9.0);
    let meat = weighed("meat", 0.3)["items"][0].clone();
    much["items"].as_array_mut().unwrap().push(meat);
    let bo = post.app.member(court.site, Role::Resident).await;
    post.app.post(&bo, &told, &much).await.ok(201);
    let notices = post.app.rows("SELECT kind FROM notices").await;
    assert_eq!(notices.len(), 2, "{notices:?}");
    look(&post).await;
    assert_eq!(post.send().await, 1);
    let letters = letters_to(&post, &caretaker, "bin_trouble").await;
    let [letter] = letters.as_slice() else {
        panic!("{letters:?}");
    };
    says(
        letter,
        &[
            "Subject: Several troubles in the bin",
            "Too much food\n\n",
            "Something that does not belong there\n\n",
            "tick the notices off",
        ],
    );
    assert!(!letter.contains("as the deputy"), "{letter}");

    // One is ticked off, and the other is left to the deputy.
    let never = "UPDATE notices SET seen_at = created_at, seen_by =
                     (SELECT id FROM members LIMIT 1) WHERE kind = 'never_food'";
    post.app.sql(never).await;
    post.app.set_clock("2026-06-11T17:01:00Z").await;
    look(&post).await;
    assert_eq!(post.send().await, 1);
    let letters = letters_to(&post, &court.resident, "bin_trouble").await;
    assert_eq!(letters.len(), 1);
    says(
        &letters[0],
        &[
            "Subject: Too much food in the bin",
            "You get this as the deputy at",
        ],
    );
}

/// Protects members from silence that nobody knows of: keepers hear once of each time that an
/// address begins to refuse, and can have it tried again.
#[tokio::test]
async fn keepers_hear_once_whose_letters_come_back_and_have_them_tried_again() {
    let peer = MailPeer::start().await;
    let post = PostOffice::with_peer(peer.port).await;
    let (ada, site, _) = post.invite(&[]).await;
    let caretaker = post.app.member(site, Role::Caretaker).await;
    let invite = json!({ "email": "gone@elm.example", "name": "Kim", "roles": ["resident"] });
    let invitation = post.app.invite(&ada, site, &invite).await;
    let kim = invitation["member_id"].as_str().unwrap().to_owned();
    let path = format!("/v1/sites/{site}/members/{kim}");
    let bounced = || async {
        let seen = post.app.get(&caretaker, &path).await.ok(200);
        seen["details"]["bounced_at"].is_string()
    };
    peer.to("gone", Does::SaysToReceiver("550 5.1.1 unknown"));
    assert_eq!(post.send().await, 1);
    let again = "UPDATE letters SET state = 'owed', closed_at = NULL, reason = NULL
                 WHERE kind = 'invitation'";
    post.app.sql(again).await;
    assert_eq!(post.send().await, 0);
    assert!(bounced().await);
    let letters = peer.received();
    assert_eq!(letters.len(), 1);
    assert_eq!(letters[0].to, caretaker.email);

    let change = json!({ "try_letters_again": true });
    let resident = post.app.member(site, Role::Resident).await;
    let refused = post.app.patch(&resident, &path, &change).await;
    refused.problem(403, "forbidden");
    assert!(bounced().await);
    post.app.patch(&caretaker, &path, &change).await.ok(200);
    assert!(!bounced().await);
    post.app.sql(again).await;
    assert_eq!(post.send().await, 1);
    assert!(bounced().await);
    assert_eq!(count(&post, "letters_come_back", "sent").await, 2);

    // What is right again before the letter goes is no news.
    post.app.patch(&caretaker, &path, &change).await.ok(200);
    let owed = "UPDATE letters SET state = 'owed', closed_at = NULL
                WHERE kind = 'letters_come_back'";
    post.app.sql(owed).await;
    assert_eq!(post.send().await, 0);
    assert_eq!(count(&post, "letters_come_back", "not_wanted").await, 2);
}
