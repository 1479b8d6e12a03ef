use crate::frame::{App, Person, all_at_once, id_of, shared, weighed};
use chrono::TimeDelta;
use reqwest::Method;
use serde_json::{Value, json};
use std::sync::Arc;
use uuid::Uuid;
use wormrota_domain::access::Role;

fn people(page: &Value) -> Vec<&Value> {
    page["items"].as_array().unwrap().iter().collect()
}

fn named<'a>(page: &'a Value, name: &str) -> &'a Value {
    people(page)
        .into_iter()
        .find(|one| one["name"] == name)
        .unwrap_or_else(|| panic!("nobody is called {name}: {page}"))
}

async fn path_of(app: &App, who: &Person, site: Uuid) -> String {
    format!(
        "/v1/sites/{site}/members/{}",
        app.member_id(who, site).await
    )
}

#[tokio::test]
async fn keepers_see_all_of_everybody() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let path = format!("/v1/sites/{site}/members");
    let resident = app.member(site, Role::Resident).await;
    let mine = json!({ "phone": "+1 312 555 0117" });
    let own = path_of(&app, &resident, site).await;
    app.patch(&resident, &own, &mine).await.ok(200);
    for role in [Role::Caretaker, Role::Teacher, Role::Educator] {
        let keeper = app.member(site, role).await;
        let page = app.get(&keeper, &path).await.ok(200);
        let seen = named(&page, "A resident");
        assert_eq!(seen["flat"], "3b");
        assert_eq!(seen["email"], resident.email);
        assert_eq!(seen["phone"], "+1 312 555 0117");
        assert_eq!(seen["details"]["has_account"], true);
        assert_eq!(named(&page, "Ada")["roles"], json!(["educator"]));
    }
}

#[tokio::test]
async fn residents_see_each_other_only_as_the_site_allows() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let at_site = format!("/v1/sites/{site}");
    let path = format!("{at_site}/members");
    let me = app.member(site, Role::Resident).await;
    app.member(site, Role::Caretaker).await;
    let invitation = json!({
        "email": "kim@elmcourt.example", "name": "Kim", "flat": "7", "roles": ["resident"],
    });
    let kim = app.invite(&ada, site, &invitation).await;
    let kim = kim["member_id"].as_str().unwrap();

    let page = app.get(&me, &path).await.ok(200);
    let names: Vec<&Value> = people(&page).iter().map(|one| &one["name"]).collect();
    assert_eq!(names, ["Ada", "A resident", "A caretaker"]);
    let own = named(&page, "A resident");
    assert_eq!(
        (&own["flat"], &own["email"]),
        (&json!("3b"), &json!(me.email))
    );
    let caretaker = named(&page, "A caretaker");
    for hidden in ["flat", "email", "phone", "details"] {
        assert_eq!(caretaker[hidden], json!(null), "{hidden}");
    }
    let theirs = format!("{path}/{kim}");
    app.get(&me, &theirs).await.problem(404, "not_found");

    let allow = |what: &str| {
        let change = json!({ "neighbours_see": what });
        let (app, ada, at_site) = (&app, &ada, &at_site);
        async move { app.patch(ada, at_site, &change).await.ok(200) }
    };
    allow("names").await;
    let seen = app.get(&me, &theirs).await.ok(200);
    assert_eq!(
        (&seen["name"], &seen["flat"]),
        (&json!("Kim"), &json!(null))
    );
    allow("names_and_flats").await;
    let seen = app.get(&me, &theirs).await.ok(200);
    assert_eq!(seen["flat"], "7");
    assert_eq!(
        (&seen["email"], &seen["phone"]),
        (&json!(null), &json!(null))
    );

    // For covering a turn, what somebody shares is seen.
    let change = json!({ "phone": "112", "shares_phone": true, "shares_email": true });
    app.patch(&ada, &theirs, &change).await.ok(200);
    let seen = app.get(&me, &theirs).await.ok(200);
    assert_eq!(seen["phone"], "112");
    assert_eq!(seen["email"], "kim@elmcourt.example");
    let change = json!({ "shares_phone": false });
    app.patch(&ada, &theirs, &change).await.ok(200);
    assert_eq!(app.get(&me, &theirs).await.ok(200)["phone"], json!(null));
    allow("keepers").await;
    app.get(&me, &theirs).await.problem(404, "not_found");
}

#[tokio::test]
async fn people_change_their_own_details_and_nothing_more() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let me = app.member(site, Role::Resident).await;
    let neighbour = app.member(site, Role::Resident).await;
    let path = path_of(&app, &me, site).await;
    let first = app.get(&me, &path).await;
    let change = json!({
        "name": "Robin", "language": "es", "phone": "112", "shares_phone": true,
    });
    let after = app.patch(&me, &path, &change).await.ok(200);
    assert_eq!(after["name"], "Robin");
    assert_eq!(after["details"]["language"], "es");
    assert_eq!(after["details"]["shares_phone"], true);
    let back = json!({ "language": null, "phone": null, "shares_phone": false });
    let after = app.patch(&me, &path, &back).await.ok(200);
    assert_eq!(
        (&after["phone"], &after["name"]),
        (&json!(null), &json!("Robin"))
    );
    assert_eq!(after["details"]["language"], json!(null));

    let stale = app
        .ask(Method::PATCH, &path)
        .by(&me)
        .header("if-match", first.header("etag").unwrap())
        .json(&json!({ "name": "Late" }));
    stale.send().await.problem(412, "changed_meanwhile");

    for forbidden in [
        json!({ "flat": "9" }),
        json!({ "roles": ["resident", "caretaker"] }),
        json!({ "email": "me@elsewhere.example" }),
    ] {
        let answer = app.patch(&me, &path, &forbidden).await;
        answer.problem(403, "forbidden");
    }
    let theirs = path_of(&app, &neighbour, site).await;
    app.patch(&me, &theirs, &json!({ "name": "Mine" }))
        .await
        .problem(403, "forbidden");
    for (field, value) in [
        ("site_id", json!(Uuid::nil())),
        ("account_id", json!(ada.account.to_string())),
        ("is_educator", json!(true)),
        ("joined_at", json!("2020-01-01T00:00:00Z")),
        ("name", json!("x".repeat(10_000))),
        ("name", json!("a\u{8}b")),
        ("phone", json!("call me")),
        ("language", json!("xx")),
        ("roles", json!([])),
    ] {
        let pointer = format!("/{field}");
        let change = json!({ field: value });
        app.patch(&me, &path, &change)
            .await
            .wrong_fields(&[&pointer]);
    }
}

#[tokio::test]
async fn keepers_change_whom_they_may_manage() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let caretaker = app.member(site, Role::Caretaker).await;
    let teacher = app.member(site, Role::Teacher).await;
    let resident = app.member(site, Role::Resident).await;
    let of = |who: &Person| {
        let (app, who) = (&app, who.clone());
        async move { path_of(app, &who, site).await }
    };
    let change = json!({ "name": "New", "flat": "9" });
    let theirs = of(&resident).await;
    let after = app.patch(&teacher, &theirs, &change).await.ok(200);
    assert_eq!(
        (&after["name"], &after["flat"]),
        (&json!("New"), &json!("9"))
    );
    for above in [&caretaker, &ada] {
        let path = of(above).await;
        app.patch(&teacher, &path, &change)
            .await
            .problem(403, "forbidden");
    }
    let path = of(&ada).await;
    app.patch(&caretaker, &path, &change)
        .await
        .problem(403, "forbidden");

    let roles = json!({ "roles": ["resident", "teacher"] });
    app.patch(&teacher, &theirs, &roles)
        .await
        .problem(403, "forbidden");
    let after = app.patch(&caretaker, &theirs, &roles).await.ok(200);
    assert_eq!(after["roles"], json!(["resident", "teacher"]));
    let too_high = json!({ "roles": ["educator"] });
    for who in [&resident, &caretaker] {
        let path = of(who).await;
        app.patch(&caretaker, &path, &too_high)
            .await
            .problem(403, "forbidden");
    }
    // What only the owner of an account decides.
    for (change, pointer) in [
        (json!({ "email": "x@elmcourt.example" }), "/email"),
        (json!({ "shares_phone": true }), "/shares_phone"),
        (json!({ "shares_email": true }), "/shares_email"),
    ] {
        let answer = app.patch(&caretaker, &theirs, &change).await;
        answer.conflicting_fields(&[pointer]);
    }
}

#[tokio::test]
async fn another_address_gets_a_link_of_its_own_and_the_old_one_dies() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let invite = |email: &str| json!({ "email": email, "name": "Kim", "roles": ["caretaker"] });
    let first = app
        .invite(&ada, site, &invite("wrong@elmcourt.example"))
        .await;
    app.invite(&ada, site, &invite("taken@elmcourt.example"))
        .await;
    let path = format!(
        "/v1/sites/{site}/members/{}",
        first["member_id"].as_str().unwrap()
    );
    let taken = json!({ "email": "taken@elmcourt.example" });
    app.patch(&ada, &path, &taken)
        .await
        .conflicting_fields(&["/email"]);
    // A teacher could otherwise send a caretaker's link to themselves.
    let teacher = app.member(site, Role::Teacher).await;
    let right = json!({ "email": "right@elmcourt.example" });
    app.patch(&teacher, &path, &right)
        .await
        .problem(403, "forbidden");
    app.patch(&ada, &path, &right).await.ok(200);
    let old = json!({ "token": app.invitation_token(&first) });
    app.say("/v1/invitations/accept", &old)
        .await
        .problem(401, "link_refused");
    let list = format!("/v1/sites/{site}/invitations");
    let list = app.get(&ada, &list).await.ok(200);
    let newest = &list["items"][0];
    assert_eq!(newest["email"], "right@elmcourt.example");
    let new = json!({ "token": app.invitation_token(newest) });
    app.say("/v1/invitations/accept", &new).await.ok(201);
    let rows = app.rows("SELECT email_lower FROM accounts").await;
    assert!(
        rows.iter()
            .any(|row| row["email_lower"] == "right@elmcourt.example")
    );
}

#[tokio::test]
async fn somebody_who_leaves_gives_back_what_they_booked_and_keeps_their_account() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let me = &court.resident;
    let booking = json!({ "on_date": "2026-06-12", "amount_kg": 0.1 });
    app.post(me, &court.bin_at("/bookings"), &booking)
        .await
        .ok(201);
    let meal = json!({ "items": [{ "food": "carrot", "amount_kg": 0.05 }] });
    app.post(me, &court.bin_at("/feedings"), &meal)
        .await
        .ok(201);
    let path = path_of(&app, me, court.site).await;
    assert_eq!(app.delete(me, &path).await.status, 204);

    app.get(me, &court.at("")).await.problem(404, "not_found");
    app.get(me, "/v1/sites").await.ok(200);
    app.get(&court.educator, &path)
        .await
        .problem(404, "not_found");
    let bookings = app.get(&court.educator, &court.bin_at("/bookings")).await;
    assert_eq!(bookings.ok(200)["items"], json!([]));
    let feedings = app.get(&court.educator, &court.bin_at("/feedings")).await;
    assert!(!feedings.ok(200)["items"].as_array().unwrap().is_empty());
    let left = app
        .rows("SELECT 1 AS n FROM member_names WHERE name = 'A resident'")
        .await;
    assert!(left.is_empty());
    app.delete(&court.educator, &path)
        .await
        .problem(404, "not_found");
}

#[tokio::test]
async fn the_last_caretaker_names_who_takes_over() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let caretaker = app.member(site, Role::Caretaker).await;
    let resident = app.member(site, Role::Resident).await;
    let next = app.member_id(&resident, site).await;
    let without_account = app.without_address(&caretaker, site, "Kim").await;
    let path = path_of(&app, &caretaker, site).await;

    let refused = app.delete(&caretaker, &path).await;
    let problem = refused.problem(409, "last_keeper");
    assert_eq!(problem["roles"], json!(["caretaker"]));
    // The same by removal, and by another role.
    app.delete(&ada, &path).await.problem(409, "last_keeper");
    let demoted = json!({ "roles": ["resident"] });
    app.patch(&ada, &path, &demoted)
        .await
        .problem(409, "last_keeper");
    let me = app.member_id(&caretaker, site).await;
    for nobody in [me, without_account, Uuid::now_v7()] {
        let path = format!("{path}?successor_id={nobody}");
        app.delete(&caretaker, &path)
            .await
            .conflicting_fields(&["/successor_id"]);
    }
    for query in ["successor_id=x", "successor=1", "successor_id="] {
        let path = format!("{path}?{query}");
        app.delete(&caretaker, &path)
            .await
            .problem(400, "bad_query");
    }
    assert_eq!(app.member_id(&caretaker, site).await, me);

    let path = format!("{path}?successor_id={next}");
    assert_eq!(app.delete(&caretaker, &path).await.status, 204);
    let seen = app.get(&resident, &format!("/v1/sites/{site}")).await;
    assert_eq!(seen.ok(200)["my_roles"], json!(["resident", "caretaker"]));
    let trail = app
        .rows("SELECT deed, subject_id FROM audit WHERE deed = 'role_taken_over'")
        .await;
    assert_eq!(trail[0]["subject_id"], next.to_string());
}

#[tokio::test]
async fn a_role_change_hands_over_in_the_same_step() {
    let app = App::start().await;
    let ada = app.educator().await;
    let mut school = crate::frame::new_site();
    school["is_school"] = true.into();
    let site = id_of(&app.post(&ada, "/v1/sites", &school).await.ok(201));
    let teacher = app.member(site, Role::Teacher).await;
    let caretaker = app.member(site, Role::Caretaker).await;
    let path = path_of(&app, &teacher, site).await;
    let change = json!({ "roles": ["resident"] });
    let problem = app.patch(&caretaker, &path, &change).await;
    assert_eq!(
        problem.problem(409, "last_keeper")["roles"],
        json!(["teacher"])
    );
    let next = app.member_id(&caretaker, site).await;
    let change = json!({ "roles": ["resident"], "successor_id": next });
    let after = app.patch(&caretaker, &path, &change).await.ok(200);
    assert_eq!(after["roles"], json!(["resident"]));
    let seen = app.get(&caretaker, &format!("/v1/sites/{site}")).await;
    assert_eq!(seen.ok(200)["my_roles"], json!(["caretaker", "teacher"]));
}

#[tokio::test]
async fn whoever_looks_after_a_site_alone_does_not_leave_it_alone() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let path = path_of(&app, &ada, site).await;
    let problem = app.delete(&ada, &path).await.problem(409, "last_keeper");
    assert_eq!(problem["roles"], json!(["educator"]));
    assert_eq!(problem["site_id"], site.to_string());
    let resident = app.member(site, Role::Resident).await;
    let next = app.member_id(&resident, site).await;
    let left = app
        .delete(&ada, &format!("{path}?successor_id={next}"))
        .await;
    assert_eq!(left.status, 204);
}

#[tokio::test]
async fn two_last_caretakers_cannot_both_leave_at_once() {
    let app = shared().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let mut leaving = Vec::new();
    for _ in 0..2 {
        let who = app.member(site, Role::Caretaker).await;
        let path = path_of(&app, &who, site).await;
        let app = Arc::clone(&app);
        leaving.push(async move { app.delete(&who, &path).await.status.as_u16() });
    }
    let mut statuses = all_at_once(leaving).await;
    statuses.sort_unstable();
    assert_eq!(statuses, [204, 409]);
}

#[tokio::test]
async fn only_managers_remove_people_and_only_whom_they_may_manage() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let resident = app.member(site, Role::Resident).await;
    let neighbour = app.member(site, Role::Resident).await;
    let teacher = app.member(site, Role::Teacher).await;
    let caretaker = app.member(site, Role::Caretaker).await;
    app.member(site, Role::Caretaker).await;
    let theirs = path_of(&app, &neighbour, site).await;
    let nobody = format!("/v1/sites/{site}/members/{}", Uuid::now_v7());
    for who in [&resident, &teacher] {
        // Whether there is such a member or not is all the same.
        for path in [&theirs, &nobody] {
            app.delete(who, path).await.problem(403, "forbidden");
        }
    }
    let path = path_of(&app, &ada, site).await;
    app.delete(&caretaker, &path)
        .await
        .problem(403, "forbidden");
    assert_eq!(app.delete(&caretaker, &theirs).await.status, 204);
}

#[tokio::test]
async fn members_of_another_site_are_nobody_here() {
    let app = App::start().await;
    let ada = app.educator().await;
    let here = app.site(&ada).await;
    let eve = app.educator().await;
    let there = app.site(&eve).await;
    let ours = app.member_id(&ada, here).await;
    let path = format!("/v1/sites/{there}/members/{ours}");
    app.get(&eve, &path).await.problem(404, "not_found");
    app.patch(&eve, &path, &json!({ "name": "Mine" }))
        .await
        .problem(404, "not_found");
    app.delete(&eve, &path).await.problem(404, "not_found");
    let slip = format!("{path}/slip");
    let answer = app.ask(Method::POST, &slip).by(&eve).send().await;
    answer.problem(404, "not_found");
    let change = json!({ "deputy_id": ours });
    app.patch(&eve, &format!("/v1/sites/{there}"), &change)
        .await
        .conflicting_fields(&["/deputy_id"]);
}

#[tokio::test]
async fn a_name_that_was_erased_leaves_its_member() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    app.sql("DELETE FROM member_names").await;
    let page = app
        .get(&ada, &format!("/v1/sites/{site}/members"))
        .await
        .ok(200);
    assert_eq!(page["items"][0]["name"], json!(null));
    assert_eq!(page["items"][0]["roles"], json!(["educator"]));
}

#[tokio::test]
async fn every_change_of_people_leaves_a_line_without_a_name() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let invitation = json!({
        "email": "quentin@elmcourt.example", "name": "Quentin", "flat": "17q",
        "roles": ["resident"],
    });
    let invitation = app.invite(&ada, site, &invitation).await;
    let token = json!({ "token": app.invitation_token(&invitation) });
    let joined = app.say("/v1/invitations/accept", &token).await.ok(201);
    let member = joined["member_id"].as_str().unwrap();
    let path = format!("/v1/sites/{site}/members/{member}");
    let change = json!({ "roles": ["resident", "teacher"], "flat": "18q" });
    app.patch(&ada, &path, &change).await.ok(200);
    app.without_address(&ada, site, "Quirin").await;
    assert_eq!(app.delete(&ada, &path).await.status, 204);
    let lines = app.rows("SELECT * FROM audit ORDER BY id").await;
    let deeds: Vec<&str> = lines
        .iter()
        .map(|line| line["deed"].as_str().unwrap())
        .collect();
    assert_eq!(
        deeds,
        [
            "member_added",
            "invitation_made",
            "invitation_accepted",
            "roles_changed",
            "member_changed",
            "joining_sheet_made",
            "newcomer_waits",
            "newcomer_let_in",
            "member_removed",
        ]
    );
    let text = serde_json::to_string(&lines).unwrap();
    for name in ["uentin", "uirin", "17q", "18q", "elmcourt"] {
        assert!(!text.contains(name), "{text}");
    }
}

#[tokio::test]
async fn neighbours_do_not_see_who_fed_measured_or_booked() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let neighbour = app.member(court.site, Role::Resident).await;
    let own = app.member_id(&court.resident, court.site).await;
    let tomorrow = (app.now().await + TimeDelta::days(1)).date_naive();
    let value = json!({ "values": [{ "quantity": "bed_c", "value": 20.0 }] });
    for (path, body) in [
        ("/feedings/told", weighed("apple-core", 0.01)),
        ("/readings", value),
        (
            "/bookings",
            json!({ "on_date": tomorrow, "amount_kg": 0.01 }),
        ),
    ] {
        app.post(&court.resident, &court.bin_at(path), &body)
            .await
            .ok(201);
    }
    for path in ["/feedings", "/readings", "/bookings"] {
        let key = async |who| {
            let list = app.get(who, &court.bin_at(path)).await.ok(200);
            list["items"][0]["member_id"].clone()
        };
        assert_eq!(key(&neighbour).await, json!(null), "{path}");
        assert_eq!(key(&court.resident).await, json!(own), "{path}");
        assert_eq!(key(&court.educator).await, json!(own), "{path}");
    }
}
