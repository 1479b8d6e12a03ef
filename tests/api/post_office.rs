//! A service that sends letters, into a folder or to a mail server of the tests.

use crate::frame::{App, Person, id_of, settings};
use chrono::{DateTime, TimeDelta, Utc};
use reqwest::Method;
use serde_json::{Value, json};
use std::fs;
use std::path::PathBuf;
use tempfile::TempDir;
use uuid::Uuid;
use wormrota::clock;
use wormrota::letters::{Post, send_due};
use wormrota::settings::Letters;

pub(crate) struct PostOffice {
    pub(crate) app: App,
    pub(crate) post: Post,
    data: TempDir,
}

impl PostOffice {
    /// One that writes into a folder.
    pub(crate) async fn with_folder() -> Self {
        Self::with(|_| ()).await
    }

    /// One that hands letters to a mail server on this machine, without encryption.
    pub(crate) async fn with_peer(port: u16) -> Self {
        Self::with(|letters| to_peer(letters, port)).await
    }

    /// One whose settings for letters differ from the usual.
    pub(crate) async fn with(change: impl FnOnce(&mut Letters)) -> Self {
        let app = App::start_in_june().await;
        let data = tempfile::tempdir().unwrap();
        let mut letters = settings().letters;
        "https://bins.example.org/".clone_into(&mut letters.public_url);
        change(&mut letters);
        let post = Post::of(data.path(), &letters).unwrap();
        Self { app, post, data }
    }

    pub(crate) fn folder(&self) -> PathBuf {
        self.data.path().join("letters")
    }

    /// The letter in the folder.
    pub(crate) fn letter(&self, id: Uuid) -> String {
        fs::read_to_string(self.folder().join(format!("{id}.eml"))).unwrap()
    }

    /// Sends what is due at an instant; says how many letters went.
    pub(crate) async fn send_at(&self, now: DateTime<Utc>) -> usize {
        send_due(&self.app.desk, &self.post, now).await.unwrap()
    }

    pub(crate) async fn send(&self) -> usize {
        self.send_at(clock::wall()).await
    }

    /// A letter's state and reason.
    pub(crate) async fn state(&self, id: Uuid) -> (String, Option<String>) {
        let query = format!("SELECT state, reason FROM letters WHERE id = '{id}'");
        let row = self.app.rows(&query).await.remove(0);
        let text = |name: &str| row[name].as_str().map(str::to_owned);
        (text("state").unwrap(), text("reason"))
    }

    /// How often a letter was tried.
    pub(crate) async fn attempts(&self, id: Uuid) -> i64 {
        let query = format!("SELECT attempts FROM letters WHERE id = '{id}'");
        self.app.rows(&query).await[0]["attempts"].as_i64().unwrap()
    }

    /// A link of an account that works until an instant, and the letter that is owed for it.
    pub(crate) async fn owe_link(
        &self,
        who: &Person,
        kind: &str,
        until: DateTime<Utc>,
    ) -> (Uuid, Uuid) {
        let (link, letter) = (Uuid::now_v7(), Uuid::now_v7());
        let (account, now) = (who.account, clock::wall() - TimeDelta::seconds(1));
        self.app
            .sql(&format!(
                "INSERT INTO account_links (id, account_id, kind, created_at, expires_at)
                 VALUES ('{link}', '{account}', '{kind}', '{now}', '{until}');
                 INSERT INTO letters (id, kind, purpose, account_id, payload, goes_first, state,
                    due_at, too_late_at, attempts, created_at)
                 VALUES ('{letter}', '{kind}', '{link}', '{account}',
                    '{{\"link\": \"{link}\"}}', true, 'owed', '{now}', '{until}', 0, '{now}')"
            ))
            .await;
        (link, letter)
    }

    /// Sends a list of people; gives all letters that are owed, the oldest first.
    pub(crate) async fn import(&self, who: &Person, list: &str) -> Vec<Uuid> {
        let sites = self.app.get(who, "/v1/sites").await.ok(200);
        let path = format!("/v1/sites/{}/imports", id_of(&sites["items"][0]));
        let ask = self.app.ask(Method::POST, &path).by(who);
        let ask = ask.header("content-type", "text/csv").body(list.to_owned());
        ask.send().await.ok(201);
        let letters = self.app.rows("SELECT id FROM letters ORDER BY id").await;
        letters.iter().map(id_of).collect()
    }

    /// Invites people with these local parts of an address; gives keeper, site and letters.
    pub(crate) async fn invite(&self, whom: &[&str]) -> (Person, Uuid, Vec<Uuid>) {
        let ada = self.app.educator().await;
        let site = self.app.site(&ada).await;
        let mut letters = Vec::new();
        for name in whom {
            let email = format!("{name}@elm.example");
            let new = json!({ "email": email, "name": name, "roles": ["resident"] });
            let made = self.app.invite(&ada, site, &new).await;
            let of = format!("SELECT id FROM letters WHERE purpose = '{}'", id_of(&made));
            letters.push(id_of(&self.app.rows(&of).await[0]));
        }
        (ada, site, letters)
    }

    /// What the list of letters says.
    pub(crate) async fn listed(&self, who: &Person, site: Uuid, query: &str) -> Value {
        let path = format!("/v1/sites/{site}/letters{query}");
        self.app.get(who, &path).await.ok(200)
    }
}

/// Makes letters go to a mail server on this machine.
pub(crate) fn to_peer(letters: &mut Letters, port: u16) {
    let smtp = &mut letters.smtp;
    "127.0.0.1".clone_into(&mut smtp.host);
    smtp.port = port;
    smtp.tls = wormrota::settings::Tls::Off;
}
