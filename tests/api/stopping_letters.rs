//! Ending letters of one sort: from the foot of a letter, or from the mail program.

use crate::frame::{Answer, Person, id_of, weighed};
use crate::post_office::PostOffice;
use reqwest::Method;
use serde_json::json;
use uuid::Uuid;
use wormrota_domain::access::Role;

/// A letter about a booking that lost its room, sent.
struct Sent {
    office: PostOffice,
    holder: Person,
    site: Uuid,
    letter: Uuid,
    booking: Uuid,
}

impl Sent {
    async fn by(office: PostOffice) -> Self {
        let court = office.app.court().await;
        let holder = office.app.member(court.site, Role::Resident).await;
        let booking = json!({ "on_date": "2026-06-11", "amount_kg": 0.3 });
        let booked = office
            .app
            .post(&holder, &court.bin_at("/bookings"), &booking)
            .await;
        let too_much = weighed("usual-mix", 5.0);
        let told = court.bin_at("/feedings/told");
        let told = office.app.post(&court.resident, &told, &too_much).await;
        told.ok(201);
        assert_eq!(office.send().await, 1);
        let owed = office.app.rows("SELECT id FROM letters").await;
        Self {
            booking: id_of(&booked.ok(201)),
            letter: id_of(&owed[0]),
            site: court.site,
            holder,
            office,
        }
    }

    /// Where the link at the foot leads, without the service's own address.
    fn link(&self) -> String {
        let letter = self.office.letter(self.letter);
        let (_, rest) = letter
            .split_once("https://bins.example.org/letters/stop/")
            .unwrap();
        let end = rest.find(['>', '"', '\r', '\n']).unwrap();
        format!("/letters/stop/{}", &rest[..end])
    }

    async fn wants_not(&self) -> serde_json::Value {
        let member = self.office.app.member_id(&self.holder, self.site).await;
        let path = format!("/v1/sites/{}/members/{member}", self.site);
        let person = self.office.app.get(&self.holder, &path).await.ok(200);
        person["details"]["letters_off"].clone()
    }
}

async fn one_click(sent: &Sent, link: &str) -> Answer {
    press(sent, link, "List-Unsubscribe=One-Click").await
}

async fn press(sent: &Sent, link: &str, form: &'static str) -> Answer {
    let ask = sent.office.app.ask(Method::POST, link);
    ask.header("content-type", "application/x-www-form-urlencoded")
        .body(form)
        .send()
        .await
}

/// Protects people from having to search for the way out, and mail programs from guessing it.
#[tokio::test]
async fn a_letter_that_can_be_ended_says_so_in_its_head_and_at_its_foot() {
    let sent = Sent::by(PostOffice::with_folder().await).await;
    let link = sent.link();
    let letter = sent.office.letter(sent.letter);
    let (head, body) = letter.split_once("\r\n\r\n").unwrap();
    let address = format!("https://bins.example.org{link}");
    for line in [
        format!("\r\nList-Unsubscribe: <{address}>\r\n"),
        "\r\nList-Unsubscribe-Post: List-Unsubscribe=One-Click\r\n".to_owned(),
        format!(
            "\r\nReferences: <about-{}@wormrota.invalid>\r\n",
            sent.booking
        ),
    ] {
        assert!(head.contains(&line), "{line}: {head}");
    }
    let text = format!("Fewer letters of this kind:\r\n{address}\r\n");
    assert!(body.contains(&text), "{body}");
    assert!(body.contains(&format!("<a href=\"{address}\"")), "{body}");
}

/// Protects letters that somebody asked for, which nobody can end.
#[tokio::test]
async fn an_invitation_cannot_be_ended() {
    let office = PostOffice::with_folder().await;
    let (_, _, letters) = office.invite(&["bo"]).await;
    assert_eq!(office.send().await, 1);
    let letter = office.letter(letters[0]);
    for absent in ["List-Unsubscribe", "/letters/stop/", "References:"] {
        assert!(!letter.contains(absent), "{absent}: {letter}");
    }
}

/// Protects the button of mail programs from an address that they must not use.
#[tokio::test]
async fn without_encryption_a_mail_program_is_only_told_of_the_page() {
    let clear = |letters: &mut wormrota::settings::Letters| {
        "http://bins.example.org".clone_into(&mut letters.public_url);
    };
    let sent = Sent::by(PostOffice::with(clear).await).await;
    let letter = sent.office.letter(sent.letter);
    let page = "\r\nList-Unsubscribe: <http://bins.example.org/letters/stop/";
    assert!(letter.contains(page), "{letter}");
    assert!(!letter.contains("List-Unsubscribe-Post"), "{letter}");
}

/// Protects people from programs that follow every link, and lets one button end what it says.
#[tokio::test]
async fn following_the_link_only_asks_and_one_click_ends_that_sort() {
    let sent = Sent::by(PostOffice::with_folder().await).await;
    let app = &sent.office.app;
    let link = sent.link();
    let before = app.contents().await;
    let page = app.ask(Method::GET, &link).send().await;
    assert_eq!(page.status, 200, "{}", page.text);
    assert!(
        page.text.contains("<form method=\"post\">"),
        "{}",
        page.text
    );
    let head = app.ask(Method::HEAD, &link).send().await;
    assert_eq!(head.status, 200);
    assert_eq!(app.contents().await, before);
    assert_eq!(sent.wants_not().await, json!([]));

    for _ in 0..2 {
        let answer = one_click(&sent, &link).await;
        assert_eq!(answer.status, 200, "{}", answer.text);
        assert!(answer.headers.get("set-cookie").is_none());
        assert_eq!(sent.wants_not().await, json!(["changes"]));
    }
    let trail = app
        .rows("SELECT id FROM audit WHERE deed = 'letters_turned_off'")
        .await;
    assert_eq!(trail.len(), 1);

    // What is owed of the same sort is not sent any more.
    app.sql("UPDATE letters SET state = 'owed', closed_at = NULL, due_at = created_at")
        .await;
    assert_eq!(sent.office.send().await, 0);
    let unwanted = ("not_wanted".to_owned(), Some("turned_off".to_owned()));
    assert_eq!(sent.office.state(sent.letter).await, unwanted);

    // Nobody else's link does it: one letter of a forged secret more.
    let forged = format!("{}A", &link[..link.len() - 1]);
    let other = if forged == link {
        format!("{link}A")
    } else {
        forged
    };
    assert_eq!(one_click(&sent, &other).await.status, 404);
}

/// Protects people who ended letters by mistake, or a program for them: the page offers what can
/// still be done, and only that.
#[tokio::test]
async fn letters_that_were_ended_are_turned_on_again_by_the_same_link() {
    let sent = Sent::by(PostOffice::with_folder().await).await;
    let app = &sent.office.app;
    let link = sent.link();
    let ended = one_click(&sent, &link).await;
    let looked = app.ask(Method::GET, &link).send().await;
    assert_eq!(looked.text, ended.text);
    for part in [
        "These letters have ended",
        "Send me these letters again",
        "name=\"letters\" value=\"on\"",
    ] {
        assert!(looked.text.contains(part), "{part}: {}", looked.text);
    }
    assert!(
        !looked.text.contains("Yes, end these letters"),
        "{}",
        looked.text
    );
    assert_eq!(sent.wants_not().await, json!(["changes"]));

    for _ in 0..2 {
        let on = press(&sent, &link, "letters=on").await;
        assert_eq!(on.status, 200, "{}", on.text);
        assert!(on.text.contains("you are told again"), "{}", on.text);
        assert!(!on.text.contains("<form"), "{}", on.text);
        assert_eq!(sent.wants_not().await, json!([]));
    }
    let asks = app.ask(Method::GET, &link).send().await;
    assert!(
        asks.text.contains("Yes, end these letters"),
        "{}",
        asks.text
    );
    let trail = "SELECT deed FROM audit WHERE deed LIKE 'letters_turned_%' ORDER BY id";
    let off_and_on = ["letters_turned_off", "letters_turned_on"];
    let off_and_on = off_and_on.map(|deed| json!({ "deed": deed }));
    assert_eq!(app.rows(trail).await, off_and_on);
}
