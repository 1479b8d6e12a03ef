use crate::frame::{App, Person, logged, settings};
use chrono::{DateTime, TimeDelta, Utc};
use reqwest::Method;
use serde_json::json;
use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::PathBuf;
use tempfile::TempDir;
use uuid::Uuid;
use wormrota::clock;
use wormrota::desk::credentials::LinkFor;
use wormrota::letters::{LetterFolder, write_once};

struct Post {
    app: App,
    data: TempDir,
    folder: LetterFolder,
}

impl Post {
    async fn start() -> Self {
        let app = App::start_in_june().await;
        let data = tempfile::tempdir().unwrap();
        let mut letters = settings().letters;
        "https://bins.example.org/".clone_into(&mut letters.public_url);
        let folder = LetterFolder::within(data.path(), &letters).unwrap();
        Self { app, data, folder }
    }

    fn path(&self) -> PathBuf {
        self.data.path().join("letters")
    }

    /// Owes a letter; gives the key of its job.
    async fn owe(&self, purpose: &str, payload: serde_json::Value) -> Uuid {
        let (id, now) = (Uuid::now_v7(), clock::wall() - TimeDelta::seconds(1));
        self.app
            .sql(&format!(
                "INSERT INTO jobs (id, kind, purpose, payload, run_after, state, attempts, created_at)
                 VALUES ('{id}', 'letter', '{purpose}', '{payload}', '{now}', 'waiting', 0, '{now}')"
            ))
            .await;
        id
    }

    /// A link of an account that works for an hour.
    async fn link(&self, who: &Person, kind: &str) -> Uuid {
        let (id, now) = (Uuid::now_v7(), clock::wall());
        let (account, until) = (who.account, now + TimeDelta::hours(1));
        self.app
            .sql(&format!(
                "INSERT INTO account_links (id, account_id, kind, created_at, expires_at)
                 VALUES ('{id}', '{account}', '{kind}', '{now}', '{until}')"
            ))
            .await;
        id
    }

    async fn write_at(&self, now: DateTime<Utc>) -> usize {
        write_once(&self.app.desk, &self.folder, now).await.unwrap()
    }

    fn letter(&self, job: Uuid) -> String {
        fs::read_to_string(self.path().join(format!("{job}.eml"))).unwrap()
    }

    async fn state(&self, job: Uuid) -> String {
        let query = format!("SELECT state FROM jobs WHERE id = '{job}'");
        let rows = self.app.rows(&query).await;
        rows[0]["state"].as_str().unwrap().to_owned()
    }

    async fn import(&self, who: &Person, list: &str) -> Vec<Uuid> {
        let sites = self.app.get(who, "/v1/sites").await.ok(200);
        let site = sites["items"][0]["id"].as_str().unwrap().to_owned();
        let path = format!("/v1/sites/{site}/imports");
        let ask = self.app.ask(Method::POST, &path).by(who);
        let ask = ask.header("content-type", "text/csv").body(list.to_owned());
        ask.send().await.ok(201);
        let jobs = self
            .app
            .rows("SELECT id FROM jobs WHERE kind = 'letter' ORDER BY id");
        let jobs = jobs.await;
        jobs.iter()
            .map(|row| row["id"].as_str().unwrap().parse().unwrap())
            .collect()
    }
}

#[tokio::test]
async fn an_invitation_comes_in_the_receivers_language_with_a_token_that_works() {
    let post = Post::start().await;
    let ada = post.app.educator().await;
    post.app.site(&ada).await;
    let list = "name,email,role,language\nBegoña Núñez,begona@elm.example,resident,es\nCy,cy@elm.example,resident,\n";
    let jobs = post.import(&ada, list).await;
    assert_eq!(post.write_at(clock::wall()).await, 2);

    let spanish = post.letter(jobs[0]);
    for part in [
        "To: =?utf-8?",
        "<begona@elm.example>\r\n",
        "From: Wormrota <no-reply@wormrota.invalid>\r\n",
        "Auto-Submitted: auto-generated\r\n",
        "Content-Transfer-Encoding: 8bit\r\n",
        "Hola, Begoña Núñez.",
        "Elm Court",
        "America/Chicago",
        "sirve una sola vez",
    ] {
        assert!(
            spanish.to_lowercase().contains(&part.to_lowercase()),
            "{part}: {spanish}"
        );
    }
    assert!(
        spanish.contains(&format!("Message-ID: <{}@wormrota.invalid>", jobs[0])),
        "{spanish}"
    );
    let english = post.letter(jobs[1]);
    assert!(english.contains("Hello, Cy."), "{english}");
    assert!(
        english.contains("Subject: Invitation to the worm bins of Elm Court\r\n"),
        "{english}"
    );
    let request = english
        .lines()
        .find(|line| line.starts_with("curl "))
        .unwrap();
    assert!(
        request.starts_with("curl https://bins.example.org/v1/invitations/accept -H"),
        "{request}"
    );
    let (_, rest) = request.split_once("{\"token\": \"").unwrap();
    let token = rest.split('"').next().unwrap();
    let links = &post.app.desk.credentials().links;
    let invitation = links.verify(LinkFor::Invitation, token).unwrap();
    let rows = post
        .app
        .rows(&format!(
            "SELECT name FROM invitations JOIN member_names USING (site_id, member_id)
             WHERE invitations.id = '{invitation}'"
        ))
        .await;
    assert_eq!(rows[0]["name"], "Cy");

    let mode = |path: PathBuf| fs::metadata(path).unwrap().permissions().mode() & 0o777;
    assert_eq!(mode(post.path()), 0o700);
    assert_eq!(mode(post.path().join(format!("{}.eml", jobs[0]))), 0o600);
    assert_eq!(fs::read_dir(post.path()).unwrap().count(), 2);
    assert_eq!(post.state(jobs[0]).await, "done");
    assert_eq!(post.write_at(clock::wall()).await, 0);
}

#[tokio::test]
async fn links_for_a_password_and_for_signing_in_are_written_once_and_alike() {
    let post = Post::start().await;
    let bo = post.app.stranger().await;
    let links = &post.app.desk.credentials().links;
    for (kind, purpose, path) in [
        ("reset", LinkFor::Reset, "/v1/password_resets/use"),
        ("sign_in", LinkFor::SignIn, "/v1/sign_in_links/use"),
    ] {
        let link = post.link(&bo, kind).await;
        let job = post
            .owe(
                &format!("{kind}:{link}"),
                json!({ "kind": kind, "link": link }),
            )
            .await;
        assert_eq!(post.write_at(clock::wall()).await, 1);
        let first = post.letter(job);
        assert!(first.contains(&format!("To: {}\r\n", bo.email)), "{first}");
        assert!(
            first.contains(&format!("curl https://bins.example.org{path} ")),
            "{first}"
        );
        assert!(first.contains(&links.token(purpose, link)), "{first}");
        // A copy that died after writing and before saying so: another writes it again.
        let again = format!("UPDATE jobs SET state = 'waiting' WHERE id = '{job}'");
        post.app.sql(&again).await;
        assert_eq!(post.write_at(clock::wall()).await, 1);
        assert_eq!(post.letter(job), first);
    }
}

#[tokio::test]
async fn a_link_that_was_used_revoked_or_has_expired_is_not_written() {
    let post = Post::start().await;
    let bo = post.app.stranger().await;
    for change in [
        "used_at = created_at",
        "revoked_at = created_at",
        "expires_at = created_at + interval '1 microsecond'",
        "kind = 'sign_in'",
    ] {
        let link = post.link(&bo, "reset").await;
        let sql = format!("UPDATE account_links SET {change} WHERE id = '{link}'");
        post.app.sql(&sql).await;
        let payload = json!({ "kind": "reset", "link": link });
        post.owe(&format!("reset:{link}"), payload).await;
    }
    let unknown = Uuid::now_v7();
    let payload = json!({ "kind": "sign_in", "link": unknown });
    post.owe(&format!("sign_in:{unknown}"), payload).await;

    let ada = post.app.educator().await;
    post.app.site(&ada).await;
    let list = "name,email,role\nBo,bo@elm.example,resident\nCy,cy@elm.example,resident\n\
                Di,di@elm.example,resident\nEl,el@elm.example,resident\n";
    let jobs = post.import(&ada, list).await;
    assert_eq!(jobs.len(), 9);
    let nth = |n: u8| format!("(SELECT id FROM invitations ORDER BY id OFFSET {n} LIMIT 1)");
    let of = |n: u8| format!("(SELECT member_id FROM invitations ORDER BY id OFFSET {n} LIMIT 1)");
    for sql in [
        format!(
            "UPDATE invitations SET accepted_at = created_at WHERE id = {}",
            nth(0)
        ),
        format!(
            "UPDATE invitations SET revoked_at = created_at WHERE id = {}",
            nth(1)
        ),
        format!("DELETE FROM member_names WHERE member_id = {}", of(2)),
        format!(
            "UPDATE members SET left_at = joined_at WHERE id = {}",
            of(3)
        ),
    ] {
        post.app.sql(&sql).await;
    }
    assert_eq!(post.write_at(clock::wall()).await, 0);
    for job in jobs {
        assert_eq!(post.state(job).await, "done");
    }
    assert!(!post.path().exists());
}

#[tokio::test]
async fn an_invitation_that_has_run_out_is_not_written() {
    let post = Post::start().await;
    let ada = post.app.educator().await;
    post.app.site(&ada).await;
    post.import(&ada, "name,email,role\nBo,bo@elm.example,resident\n")
        .await;
    assert_eq!(post.write_at(clock::wall() + TimeDelta::days(15)).await, 0);
    assert!(!post.path().exists());
}

#[tokio::test]
async fn a_name_cannot_begin_a_header_and_no_address_is_logged() {
    let post = Post::start().await;
    let ada = post.app.educator().await;
    post.app.site(&ada).await;
    post.import(
        &ada,
        "name,email,role\nBo,spoonbill@reeds.example,resident\n",
    )
    .await;
    // Past the door, as if somebody had written to the database.
    post.app
        .sql(
            "UPDATE member_names SET name = E'Bo\\r\\nBcc: eve@evil.example' WHERE email_lower IS NOT NULL",
        )
        .await;
    assert_eq!(post.write_at(clock::wall()).await, 1);
    let files: Vec<_> = fs::read_dir(post.path()).unwrap().collect();
    let letter = fs::read_to_string(files[0].as_ref().unwrap().path()).unwrap();
    let (head, _) = letter.split_once("\r\n\r\n").unwrap();
    assert!(!head.to_lowercase().contains("\nbcc:"), "{head}");
    assert!(!logged().contains("spoonbill"));
}

#[tokio::test]
async fn a_letter_that_cannot_be_written_is_tried_again_and_given_up_at_last() {
    let post = Post::start().await;
    let bo = post.app.stranger().await;
    let link = post.link(&bo, "reset").await;
    // Where the folder should be lies a file.
    fs::write(post.path(), "in the way").unwrap();
    let payload = json!({ "kind": "reset", "link": link });
    let job = post.owe(&format!("reset:{link}"), payload).await;
    let mut now = clock::wall();
    for _ in 0..2 {
        assert_eq!(post.write_at(now).await, 0);
        assert_eq!(post.state(job).await, "waiting");
        now += TimeDelta::minutes(5);
    }
    fs::remove_file(post.path()).unwrap();
    assert_eq!(post.write_at(now).await, 1);
    assert_eq!(post.state(job).await, "done");

    let odd = post.owe("reset:odd", json!({ "kind": "odd" })).await;
    for _ in 0..5 {
        now += TimeDelta::minutes(30);
        assert_eq!(post.write_at(now).await, 0);
    }
    assert_eq!(post.state(odd).await, "given_up");

    // What nobody can write yet waits.
    let payload = json!({ "letter": "booking_shrunk" });
    let waits = post.owe("booking_shrunk:1:2", payload).await;
    assert_eq!(post.write_at(now).await, 0);
    assert_eq!(post.state(waits).await, "waiting");
}

#[tokio::test]
async fn a_letter_is_deleted_when_it_has_lain_for_its_days() {
    let post = Post::start().await;
    let now = clock::wall();
    assert_eq!(post.folder.forget_old(now).await.unwrap(), 0);
    fs::create_dir(post.path()).unwrap();
    for (name, days) in [("old.eml", 15), ("new.eml", 13)] {
        let file = fs::File::create(post.path().join(name)).unwrap();
        file.set_modified((now - TimeDelta::days(days)).into())
            .unwrap();
    }
    assert_eq!(post.folder.forget_old(now).await.unwrap(), 1);
    assert!(!post.path().join("old.eml").exists());
    assert!(post.path().join("new.eml").exists());
}
