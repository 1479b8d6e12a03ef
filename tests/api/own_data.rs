//! What is kept about a person: handed over in full, to nobody else, and erased everywhere.

use crate::frame::{App, Court, PASSWORD, Person, weighed};
use serde_json::json;
use std::collections::BTreeSet;
use std::process::Command;
use wormrota::store::personal::{By, KEPT, NOT_HANDED_OVER};
use wormrota_domain::access::Role;

#[tokio::test]
async fn every_column_that_points_at_a_person_is_handed_over() {
    let app = App::start().await;
    let rows = app
        .rows(
            "SELECT conrelid::regclass::text AS table_name, attname AS column_name,
                confrelid::regclass::text AS target
             FROM pg_constraint
             JOIN pg_attribute ON attrelid = conrelid
                AND attnum = conkey[array_length(conkey, 1)]
             WHERE contype = 'f' AND confrelid IN
                ('accounts'::regclass, 'members'::regclass, 'sessions'::regclass)",
        )
        .await;
    let found: BTreeSet<(String, String)> = rows
        .iter()
        .map(|row| {
            let text = |name: &str| row[name].as_str().unwrap().to_owned();
            (text("table_name"), text("column_name"))
        })
        // A membership is found by its account, and then stands for the person.
        .filter(|(table, column)| (table.as_str(), column.as_str()) != ("members", "account_id"))
        .collect();
    let handed: BTreeSet<(String, String)> = KEPT
        .iter()
        .flat_map(|kept| {
            let columns: Vec<&str> = match kept.by {
                By::Account(columns) | By::Member(columns) => columns.to_vec(),
                By::Either(account, member) => [account, member].concat(),
                By::Session => vec!["session_id"],
            };
            columns
                .into_iter()
                .map(|column| (kept.table.to_owned(), column.to_owned()))
        })
        // The persons themselves, and what was done to them.
        .filter(|(_, column)| column != "id" && column != "subject_id")
        .collect();
    let mut handed = handed;
    for (table, column) in NOT_HANDED_OVER {
        assert!(handed.insert(((*table).to_owned(), (*column).to_owned())));
    }
    assert!(found.len() > 10, "{found:?}");
    assert_eq!(found, handed);
}

#[tokio::test]
async fn a_resident_gets_everything_about_them_and_nothing_about_others() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let other = app.member(court.site, Role::Resident).await;
    let mut meals = Vec::new();
    for who in [&court.resident, &other] {
        let path = court.bin_at("/feedings/told");
        let told = app.post(who, &path, &weighed("apple-core", 0.05)).await;
        meals.push(told.ok(201)["id"].clone());
    }
    let export = app.get(&court.resident, "/v1/me/export").await.ok(200);
    let tables = &export["tables"];
    assert_eq!(tables["accounts"][0]["email_lower"], court.resident.email);
    assert_eq!(tables["member_names"][0]["name"], "A resident");
    assert_eq!(tables["member_names"][0]["flat"], "3b");
    assert_eq!(tables["bin_events"].as_array().unwrap().len(), 1);
    assert_eq!(tables["bin_events"][0]["id"], meals[0]);
    assert_eq!(tables["decisions"].as_array().unwrap().len(), 1);
    let text = export.to_string();
    for other_persons in [&other.email, meals[1].as_str().unwrap()] {
        assert!(!text.contains(other_persons), "{text}");
    }
    for secret in ["argon2", "password_hash", "token_hash", "code_mac"] {
        assert!(!text.contains(secret), "{secret}: {text}");
    }
    let stranger = app.stranger().await;
    let nothing = app.get(&stranger, "/v1/me/export").await.ok(200);
    assert_eq!(nothing["tables"]["bin_events"], json!([]));
}

/// Somebody whose name, address, flat and phone stand nowhere else, after everything that
/// leaves a trace of a person.
async fn busy_resident(app: &App, court: &Court) -> (Person, String) {
    let email = "xanthippe.quill@marl-pit.example";
    let invitation = json!({
        "email": email, "name": "Xanthippe Quill", "flat": "Q-77", "roles": ["resident"],
    });
    let path = court.at("/invitations");
    let member = app.post(&court.educator, &path, &invitation).await.ok(201);
    let invited = crate::frame::id_of(&member);
    let links = &app.desk.credentials().links;
    let token = links.token(wormrota::desk::credentials::LinkFor::Invitation, invited);
    let accepted = app
        .ask(reqwest::Method::POST, "/v1/invitations/accept")
        .json(&json!({ "token": token, "password": PASSWORD, "device": "Quill's phone" }))
        .send()
        .await
        .ok(201);
    let text = |name: &str| accepted["session"][name].as_str().unwrap().to_owned();
    let who = Person {
        account: wormrota_domain::ids::AccountId(text("account_id").parse().unwrap()),
        session: wormrota_domain::ids::SessionId(text("session_id").parse().unwrap()),
        email: email.to_owned(),
        token: text("access_token"),
    };
    let me = app.get(&who, "/v1/me").await.ok(200);
    let member = me["memberships"][0]["member_id"]
        .as_str()
        .unwrap()
        .to_owned();
    let path = court.at(&format!("/members/{member}"));
    let details = json!({ "phone": "+44 7700 900123", "shares_phone": true, "shares_email": true });
    app.patch(&who, &path, &details).await.ok(200);
    (who, member)
}

/// Everything in the database, as a backup would hold it.
fn dumped(app: &App) -> String {
    let output = Command::new("pg_dump")
        .args(["--data-only", "--inserts", app.url.reveal()])
        .output()
        .unwrap();
    assert!(output.status.success());
    String::from_utf8(output.stdout).unwrap()
}

const OF_XANTHIPPE: [&str; 5] = ["xanthippe", "quill", "q-77", "marl-pit", "7700 900123"];

#[tokio::test]
async fn whoever_erases_their_account_leaves_no_trace_but_what_they_did() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let (who, member) = busy_resident(&app, &court).await;
    let key = |ask: crate::frame::Ask| ask.header("idempotency-key", "of-xanthippe");
    key(app
        .ask(reqwest::Method::POST, &court.bin_at("/feedings/told"))
        .by(&who))
    .json(&weighed("apple-core", 0.05))
    .send()
    .await
    .ok(201);
    let tomorrow = (app.now().await + chrono::TimeDelta::days(1)).date_naive();
    let booking = json!({ "on_date": tomorrow, "amount_kg": 0.01 });
    app.post(&who, &court.bin_at("/bookings"), &booking)
        .await
        .ok(201);
    for path in ["/v1/sign_in_links", "/v1/password_resets"] {
        app.ask(reqwest::Method::POST, path)
            .json(&json!({ "email": who.email }))
            .send()
            .await
            .ok(202);
    }
    // Invited by somebody else, and not there yet.
    let elsewhere = app.site(&app.educator().await).await;
    app.sql(&format!(
        "INSERT INTO members (site_id, id, joined_at) VALUES ('{elsewhere}', '{elsewhere}', '2026-01-01');
         INSERT INTO member_names (site_id, member_id, name, email_lower)
         VALUES ('{elsewhere}', '{elsewhere}', 'X. Quill', '{}')",
        who.email
    ))
    .await;
    let before = dumped(&app).to_lowercase();
    for word in OF_XANTHIPPE {
        assert!(before.contains(word), "{word} was never there");
    }
    let fed = "SELECT bin_id, count(*), sum(offered_g) FROM decisions GROUP BY bin_id";
    let reported = app.rows(fed).await;

    let wrong = json!({ "password": "another password of mine" });
    app.post(&who, "/v1/me/erasure", &wrong)
        .await
        .conflicting_fields(&["/password"]);
    app.post(&who, "/v1/me/erasure", &json!({}))
        .await
        .conflicting_fields(&["/password"]);
    let right = json!({ "password": PASSWORD });
    let erased = app.post(&who, "/v1/me/erasure", &right).await;
    assert_eq!(erased.status, 204, "{}", erased.text);

    let after = dumped(&app).to_lowercase();
    for word in OF_XANTHIPPE {
        let line = after.lines().find(|line| line.contains(word));
        assert_eq!(line, None, "{word}");
    }
    assert!(!after.contains(&who.account.to_string()));
    // What was done still counts, and what was booked is given back.
    assert_eq!(app.rows(fed).await, reported);
    let booked = app.rows("SELECT state FROM bookings").await;
    assert_eq!(booked, [json!({ "state": "withdrawn" })]);
    let done = app
        .rows(&format!(
            "SELECT id FROM bin_events WHERE member_id = '{member}'"
        ))
        .await;
    assert_eq!(done.len(), 1);
    app.get(&who, "/v1/sites")
        .await
        .problem(401, "session_ended");
    let changes = app
        .get(&court.educator, &court.at("/changes"))
        .await
        .ok(200);
    assert_eq!(changes["items"][0]["deed"], "member_erased");
}

#[tokio::test]
async fn nobody_erases_themselves_out_of_a_site_that_needs_them() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let resident = app.member(site, Role::Resident).await;
    let right = json!({ "password": PASSWORD });
    let refused = app.post(&ada, "/v1/me/erasure", &right).await;
    let problem = refused.problem(409, "last_keeper");
    assert_eq!(problem["roles"], json!(["educator"]));
    assert_eq!(problem["site_id"], site.to_string());
    app.get(&ada, &format!("/v1/sites/{site}")).await.ok(200);

    // Once they are alone nobody is left behind.
    let gone = app.post(&resident, "/v1/me/erasure", &right).await;
    assert_eq!(gone.status, 204, "{}", gone.text);
    let gone = app.post(&ada, "/v1/me/erasure", &right).await;
    assert_eq!(gone.status, 204, "{}", gone.text);
}
