//! What is kept about a person: handed over in full, and to nobody else.

use crate::frame::{App, weighed};
use serde_json::json;
use std::collections::BTreeSet;
use wormrota::store::personal::{By, KEPT};
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
                By::Session => vec!["session_id"],
            };
            columns
                .into_iter()
                .map(|column| (kept.table.to_owned(), column.to_owned()))
        })
        // The persons themselves, and what was done to them.
        .filter(|(_, column)| column != "id" && column != "subject_id")
        .collect();
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
