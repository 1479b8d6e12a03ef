//! What stories stand on about who is told what of turns that nobody comes to: a building whose
//! letters go to a mail server of the tests, and a caretaker who reads them.

use crate::cover_ground::{away, says};
use crate::frame::{id_of, settings};
use crate::mail_peer::{MailPeer, Received};
use crate::place_ground::{Neighbour, PlaceGround, turn_of};
use crate::post_office::to_peer;
use chrono::{DateTime, Utc};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::ops::RangeInclusive;
use tempfile::TempDir;
use uuid::Uuid;
use wormrota::letters::{Post, send_due};
use wormrota_domain::access::Role;

/// Noon of Wednesday, June 10, at a building whose caretaker has no part in the rota, and where
/// nobody can be asked but those whom a story brings along.
pub(crate) struct CoverTold {
    pub(crate) ground: PlaceGround,
    pub(crate) keeper: Neighbour,
    pub(crate) post: Post,
    _data: TempDir,
}

impl CoverTold {
    pub(crate) async fn with_peer(peer: &MailPeer) -> Self {
        let ground = PlaceGround::open().await;
        crate::cover_ground::without_the_courts_own(&ground).await;
        let data = tempfile::tempdir().unwrap();
        let mut letters = settings().letters;
        to_peer(&mut letters, peer.port);
        let post = Post::of(data.path(), &letters).unwrap();
        let keeper = keeper(&ground).await;
        Self {
            ground,
            keeper,
            post,
            _data: data,
        }
    }

    /// A caretaker more.
    pub(crate) async fn another_keeper(&self) -> Neighbour {
        keeper(&self.ground).await
    }

    pub(crate) async fn second_bin(&self) -> Uuid {
        let court = &self.ground.court;
        let app = &self.ground.app;
        app.stocked_bin(&court.educator, court.site).await
    }

    /// Turns of a bin on days of June, which somebody holds.
    pub(crate) async fn hold(
        &self,
        bin: Uuid,
        by: &Neighbour,
        days: RangeInclusive<u32>,
    ) -> Vec<Uuid> {
        let mut turns = Vec::new();
        for day in days {
            let on = format!("2026-06-{day}");
            let of = (self.ground.court.site, bin);
            let turn = turn_of(&self.ground.app, of, ("feeding", &on), 1).await;
            self.ground.taken(&by.who, turn).await;
            turns.push(turn);
        }
        turns
    }

    /// Gives a turn one more place, which somebody holds.
    pub(crate) async fn hold_beside(&self, turn: Uuid, by: &Neighbour) {
        let (site, place) = (self.ground.court.site, Uuid::now_v7());
        let more = format!(
            "INSERT INTO places (site_id, id, turn_id, seat, kept)
             VALUES ('{site}', '{place}', '{turn}', 2, false)"
        );
        self.ground.app.sql(&more).await;
        self.ground.taken(&by.who, turn).await;
    }

    /// Shuts the site on a day on which the bin is visited all the same; gives the turn.
    pub(crate) async fn visit(&self, by: &Neighbour, on: &str) -> Uuid {
        let court = &self.ground.court;
        let app = &self.ground.app;
        let shut = json!({ "first_day": on, "last_day": on });
        let closures = court.at("/closures");
        let made = app.post(&court.educator, &closures, &shut).await;
        let closure = id_of(&made.ok(201));
        let turn = self.ground.turn(on, 1).await;
        app.sql(&format!(
            "INSERT INTO closure_visits (site_id, turn_id, closure_id, earliest, latest)
             VALUES ('{}', '{turn}', '{closure}', '{on}', '{on}')",
            court.site
        ))
        .await;
        self.ground.taken(&by.who, turn).await;
        turn
    }

    /// Somebody is away from a day on.
    pub(crate) async fn away(&self, who: &Neighbour, from: &str) -> Value {
        away(&self.ground, who, (from, None)).await
    }

    pub(crate) async fn yes(&self, by: &Neighbour, call: Uuid) {
        says(&self.ground, by, call, "yes").await.ok(200);
    }

    /// The only place of a turn.
    pub(crate) async fn place(&self, turn: Uuid) -> Uuid {
        let query = format!("SELECT id FROM places WHERE turn_id = '{turn}'");
        id_of(&self.ground.app.rows(&query).await[0])
    }

    pub(crate) async fn send_at(&self, at: DateTime<Utc>) -> usize {
        send_due(&self.ground.app.desk, &self.post, at)
            .await
            .unwrap()
    }

    /// Letters that nobody comes wait for an hour, but for the one that was owed first.
    pub(crate) async fn only_the_first_is_due(&self) {
        let others = "UPDATE letters SET due_at = due_at + interval '1 hour'
            WHERE kind = 'uncovered' AND id > (SELECT id FROM letters WHERE kind = 'uncovered'
                ORDER BY id LIMIT 1)";
        self.ground.app.sql(others).await;
    }

    /// The caretaker's name at the mail server.
    pub(crate) fn mailbox(&self) -> String {
        let name = self.keeper.who.email.split('@').next();
        name.unwrap().to_owned()
    }

    /// How letters that nobody comes ended, or where they are.
    pub(crate) async fn ends(&self) -> BTreeMap<String, usize> {
        let query = "SELECT state, reason FROM letters WHERE kind = 'uncovered'";
        let mut ends = BTreeMap::new();
        for row in self.ground.app.rows(query).await {
            let together = row["reason"] == "told_together";
            let of = if together {
                &row["reason"]
            } else {
                &row["state"]
            };
            *ends.entry(of.as_str().unwrap().to_owned()).or_default() += 1;
        }
        ends
    }

    /// What the caretaker got about turns that nobody comes to.
    pub(crate) fn uncovered(&self, peer: &MailPeer) -> Vec<String> {
        saying(peer, &self.keeper, "obody comes so far to")
    }

    /// What the caretaker got about turns that are settled.
    pub(crate) fn clear(&self, peer: &MailPeer) -> Vec<String> {
        saying(peer, &self.keeper, "of which we wrote to you")
    }
}

/// The texts of all letters to somebody that hold some words, in the order in which they came.
pub(crate) fn saying(peer: &MailPeer, to: &Neighbour, words: &str) -> Vec<String> {
    let to_them = |one: &Received| one.to == to.who.email;
    let all = peer.received().into_iter().filter(to_them);
    let texts = all.map(|one| text(&one.message));
    texts.filter(|text| text.contains(words)).collect()
}

async fn keeper(ground: &PlaceGround) -> Neighbour {
    let keeper = ground.neighbour(Role::Caretaker).await;
    ground.limit(&keeper, "share", "'none'").await;
    keeper
}

/// The days of the turns that a letter lists, in its order.
pub(crate) fn days(text: &str) -> Vec<String> {
    let points = text.split(" - ").skip(1);
    let turns = points.filter(|point| !point.starts_with("On "));
    let day = |point: &str| {
        let (_, day) = point.split_once(", ").unwrap();
        day.split(['.', ':']).next().unwrap().to_owned()
    };
    turns.map(day).collect()
}

/// The plain part of a letter in one line, out of quoted-printable (RFC 2045, section 6.7).
pub(crate) fn text(message: &str) -> String {
    let (_, plain) = message.split_once("Content-Type: text/plain").unwrap();
    let (_, plain) = plain.split_once("\r\n\r\n").unwrap();
    let plain = plain.split("\r\n--").next().unwrap().replace("=\r\n", "");
    let mut bytes = Vec::new();
    let mut rest = plain.as_bytes();
    while let Some((first, more)) = rest.split_first() {
        let code = (*first == b'=').then(|| more.get(..2)).flatten();
        let code = code.and_then(|code| std::str::from_utf8(code).ok());
        let byte = code.and_then(|code| u8::from_str_radix(code, 16).ok());
        bytes.push(byte.unwrap_or(*first));
        rest = if byte.is_some() { &more[2..] } else { more };
    }
    let text = String::from_utf8(bytes).unwrap();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
