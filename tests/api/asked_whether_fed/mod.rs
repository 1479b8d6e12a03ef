//! Was the bin fed? Told by letters and the pages behind their links alone: nobody here signs in
//! to answer.

mod answers;
mod course;
mod links;

use crate::frame::{Answer, Court, Person};
use crate::place_ground::turn_of;
use crate::post_office::PostOffice;
use chrono::{DateTime, Utc};
use reqwest::Method;
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use uuid::Uuid;
use wormrota::clock;
use wormrota::desk::due::owe_due;
use wormrota_domain::access::Role;

/// The morning after the turn, when the quiet hours of Chicago are just over, and the two after
/// it: each somewhat later, since patience begins when somebody is asked.
const FIRST: &str = "2026-06-11T12:01:00Z";
const SECOND: &str = "2026-06-12T12:30:00Z";
const KEEPERS: &str = "2026-06-13T13:00:00Z";

/// A turn on June 10, without hours, at a bin that got nothing since the day before.
struct Ground {
    post: PostOffice,
    court: Court,
    turn: Uuid,
}

impl Ground {
    async fn open(places: u8) -> Self {
        let post = PostOffice::with_folder().await;
        let court = post.app.court().await;
        let bin = (court.site, court.bin);
        let turn = turn_of(&post.app, bin, ("feeding", "2026-06-10"), places).await;
        Self { post, court, turn }
    }

    /// One with a holder for each place.
    async fn held_by<const N: usize>() -> (Self, [Person; N]) {
        let ground = Self::open(u8::try_from(N).unwrap()).await;
        let mut holders = Vec::new();
        for seat in 1..=N {
            let who = ground.somebody(Role::Resident).await;
            ground.give(seat, &who).await;
            holders.push(who);
        }
        (
            ground,
            holders.try_into().unwrap_or_else(|_| unreachable!()),
        )
    }

    async fn somebody(&self, role: Role) -> Person {
        self.post.app.member(self.court.site, role).await
    }

    async fn id(&self, who: &Person) -> Uuid {
        self.post.app.member_id(who, self.court.site).await
    }

    async fn give(&self, seat: usize, to: &Person) {
        let (turn, member) = (self.turn, self.id(to).await);
        self.post
            .app
            .sql(&format!(
                "UPDATE places SET member_id = '{member}', how = 'taken',
                    held_since = '2026-06-01T00:00:00Z'
                 WHERE turn_id = '{turn}' AND seat = {seat}"
            ))
            .await;
    }

    /// Owes and sends what is due at an instant of the bins' time; gives the letters that went,
    /// as they lie in the folder, with the kind of each.
    async fn go_to(&self, instant: &str) -> Vec<(String, String)> {
        let before = self.sent().await;
        self.post.app.set_clock(instant).await;
        let wall = clock::wall();
        owe_due(&self.post.app.desk, wall).await.unwrap();
        self.post.send_at(wall).await;
        let new = self.sent().await;
        let new = new.difference(&before);
        new.map(|(kind, id)| (kind.clone(), self.post.letter(*id)))
            .collect()
    }

    async fn sent(&self) -> BTreeSet<(String, Uuid)> {
        // Others come at these hours too, such as the week's.
        let sent = "SELECT id, kind FROM letters
                    WHERE state = 'sent' AND kind IN ('turn_unlogged', 'turn_missed')";
        let row = |row: &Value| {
            let kind = row["kind"].as_str().unwrap().to_owned();
            (kind, row["id"].as_str().unwrap().parse().unwrap())
        };
        self.post.app.rows(sent).await.iter().map(row).collect()
    }

    /// The links of the question that somebody gets at the first instant.
    async fn asked(&self, who: &Person) -> BTreeMap<String, String> {
        let letters = self.go_to(FIRST).await;
        links_in(&to(&letters, "turn_unlogged", who))
    }

    async fn look(&self, path: &str) -> Answer {
        self.post.app.ask(Method::GET, path).send().await
    }

    async fn press(&self, path: &str, form: &str) -> Answer {
        let ask = self.post.app.ask(Method::POST, path);
        let ask = ask.header("content-type", "application/x-www-form-urlencoded");
        ask.body(form.to_owned()).send().await
    }

    /// What was told of the day of the turn: grams, instant and who.
    async fn told(&self) -> Vec<(i64, DateTime<Utc>, Uuid)> {
        let fed = "SELECT (payload -> 'lines' -> 0 ->> 'amount')::bigint AS grams, occurred_at,
                       member_id
                   FROM bin_events WHERE kind = 'fed' AND occurred_at >= '2026-06-10T05:00:00Z'
                   ORDER BY seq";
        let text = |row: &Value, name: &str| row[name].as_str().unwrap().to_owned();
        let row = |row: &Value| {
            (
                row["grams"].as_i64().unwrap(),
                text(row, "occurred_at").parse().unwrap(),
                text(row, "member_id").parse().unwrap(),
            )
        };
        self.post.app.rows(fed).await.iter().map(row).collect()
    }

    async fn count(&self, kind: &str) -> usize {
        let query = format!("SELECT id FROM letters WHERE kind = '{kind}'");
        self.post.app.rows(&query).await.len()
    }
}

/// The one letter of a kind that went to somebody.
#[track_caller]
fn to(letters: &[(String, String)], kind: &str, who: &Person) -> String {
    let address = format!("<{}>", who.email);
    let mut own = letters
        .iter()
        .filter(|(of, text)| of == kind && text.contains(&address));
    let (_, text) = own
        .next()
        .unwrap_or_else(|| panic!("no {kind}: {letters:?}"));
    assert!(own.next().is_none(), "two of {kind}");
    text.clone()
}

/// The paths of the links in a letter, by what they do.
fn links_in(letter: &str) -> BTreeMap<String, String> {
    let (_, rest) = letter.split_once("Content-Type: text/plain").unwrap();
    let (plain, _) = rest.split_once("Content-Type: text/html").unwrap();
    plain
        .split_whitespace()
        .filter_map(|word| word.strip_prefix("https://bins.example.org"))
        .filter(|path| path.starts_with("/letters/"))
        .map(|path| (path.split('/').nth(2).unwrap().to_owned(), path.to_owned()))
        .collect()
}
