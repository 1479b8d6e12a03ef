//! A site whose letters lie in a folder, for stories about who is told what of their turns.

use crate::frame::{Answer, Court, Person, id_of};
use crate::place_ground::{Neighbour, turn_of};
use crate::post_office::PostOffice;
use chrono::{DateTime, TimeDelta, Utc};
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Mutex;
use uuid::Uuid;
use wormrota::clock;
use wormrota_domain::access::Role;

/// No letter went.
pub(crate) const NOBODY: [Uuid; 0] = [];

/// What the letters of these stories are about.
const KINDS: &str = "('rota_up', 'turn_changed')";

/// Noon of Wednesday, June 10, at a building with a bin that takes full meals.
pub(crate) struct ToldGround {
    pub(crate) post: PostOffice,
    pub(crate) court: Court,
    pub(crate) keeper: Neighbour,
    seen: Mutex<BTreeSet<Uuid>>,
}

impl ToldGround {
    pub(crate) async fn open() -> Self {
        let post = PostOffice::with_folder().await;
        let court = post.app.court().await;
        let who = post.app.member(court.site, Role::Caretaker).await;
        let id = post.app.member_id(&who, court.site).await;
        Self {
            post,
            court,
            keeper: Neighbour { who, id },
            seen: Mutex::default(),
        }
    }

    pub(crate) async fn residents<const N: usize>(&self) -> [Neighbour; N] {
        let mut found = Vec::new();
        for _ in 0..N {
            let who = self.post.app.member(self.court.site, Role::Resident).await;
            let id = self.post.app.member_id(&who, self.court.site).await;
            found.push(Neighbour { who, id });
        }
        found.try_into().unwrap_or_else(|_| unreachable!())
    }

    /// A feeding of the bin on a day.
    pub(crate) async fn turn(&self, on_date: &str, places: u8) -> Uuid {
        let bin = (self.court.site, self.court.bin);
        turn_of(&self.post.app, bin, ("feeding", on_date), places).await
    }

    pub(crate) async fn take(&self, by: &Person, turn: Uuid, body: &Value) -> Uuid {
        let path = self.court.at(&format!("/turns/{turn}/places"));
        id_of(&self.post.app.post(by, &path, body).await.ok(201))
    }

    /// Changes a turn as the keeper.
    pub(crate) async fn change_turn(&self, turn: Uuid, change: &Value) {
        let path = self.court.at(&format!("/turns/{turn}"));
        self.post
            .app
            .patch(&self.keeper.who, &path, change)
            .await
            .ok(200);
    }

    pub(crate) async fn change_place(
        &self,
        by: &Person,
        (turn, place): (Uuid, Uuid),
        change: &Value,
    ) {
        let path = self.court.at(&format!("/turns/{turn}/places/{place}"));
        self.post.app.patch(by, &path, change).await.ok(200);
    }

    pub(crate) async fn give_back(&self, by: &Person, (turn, place): (Uuid, Uuid)) {
        let path = self.court.at(&format!("/turns/{turn}/places/{place}"));
        assert_eq!(self.post.app.delete(by, &path).await.status, 204);
    }

    /// What the keeper asks for at the site.
    pub(crate) async fn ask(&self, path: &str, body: &Value) -> Answer {
        let path = self.court.at(path);
        self.post.app.post(&self.keeper.who, &path, body).await
    }

    /// Sends what is owed; gives the letters that went, by whom they went to.
    pub(crate) async fn sent(&self) -> BTreeMap<Uuid, Vec<String>> {
        self.sent_at(clock::wall()).await
    }

    /// The same after the night.
    pub(crate) async fn sent_in_the_morning(&self) -> BTreeMap<Uuid, Vec<String>> {
        self.sent_at(clock::wall() + TimeDelta::hours(12)).await
    }

    async fn sent_at(&self, wall: DateTime<Utc>) -> BTreeMap<Uuid, Vec<String>> {
        let count = self.post.send_at(wall).await;
        let query =
            format!("SELECT id, member_id, state FROM letters WHERE kind IN {KINDS} ORDER BY id");
        let mut sent: BTreeMap<Uuid, Vec<String>> = BTreeMap::new();
        for row in self.post.app.rows(&query).await {
            let id = id_of(&row);
            if row["state"] == "sent" && self.seen.lock().unwrap().insert(id) {
                let member = row["member_id"].as_str().unwrap().parse().unwrap();
                sent.entry(member).or_default().push(self.post.letter(id));
            }
        }
        let told = sent.values().map(Vec::len).sum::<usize>();
        assert_eq!(count, told, "nothing else is sent");
        sent
    }

    /// The states of all letters of these stories, in the order in which they were owed.
    pub(crate) async fn states(&self) -> Vec<String> {
        let query = format!("SELECT state FROM letters WHERE kind IN {KINDS} ORDER BY id");
        let state = |row: &Value| row["state"].as_str().unwrap().to_owned();
        self.post.app.rows(&query).await.iter().map(state).collect()
    }

    /// The only letter that was sent, which went to somebody.
    #[track_caller]
    pub(crate) fn only(sent: &BTreeMap<Uuid, Vec<String>>, to: &Neighbour) -> String {
        assert_eq!(whom(sent), [to.id]);
        let letters = &sent[&to.id];
        assert_eq!(letters.len(), 1, "{letters:?}");
        letters[0].clone()
    }
}

/// Whom letters went to, each as often as one did.
pub(crate) fn whom(sent: &BTreeMap<Uuid, Vec<String>>) -> Vec<Uuid> {
    let each = sent.iter();
    each.flat_map(|(member, letters)| letters.iter().map(|_| *member))
        .collect()
}

/// Some people's keys in order, as [`whom`] gives them.
pub(crate) fn all<const N: usize>(of: [&Neighbour; N]) -> [Uuid; N] {
    let mut keys = of.map(|one| one.id);
    keys.sort_unstable();
    keys
}

/// Insists that a letter says some things and not others.
#[track_caller]
pub(crate) fn says(letter: &str, these: &[&str], not_these: &[&str]) {
    for part in these {
        assert!(letter.contains(part), "{part}: {letter}");
    }
    for part in not_these {
        assert!(!letter.contains(part), "not {part}: {letter}");
    }
}

/// What is meant to be brought.
pub(crate) fn bringing(kg: f64) -> Value {
    json!({ "amount_kg": kg })
}
