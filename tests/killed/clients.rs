//! People who feed, and who ask again under the same key until they get an answer.

use crate::ground::{Bin, Ground, token};
use rand::rngs::StdRng;
use rand::seq::IndexedRandom;
use rand::{RngExt, SeedableRng};
use serde_json::{Value, json};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::time::Duration;
use tokio::task::JoinHandle;
use uuid::Uuid;
use wormrota::desk::Desk;
use wormrota_domain::ids::AccountId;

/// How often somebody gives up after a failure instead of asking again.
const GIVES_UP: f64 = 0.05;
/// How often somebody brings far more than any bin takes.
const FAR_TOO_MUCH: f64 = 0.05;

/// What people met.
#[derive(Debug, Clone, Default)]
pub(crate) struct Tally {
    pub(crate) acknowledged: u64,
    pub(crate) refused: u64,
    /// Requests that ended without an answer.
    pub(crate) hung_up: u64,
    /// Requests that were answered with 503.
    pub(crate) told_to_come_back: u64,
    /// Answers that were got only by asking again.
    pub(crate) on_asking_again: u64,
    /// Offers after whose failure nobody asked again.
    pub(crate) given_up: u64,
}

/// An answer that counts: from now on it has to be so.
#[derive(Debug, Clone)]
pub(crate) struct Answered {
    pub(crate) account: AccountId,
    pub(crate) key: String,
    pub(crate) bin: Bin,
    pub(crate) offer: Value,
    pub(crate) status: u16,
    /// The feeding, if it was allowed.
    pub(crate) feeding: Option<Uuid>,
    pub(crate) decision: Uuid,
    pub(crate) allowed_g: i64,
}

/// All that people were told.
#[derive(Debug, Clone, Default)]
pub(crate) struct Answers {
    pub(crate) answered: Vec<Answered>,
    /// Keys under which nobody asked again.
    pub(crate) given_up: Vec<(AccountId, String)>,
    pub(crate) tally: Tally,
}

/// The people at work.
pub(crate) struct Crowd {
    answers: Arc<Mutex<Answers>>,
    enough: Arc<AtomicBool>,
    people: Vec<JoinHandle<()>>,
}

impl Crowd {
    /// Everybody begins to feed.
    pub(crate) fn gather(ground: &Ground, seed: u64) -> Self {
        let answers = Arc::new(Mutex::new(Answers::default()));
        let enough = Arc::new(AtomicBool::new(false));
        let person = |(n, account): (u64, &AccountId)| Person {
            account: *account,
            desk: ground.desk.clone(),
            bins: ground
                .bins
                .iter()
                .map(|bin| (*bin, ground.bin_at(bin.id, "/feedings")))
                .collect(),
            client: client(),
            rng: StdRng::seed_from_u64(seed.wrapping_add(n)),
            answers: Arc::clone(&answers),
            enough: Arc::clone(&enough),
        };
        let people = (1..).zip(&ground.people).map(person);
        let people = people.map(|person| tokio::spawn(person.feed())).collect();
        Self {
            answers,
            enough,
            people,
        }
    }

    pub(crate) fn tally(&self) -> Tally {
        self.answers.lock().unwrap().tally.clone()
    }

    /// Everybody gets their last answer and goes home.
    pub(crate) async fn disperse(self) -> Answers {
        self.enough.store(true, Ordering::Relaxed);
        for person in self.people {
            person.await.unwrap();
        }
        let answers = self.answers.lock().unwrap();
        answers.clone()
    }
}

/// A client without a proxy and with little patience.
pub(crate) fn client() -> reqwest::Client {
    reqwest::Client::builder()
        .no_proxy()
        .timeout(Duration::from_secs(20))
        .build()
        .unwrap()
}

struct Person {
    account: AccountId,
    desk: Desk,
    bins: Vec<(Bin, String)>,
    client: reqwest::Client,
    rng: StdRng,
    answers: Arc<Mutex<Answers>>,
    enough: Arc<AtomicBool>,
}

impl Person {
    async fn feed(mut self) {
        while !self.enough.load(Ordering::Relaxed) {
            let (bin, path) = self.bins.choose(&mut self.rng).unwrap().clone();
            let kilograms = if self.rng.random_bool(FAR_TOO_MUCH) {
                45.0
            } else {
                f64::from(self.rng.random_range(1..8)) / 1000.0
            };
            let offer = json!({ "items": [{ "food": "usual-mix", "amount_kg": kilograms }] });
            let key = Uuid::now_v7().to_string();
            self.until_answered(bin, &path, offer, key).await;
        }
    }

    async fn until_answered(&mut self, bin: Bin, path: &str, offer: Value, key: String) {
        for asked_before in 0_u64.. {
            if let Some(answered) = self.once(bin, path, &offer, &key).await {
                let mut answers = self.answers.lock().unwrap();
                answers.tally.on_asking_again += asked_before.min(1);
                if answered.feeding.is_some() {
                    answers.tally.acknowledged += 1;
                } else {
                    answers.tally.refused += 1;
                }
                answers.answered.push(answered);
                return;
            }
            if self.rng.random_bool(GIVES_UP) {
                let mut answers = self.answers.lock().unwrap();
                answers.tally.given_up += 1;
                answers.given_up.push((self.account, key));
                return;
            }
            let pause = self.rng.random_range(10..150);
            tokio::time::sleep(Duration::from_millis(pause)).await;
        }
    }

    /// Asks once; nothing when the answer was lost or was to come back later.
    async fn once(&self, bin: Bin, path: &str, offer: &Value, key: &str) -> Option<Answered> {
        let token = token(&self.desk, self.account);
        let sent = ask(&self.client, path, &token, offer, key).await;
        let Ok((status, body)) = sent else {
            self.answers.lock().unwrap().tally.hung_up += 1;
            return None;
        };
        if status == 503 {
            assert_eq!(body["code"], "unavailable", "{body}");
            self.answers.lock().unwrap().tally.told_to_come_back += 1;
            return None;
        }
        Some(answered(self.account, bin, offer, key, status, &body))
    }
}

/// Sends an offer; gives the status and the body if all of it arrived.
pub(crate) async fn ask(
    client: &reqwest::Client,
    path: &str,
    token: &str,
    offer: &Value,
    key: &str,
) -> reqwest::Result<(u16, Value)> {
    let request = client
        .post(path)
        .bearer_auth(token)
        .header("Idempotency-Key", key)
        .json(offer);
    let response = request.send().await?;
    let status = response.status().as_u16();
    Ok((status, response.json().await?))
}

/// Insists that an answer is one of the two that there should be.
pub(crate) fn answered(
    account: AccountId,
    bin: Bin,
    offer: &Value,
    key: &str,
    status: u16,
    body: &Value,
) -> Answered {
    let decision = &body["decision"];
    match status {
        201 => {}
        409 => assert_eq!(body["code"], "feeding_refused", "{body}"),
        _ => panic!("{status}: {body}"),
    }
    let id = |value: &Value| -> Option<Uuid> { value.as_str()?.parse().ok() };
    let feeding = (status == 201).then(|| id(&body["id"]).unwrap());
    #[expect(clippy::cast_possible_truncation, reason = "some grams")]
    let allowed_g = (decision["allowed_kg"].as_f64().unwrap() * 1000.0).round() as i64;
    assert_eq!(allowed_g > 0, feeding.is_some(), "{body}");
    Answered {
        account,
        key: key.to_owned(),
        bin,
        offer: offer.clone(),
        status,
        feeding,
        decision: id(&decision["id"]).unwrap(),
        allowed_g,
    }
}
