//! What an operation is tried on: fresh things for each cell, and a body that would go
//! through.

use super::cover;
use super::places;
use super::rows::Row;
use super::turns;
use crate::class_duty::class_turn;
use crate::frame::{App, Court, PASSWORD, Person, id_of, new_bin, weighed};
use chrono::{NaiveDate, TimeDelta};
use reqwest::Method;
use serde_json::{Value, json};
use std::sync::atomic::{AtomicI64, Ordering};
use uuid::Uuid;
use wormrota::clock;
use wormrota::store::notices::{self, NoticeRow};
use wormrota::work::drafting::draft_all;
use wormrota_domain::access::Role;

/// A request that can be sent.
pub(super) struct Concrete {
    pub(super) path: String,
    pub(super) body: Option<Value>,
}

/// The keys that a path names, and the body, for somebody who tries.
pub(super) async fn at_a_site(app: &App, court: &Court, row: &Row, who: &Person) -> Concrete {
    if let Some(concrete) = places::concrete(app, court, row, who).await {
        return concrete;
    }
    if let Some(concrete) = cover::concrete(app, court, row, who).await {
        return concrete;
    }
    let (method, template) = row.operation.split_once(' ').unwrap();
    // What may be somebody's own is made by whoever tries, else by a neighbour.
    let owner = match row.of {
        "another's" => &court.resident,
        _ => who,
    };
    let bin = match template {
        "/v1/sites/{site_id}/bins/{bin_id}/stockings" => app.bin(&court.educator, court.site).await,
        _ => court.bin,
    };
    let mut path = template
        .replace("{site_id}", &court.site.to_string())
        .replace("{bin_id}", &bin.to_string());
    if path.contains("{notice_id}") {
        path = path.replace("{notice_id}", &notice(app, court).await.to_string());
    }
    if path.contains("{booking_id}") {
        path = path.replace(
            "{booking_id}",
            &booking(app, court, owner).await.to_string(),
        );
    }
    if path.contains("{entry_id}") {
        path = path.replace("{entry_id}", &entry(app, court, owner).await.to_string());
    }
    if path.contains("{probe_id}") {
        path = path.replace("{probe_id}", &probe(app, court).await.to_string());
    }
    if path.contains("{pair_id}") {
        path = path.replace("{pair_id}", &pair(app, court).await.to_string());
    }
    if path.contains("{address_id}") {
        let made = app
            .post(owner, &court.at("/calendar_addresses"), &json!({}))
            .await;
        path = path.replace("{address_id}", &id_of(&made.ok(201)).to_string());
    }
    if path.contains("{class_id}") {
        path = class(app, court, path, (row.of == "one's own").then_some(who)).await;
    }
    if path.contains("{rota_id}") {
        path = path.replace("{rota_id}", &rota(app, court, row).await.to_string());
        path = about_members(app, court, row, who, path).await;
    }
    path = of_people(app, court, row, who, path).await;
    path = turns::path(app, court, path).await;
    assert!(!path.contains('{'), "nothing to try this on: {path}");
    let body = match method {
        "GET" | "DELETE" => None,
        _ if BODILESS.iter().any(|end| template.ends_with(end)) => None,
        _ if template.ends_with("/apart_pairs") => Some(two(app, court).await),
        _ => match turns::body(app, court, template).await {
            Some(body) => Some(body),
            None => Some(body(app, template).await),
        },
    };
    Concrete { path, body }
}

/// How the addresses end at which something happens without a body.
const BODILESS: [&str; 6] = [
    "/end",
    "/replacement",
    "/slip",
    "/lid_code",
    "/helpers/{member_id}",
    "/put_up",
];

/// The same path with the keys of people, and of what lets people in.
async fn of_people(app: &App, court: &Court, row: &Row, who: &Person, path: String) -> String {
    let at = |rest: &str| court.at(rest);
    let keeper = &court.educator;
    let unique = Uuid::now_v7().simple().to_string();
    if path.contains("{invitation_id}") {
        let new = json!({
            "email": format!("{unique}@elmcourt.example"), "name": "I", "roles": ["resident"],
        });
        let made = app.invite(keeper, court.site, &new).await;
        return path.replace("{invitation_id}", &id_of(&made).to_string());
    }
    if path.contains("{sheet_id}") {
        let new = json!({ "expires_in_days": 1, "most_uses": 1 });
        let made = app.post(keeper, &at("/joining_sheets"), &new).await.ok(201);
        return path.replace("{sheet_id}", &id_of(&made).to_string());
    }
    if !path.contains("{member_id}") {
        return path;
    }
    let member = if path.contains("/newcomers/") {
        app.newcomer(keeper, court.site, &unique).await
    } else if row.of == "one's own" {
        app.member_id(who, court.site).await
    } else {
        app.without_address(keeper, court.site, &unique).await
    };
    let path = path.replace("{member_id}", &member.to_string());
    let Some(absences) = path.strip_suffix("/{absence_id}") else {
        return path;
    };
    let away = a_day_away(app).await;
    let told = app.post(keeper, absences, &away).await.ok(201);
    format!("{absences}/{}", id_of(&told))
}

async fn today(app: &App) -> NaiveDate {
    app.now().await.date_naive()
}

static AWAY: AtomicI64 = AtomicI64::new(0);

/// A day to be away, of its own: no two absences of somebody overlap.
async fn a_day_away(app: &App) -> Value {
    let ahead = AWAY.fetch_add(1, Ordering::Relaxed) % 700 + 1;
    let day = today(app).await + TimeDelta::days(ahead);
    json!({ "first_day": day, "last_day": day })
}

/// Two members, in a body that keeps them apart.
async fn two(app: &App, court: &Court) -> Value {
    let mut ids = Vec::new();
    for _ in 0..2 {
        let name = Uuid::now_v7().simple().to_string();
        ids.push(
            app.without_address(&court.educator, court.site, &name)
                .await,
        );
    }
    json!({ "member_ids": ids })
}

async fn pair(app: &App, court: &Court) -> Uuid {
    let caretaker = app.member(court.site, Role::Caretaker).await;
    let body = two(app, court).await;
    let made = app.post(&caretaker, &court.at("/apart_pairs"), &body).await;
    id_of(&made.ok(201))
}

/// A body with which a write at a site goes through.
async fn body(app: &App, template: &str) -> Value {
    let unique = Uuid::now_v7().simple();
    let at_site = template.trim_start_matches("/v1/sites/{site_id}");
    match at_site {
        "" => json!({ "units": "us" }),
        "/bins" => {
            let mut bin = new_bin();
            bin["name"] = format!("Bin {unique}").into();
            bin
        }
        "/rotas" => {
            // Only one is drafted at a time.
            app.sql("UPDATE rotas SET state = 'dropped' WHERE state = 'waiting'")
                .await;
            days_of_a_rota(app).await
        }
        "/imports" => json!("name,role\nEve,resident\n"),
        "/classes" => {
            json!({ "name": format!("C {unique}"), "ends_on": app.now().await.date_naive() })
        }
        "/classes/{class_id}" => json!({ "name": format!("C {unique}") }),
        "/classes/{class_id}/pupils" => json!({ "labels": "Bo" }),
        "/classes/{class_id}/pupils/{pupil_id}" => json!({ "label": "Cy" }),
        "/classes/{class_id}/duty" => {
            let today = today(app).await;
            json!({ "from": today, "to": today, "by": "in_order" })
        }
        "/classes/{class_id}/duty/{place_id}" => json!({ "pupil_id": null }),
        "/classes/{class_id}/pupils/{pupil_id}/absences" => {
            json!({ "on_date": today(app).await })
        }
        "/members/{member_id}/limits" => json!({ "rest_days": 1 }),
        "/members/{member_id}/absences" => a_day_away(app).await,
        "/members/{member_id}/absences/{absence_id}"
        | "/calendar_addresses"
        | "/notices/{notice_id}/seen"
        | "/newcomers/{member_id}/confirmation"
        | "/classes/{class_id}/duty/{place_id}/exchange" => json!({}),
        "/members/{member_id}" => json!({ "name": "Somebody" }),
        "/invitations" => json!({
            "email": format!("{unique}@elmcourt.example"), "name": "I", "roles": ["resident"],
        }),
        "/joining_sheets" => json!({ "expires_in_days": 1, "most_uses": 1 }),
        "/bins/{bin_id}/stockings" => json!({ "worms_kg": 0.5 }),
        "/bins/{bin_id}/bookings" => {
            let tomorrow = app.now().await + TimeDelta::days(1);
            json!({ "on_date": tomorrow.date_naive(), "amount_kg": 0.001 })
        }
        "/bins/{bin_id}/checks" => json!({ "left": "none" }),
        "/bins/{bin_id}/removals" => json!({ "amount_kg": 0.001 }),
        "/bins/{bin_id}/beddings" => json!({ "dry_kg": 0.001 }),
        "/bins/{bin_id}/sides" => json!({ "share": 1.0 }),
        "/bins/{bin_id}/readings" => {
            json!({ "values": [{ "quantity": "bed_c", "value": 20.0 }] })
        }
        "/bins/{bin_id}/probes" => json!({ "name": format!("Probe {unique}") }),
        _ if at_site.starts_with("/bins/{bin_id}/feedings") => weighed("usual-mix", 0.001),
        other => panic!("no body for {other}"),
    }
}

/// A class of the site's educator with a pupil and a helper, put into a path; with a second
/// helper, if it is to be somebody's own.
async fn class(app: &App, court: &Court, path: String, own: Option<&Person>) -> String {
    let by = &court.educator;
    let new = body(app, "/v1/sites/{site_id}/classes").await;
    let id = id_of(&app.post(by, &court.at("/classes"), &new).await.ok(201));
    let at = court.at(&format!("/classes/{id}"));
    let added = app
        .post(by, &format!("{at}/pupils"), &json!({ "labels": "Ana" }))
        .await
        .ok(201);
    let mut helper = String::new();
    for who in own.into_iter().chain([&court.resident]) {
        let site = app.get(who, &court.at("")).await.ok(200);
        site["my_member_id"]
            .as_str()
            .unwrap()
            .clone_into(&mut helper);
        let helping = format!("{at}/helpers/{helper}");
        app.ask(Method::PUT, &helping).by(by).send().await.ok(200);
    }
    let pupil = id_of(&added["pupils"][0]);
    let place = if path.contains("{place_id}") || path.contains("{on_date}") {
        ill_on_duty(app, court, &at, (id, pupil)).await.to_string()
    } else {
        String::new()
    };
    path.replace("{class_id}", &id.to_string())
        .replace("{pupil_id}", &pupil.to_string())
        .replace("{member_id}", &helper)
        .replace("{place_id}", &place)
        .replace("{on_date}", &today(app).await.to_string())
}

/// A turn of a class today whose pupil is away, with another pupil to step in; gives the place.
async fn ill_on_duty(app: &App, court: &Court, at: &str, (class, pupil): (Uuid, Uuid)) -> Uuid {
    let by = &court.educator;
    let (bin, today) = (court.bin, today(app).await);
    let (_, places) = class_turn(app, (court.site, bin, class), today, 1).await;
    let new = json!({ "labels": "Dee" });
    app.post(by, &format!("{at}/pupils"), &new).await.ok(201);
    let holder = json!({ "pupil_id": pupil });
    app.put(by, &format!("{at}/duty/{}", places[0]), &holder)
        .await
        .ok(200);
    let away = json!({ "on_date": today });
    let path = format!("{at}/pupils/{pupil}/absences");
    app.post(by, &path, &away).await.ok(201);
    places[0]
}

/// Two days that have no rota yet, and on which nobody else has turns.
async fn days_of_a_rota(app: &App) -> Value {
    static NEXT: AtomicI64 = AtomicI64::new(0);
    let ahead = 100 + 2 * NEXT.fetch_add(1, Ordering::Relaxed);
    let first = today(app).await + TimeDelta::days(ahead);
    json!({ "first_day": first, "last_day": first + TimeDelta::days(1) })
}

/// The same path with whose reasons are asked for.
async fn about_members(app: &App, court: &Court, row: &Row, who: &Person, path: String) -> String {
    let id = |who| app.member_id(who, court.site);
    if path.ends_with("/reasons") && row.of == "another's" {
        return format!("{path}?member_id={}", id(&court.resident).await);
    }
    if path.ends_with("/comparison") {
        // The educator, whom everybody may see, beside whoever asks.
        let (one, other) = (id(&court.educator).await, id(who).await);
        return format!("{path}?one_id={one}&other_id={other}");
    }
    path
}

/// A draft of a rota in which everybody has a part; in force where everybody may see it.
async fn rota(app: &App, court: &Court, row: &Row) -> Uuid {
    let site = court.site;
    app.sql(&format!(
        "INSERT INTO member_limits (site_id, member_id, cannot_weekdays, likes_weekdays,
             rather_not_weekdays, rest_days, only_trained_bins, experienced, not_alone,
             share, revision)
         SELECT site_id, id, '{{}}', '{{}}', '{{}}', 0, false, false, false, 'full', 1
         FROM members WHERE site_id = '{site}'
         ON CONFLICT (site_id, member_id) DO UPDATE SET share = 'full'"
    ))
    .await;
    let new = body(app, "/v1/sites/{site_id}/rotas").await;
    let asked = app.post(&court.educator, &court.at("/rotas"), &new).await;
    let id = id_of(&asked.ok(202));
    draft_all(&app.desk).await.unwrap();
    if ["in force", "one's own", "another's"].contains(&row.of) {
        let put_up = court.at(&format!("/rotas/{id}/put_up"));
        let ask = app.ask(Method::POST, &put_up).by(&court.educator);
        ask.send().await.ok(200);
    }
    id
}

async fn notice(app: &App, court: &Court) -> Uuid {
    let row = NoticeRow {
        site_id: court.site,
        id: clock::fresh_id(),
        bin_id: court.bin,
        event_id: None,
        kind: "over_limit".to_owned(),
        created_at: app.now().await,
        seen_at: None,
        seen_by: None,
    };
    let id = row.id;
    let store = app.desk.store();
    let put_up = store.transact("put up a notice", row, |conn, row| {
        Box::pin(async move { notices::insert(conn, std::slice::from_ref(row)).await })
    });
    put_up.await.unwrap();
    id
}

static BOOKED: AtomicI64 = AtomicI64::new(0);

async fn booking(app: &App, court: &Court, holder: &Person) -> Uuid {
    // A day of its own, since somebody books once for a day.
    let ahead = BOOKED.fetch_add(1, Ordering::Relaxed) % 20 + 2;
    let day = (app.now().await + TimeDelta::days(ahead)).date_naive();
    let path = court.bin_at("/bookings");
    let body = json!({ "on_date": day, "amount_kg": 0.001 });
    id_of(&app.post(holder, &path, &body).await.ok(201))
}

async fn entry(app: &App, court: &Court, author: &Person) -> Uuid {
    let path = court.bin_at("/beddings");
    id_of(
        &app.post(author, &path, &json!({ "dry_kg": 0.001 }))
            .await
            .ok(201),
    )
}

async fn probe(app: &App, court: &Court) -> Uuid {
    let name = format!("Probe {}", Uuid::now_v7().simple());
    let path = court.bin_at("/probes");
    let made = app
        .post(&court.educator, &path, &json!({ "name": name }))
        .await;
    id_of(&made.ok(201))
}

/// A request about oneself.
pub(super) async fn of_oneself(app: &App, row: &Row, who: &Person) -> Concrete {
    let (method, template) = row.operation.split_once(' ').unwrap();
    let mut path = template.replace("{session_id}", &who.session.to_string());
    if path.contains("{link_id}") {
        path = path.replace("{link_id}", &link(app, who).await.to_string());
    }
    let body = match (method, template) {
        ("GET" | "DELETE", _) => None,
        (_, "/v1/demo/clock") => Some(json!({ "advance_days": 1 })),
        (_, "/v1/me/password") => Some(json!({
            "current_password": PASSWORD, "new_password": "seven damp newspapers",
        })),
        (_, "/v1/me/erasure") => Some(json!({ "password": PASSWORD })),
        other => panic!("no body for {other:?}"),
    };
    Concrete { path, body }
}

async fn link(app: &App, who: &Person) -> Uuid {
    app.ask(Method::POST, "/v1/sign_in_links")
        .json(&json!({ "email": who.email }))
        .send()
        .await
        .ok(202);
    let links = app.get(who, "/v1/me/links").await.ok(200);
    id_of(&links["items"][0])
}
