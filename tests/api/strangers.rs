//! Nobody sees another site, and nothing but ways to sign in works without a token.

use crate::frame::{App, new_bin};
use reqwest::Method;
use serde_json::{Value, json};
use uuid::Uuid;

/// What needs no token; this list may only shrink.
const PUBLIC: [&str; 15] = [
    "GET /health/live",
    "GET /health/ready",
    "GET /openapi.json",
    "GET /problems",
    "GET /problems/{code}",
    "GET /v1/lids/{code}",
    "POST /v1/invitations/accept",
    "POST /v1/joinings",
    "POST /v1/password_resets",
    "POST /v1/password_resets/use",
    "POST /v1/sessions",
    "POST /v1/sessions/by_link",
    "POST /v1/sessions/refresh",
    "POST /v1/sign_in_links",
    "POST /v1/slips/use",
];

/// A body with which each write of a site would go through, were it one's own site.
fn body_for(method: &str, path: &str) -> Option<Value> {
    match (method, path) {
        ("PATCH", "/v1/sites/{site_id}") => Some(json!({ "name": "Mine now" })),
        ("POST", "/v1/sites/{site_id}/bins") => Some(new_bin()),
        ("POST", "/v1/sites/{site_id}/notices/{notice_id}/seen") | ("DELETE", _) => Some(json!({})),
        ("POST", "/v1/sites/{site_id}/bins/{bin_id}/stockings") => Some(json!({ "worms_kg": 0.5 })),
        ("POST", "/v1/sites/{site_id}/bins/{bin_id}/bookings") => {
            Some(json!({ "on_date": "2026-11-25", "amount_kg": 0.1 }))
        }
        ("POST", "/v1/sites/{site_id}/bins/{bin_id}/checks") => Some(json!({ "left": "none" })),
        ("POST", "/v1/sites/{site_id}/bins/{bin_id}/removals") => Some(json!({ "amount_kg": 0.1 })),
        ("POST", "/v1/sites/{site_id}/bins/{bin_id}/beddings") => Some(json!({ "dry_kg": 0.1 })),
        ("POST", "/v1/sites/{site_id}/bins/{bin_id}/sides") => Some(json!({ "share": 0.5 })),
        ("POST", "/v1/sites/{site_id}/bins/{bin_id}/readings") => {
            Some(json!({ "values": [{ "quantity": "bed_c", "value": 20.0 }] }))
        }
        ("POST", "/v1/sites/{site_id}/bins/{bin_id}/probes") => Some(json!({ "name": "Mine" })),
        ("PATCH", "/v1/sites/{site_id}/members/{member_id}") => Some(json!({ "name": "Mine" })),
        ("POST", "/v1/sites/{site_id}/invitations") => Some(json!({
            "email": "eve@elsewhere.example", "name": "Eve", "roles": ["educator"],
        })),
        ("POST", "/v1/sites/{site_id}/joining_sheets") => {
            Some(json!({ "expires_in_days": 1, "most_uses": 1 }))
        }
        ("POST", path)
            if ["/replacement", "/confirmation", "/slip", "/lid_code"]
                .iter()
                .any(|end| path.ends_with(end)) =>
        {
            Some(json!({}))
        }
        ("POST", path) if path.starts_with("/v1/sites/{site_id}/bins/{bin_id}/feedings") => {
            Some(json!({ "items": [{ "food": "usual-mix", "amount_kg": 0.1 }] }))
        }
        _ => None,
    }
}

async fn operations(app: &App) -> Vec<(String, String)> {
    let document = app.ask(Method::GET, "/openapi.json").send().await.ok(200);
    let mut found = Vec::new();
    for (path, item) in document["paths"].as_object().unwrap() {
        for method in item.as_object().unwrap().keys() {
            found.push((method.to_uppercase(), path.clone()));
        }
    }
    assert!(found.len() >= 16, "{found:?}");
    found
}

#[tokio::test]
async fn every_operation_but_the_public_ones_needs_a_token() {
    let app = App::start().await;
    let mut public = Vec::new();
    for (method, path) in operations(&app).await {
        let concrete = path.replace("{code}", "internal");
        let concrete = concrete
            .split('/')
            .map(|part| {
                if part.starts_with('{') {
                    Uuid::now_v7().to_string()
                } else {
                    part.to_owned()
                }
            })
            .collect::<Vec<_>>()
            .join("/");
        let ask = app.ask(method.parse().unwrap(), &concrete);
        let answer = ask.json(&json!({})).send().await;
        if answer.status == 401 && answer.text.contains("no_token") {
            answer.problem(401, "no_token");
        } else {
            public.push(format!("{method} {path}"));
        }
    }
    public.sort();
    assert_eq!(public, PUBLIC);
}

#[tokio::test]
async fn another_site_does_not_exist_for_anybody_else() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let bin = app.bin(&ada, site).await;
    let eve = app.educator().await;
    app.site(&eve).await;
    let nobody = app.stranger().await;
    let mut tried = 0;
    for (method, path) in operations(&app).await {
        if !path.contains("{site_id}") {
            continue;
        }
        let concrete = path
            .replace("{site_id}", &site.to_string())
            .replace("{bin_id}", &bin.to_string())
            .replace("{entry_id}", &Uuid::now_v7().to_string())
            .replace("{probe_id}", &Uuid::now_v7().to_string())
            .replace("{booking_id}", &Uuid::now_v7().to_string())
            .replace("{member_id}", &Uuid::now_v7().to_string())
            .replace("{invitation_id}", &Uuid::now_v7().to_string())
            .replace("{sheet_id}", &Uuid::now_v7().to_string())
            .replace("{notice_id}", &Uuid::now_v7().to_string());
        for who in [&eve, &nobody] {
            let mut ask = app.ask(method.parse().unwrap(), &concrete).by(who);
            if method != "GET" {
                let body = body_for(&method, &path);
                ask = ask.json(&body.unwrap_or_else(|| panic!("no body for {method} {path}")));
            }
            let answer = ask.send().await;
            let problem = answer.problem(404, "not_found");
            assert_eq!(
                problem["detail"], "There is no such site.",
                "{method} {path}"
            );
            tried += 1;
        }
    }
    assert!(tried >= 14, "{tried}");
    let site = app.get(&ada, &format!("/v1/sites/{site}")).await.ok(200);
    assert_eq!(site["name"], "Elm Court");
}
