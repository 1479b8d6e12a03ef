//! May I put this in? Asking, and putting in what is allowed.

use crate::frame::{App, Court, grams, id_of, new_site, weighed};
use reqwest::Method;
use serde_json::{Value, json};
use uuid::Uuid;
use wormrota_domain::access::Role;

async fn put_in(app: &App, court: &Court, offer: &Value) -> crate::frame::Answer {
    let path = court.bin_at("/feedings");
    app.post(&court.resident, &path, offer).await
}

fn condition<'a>(decision: &'a Value, code: &str) -> &'a Value {
    decision["conditions"]
        .as_array()
        .unwrap()
        .iter()
        .find(|condition| condition["code"] == code)
        .unwrap_or_else(|| panic!("no {code}: {decision}"))
}

#[track_caller]
fn has_words(decision: &Value) {
    let sentence = decision["sentence"].as_str().unwrap();
    assert!(sentence.len() > 20 && sentence.ends_with('.'), "{decision}");
}

#[tokio::test]
async fn asking_gives_the_decision_and_writes_nothing() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let before = app.contents().await;
    for (offer, outcome) in [
        (weighed("apple-core", 0.1), "accepted"),
        (weighed("banana-peel", 0.1), "accepted_if"),
        (weighed("usual-mix", 5.0), "refused"),
        (weighed("meat", 0.1), "refused"),
    ] {
        let path = court.bin_at("/feedings/ask");
        let decision = app.post(&court.resident, &path, &offer).await.ok(200);
        assert_eq!(decision["outcome"], outcome, "{decision}");
        assert_eq!(decision.get("id"), None, "{decision}");
        has_words(&decision);
    }
    app.get(&court.resident, &court.bin_at("/room"))
        .await
        .ok(200);
    app.get(&court.resident, &court.bin_at("/forecast"))
        .await
        .ok(200);
    assert_eq!(app.contents().await, before);
}

#[tokio::test]
async fn what_fits_goes_in_and_takes_its_room() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let before = app.room_g(&court).await;
    assert!(before > 200, "{before}");

    let fed = put_in(&app, &court, &weighed("apple-core", 0.12))
        .await
        .ok(201);
    let decision = &fed["decision"];
    assert_eq!(decision["outcome"], "accepted");
    assert_eq!(decision["allowed_kg"], 0.12);
    assert_eq!(decision["reasons"], json!([]));
    has_words(decision);
    let after = app.room_g(&court).await;
    assert!((before - after - 120).abs() <= 1, "{before} {after}");

    let list = app.get(&court.resident, &court.bin_at("/feedings")).await;
    let list = list.ok(200);
    let feeding = &list["items"][0];
    assert_eq!(feeding["id"], fed["id"]);
    assert_eq!(feeding["amount_kg"], 0.12);
    assert_eq!(feeding["how"], "allowed");
    let items = json!([{ "food": "apple-core", "amount_kg": 0.12 }]);
    assert_eq!(feeding["items"], items);

    let kept = app
        .rows("SELECT id, outcome, event_id, allowed_g FROM decisions WHERE deed = 'put_in'")
        .await;
    let row = json!({
        "id": decision["id"], "outcome": "accepted", "event_id": fed["id"], "allowed_g": 120,
    });
    assert_eq!(kept, [row]);
}

#[tokio::test]
async fn large_pieces_go_in_if_they_are_cut() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let fed = put_in(&app, &court, &weighed("banana-peel", 0.1))
        .await
        .ok(201);
    let decision = &fed["decision"];
    assert_eq!(decision["outcome"], "accepted_if");
    assert_eq!(decision["allowed_kg"], 0.1);
    let foods = &condition(decision, "cut_small")["foods"];
    assert_eq!(*foods, json!(["banana-peel"]));
    let sentence = decision["sentence"].as_str().unwrap();
    assert!(sentence.contains("banana peel"), "{sentence}");
}

#[tokio::test]
async fn a_guess_stops_at_the_line_where_scales_are_refused() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let room = app.room_g(&court).await;
    // Three quarters of a litre are 342 g, give or take a fifth.
    let guess = json!({ "items": [{ "food": "usual-mix", "measure": "litre", "quarters": 3 }] });
    assert!((290..342).contains(&room), "{room}");
    let answer = put_in(&app, &court, &weighed("usual-mix", 0.342)).await;
    answer.problem(409, "feeding_refused");

    let fed = put_in(&app, &court, &guess).await.ok(201);
    let decision = &fed["decision"];
    assert_eq!(decision["outcome"], "accepted_if");
    assert_eq!(decision["offered_kg"], 0.342);
    assert_eq!(grams(&decision["allowed_kg"]), room);
    let line = &condition(decision, "stop_at")["amount_kg"];
    assert_eq!(grams(line), room);
    assert_eq!(app.room_g(&court).await, 0);
}

#[tokio::test]
async fn a_refusal_says_what_fits_and_when_and_is_kept() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let outlets = json!({ "scrap_outlets": ["organics_collection"] });
    app.patch(&court.educator, &court.at(""), &outlets)
        .await
        .ok(200);
    put_in(&app, &court, &weighed("usual-mix", 0.2))
        .await
        .ok(201);

    let answer = put_in(&app, &court, &weighed("usual-mix", 0.25)).await;
    let problem = answer.problem(409, "feeding_refused");
    let decision = &problem["decision"];
    assert_eq!(problem["detail"], decision["sentence"]);
    assert_eq!(decision["outcome"], "refused");
    assert_eq!(decision["allowed_kg"], 0.0);
    assert_eq!(decision["items"][0]["allowed_kg"], 0.0);
    assert!(grams(&decision["room_kg"]) < 250, "{decision}");
    assert_eq!(decision["outlets"], json!(["organics_collection"]));
    assert!(!decision["todo"].as_array().unwrap().is_empty());
    has_words(decision);
    let reason = &decision["reasons"][0];
    assert_eq!(reason["code"], "eating");
    assert_eq!(reason["leaves_kg"], decision["room_kg"]);

    let kept = app
        .rows("SELECT id, deed, event_id, offered_g, allowed_g FROM decisions WHERE outcome = 'refused'")
        .await;
    let row = json!({
        "id": decision["id"], "deed": "put_in", "event_id": null,
        "offered_g": 250, "allowed_g": 0,
    });
    assert_eq!(kept, [row]);
    let fed = app
        .rows("SELECT id FROM bin_events WHERE payload ->> 'how' = 'allowed'")
        .await;
    assert_eq!(fed.len(), 1);

    // On the day that was named it does go in.
    let day = decision["fits_at"].as_str().unwrap();
    app.set_clock(day).await;
    put_in(&app, &court, &weighed("usual-mix", 0.25))
        .await
        .ok(201);
}

#[tokio::test]
async fn a_refusal_names_another_bin_that_could_take_it() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let other = app.stocked_bin(&court.educator, court.site).await;
    let full = app.stocked_bin(&court.educator, court.site).await;
    let told = court.at(&format!("/bins/{full}/feedings/told"));
    let feeding = weighed("usual-mix", 0.3);
    app.post(&court.resident, &told, &feeding).await.ok(201);
    app.bin(&court.educator, court.site).await;

    put_in(&app, &court, &weighed("usual-mix", 0.2))
        .await
        .ok(201);
    let answer = put_in(&app, &court, &weighed("usual-mix", 0.25)).await;
    let problem = answer.problem(409, "feeding_refused");
    let others = problem["decision"]["other_bins"].as_array().unwrap();
    assert_eq!(others.len(), 1, "{problem}");
    assert_eq!(others[0]["bin_id"], other.to_string());
    let name = others[0]["name"].as_str().unwrap();
    assert!(
        problem["detail"].as_str().unwrap().contains(name),
        "{problem}"
    );
    let path = court.at(&format!("/bins/{other}/feedings"));
    let moved = app
        .post(&court.resident, &path, &weighed("usual-mix", 0.25))
        .await;
    moved.ok(201);
}

#[tokio::test]
async fn what_never_goes_in_is_left_out_or_refused() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let room = app.room_g(&court).await;
    let answer = put_in(&app, &court, &weighed("meat", 0.05)).await;
    let decision = &answer.problem(409, "feeding_refused")["decision"];
    assert_eq!(decision["reasons"][0]["code"], "never_food");
    assert_eq!(decision["items"][0]["class"], "never");
    assert_eq!(decision["items"][0]["why"], "meat");
    assert_eq!(app.room_g(&court).await, room);

    let mixed = json!({ "items": [
        { "food": "meat", "amount_kg": 0.05 },
        { "food": "apple-core", "amount_kg": 0.1 },
    ] });
    let fed = put_in(&app, &court, &mixed).await.ok(201);
    let decision = &fed["decision"];
    assert_eq!(decision["allowed_kg"], 0.1);
    let foods = &condition(decision, "leave_out")["foods"];
    assert_eq!(*foods, json!(["meat"]));
    let list = app.get(&court.resident, &court.bin_at("/feedings")).await;
    let items = json!([{ "food": "apple-core", "amount_kg": 0.1 }]);
    assert_eq!(list.ok(200)["items"][0]["items"], items);
}

#[tokio::test]
async fn a_school_keeps_out_what_a_building_may_feed() {
    let app = App::start_in_june().await;
    let mut court = app.court().await;
    // Potatoes first: of the sparing list only a part may lie in the bin.
    let offer = json!({ "items": [
        { "food": "potato-peel", "amount_kg": 0.1 },
        { "food": "orange-peel", "amount_kg": 0.01 },
    ] });
    let fed = put_in(&app, &court, &offer).await.ok(201);
    assert_eq!(fed["decision"]["items"][1]["class"], "sparing");

    let mut school = new_site();
    school["is_school"] = true.into();
    let opened = app.post(&court.educator, "/v1/sites", &school).await;
    court.site = id_of(&opened.ok(201));
    court.bin = app.stocked_bin(&court.educator, court.site).await;
    court.resident = app.member(court.site, Role::Teacher).await;
    let fed = put_in(&app, &court, &offer).await.ok(201);
    let decision = &fed["decision"];
    assert_eq!(decision["items"][1]["class"], "never", "{decision}");
    let foods = &condition(decision, "leave_out")["foods"];
    assert_eq!(*foods, json!(["orange-peel"]));
    let alone = put_in(&app, &court, &weighed("orange-peel", 0.01)).await;
    alone.problem(409, "feeding_refused");
}

#[tokio::test]
async fn scraps_are_measured_in_what_people_have() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let containers = json!({ "containers": [
        { "name": "Green Caddy", "volume_l": 4 },
        { "name": "Kübel", "volume_l": 0.5 },
    ] });
    let site = app.patch(&court.educator, &court.at(""), &containers).await;
    let caddy = id_of(&site.ok(200)["containers"][0]).to_string();
    for (measure, quarters, amount) in [
        ("litre", 4, 456),
        ("caddy-5l", 1, 570),
        // A quarter of four litres at 0.455 kg/L, rounded up.
        ("Green Caddy", 1, 456),
        ("green caddy", 1, 456),
        (caddy.as_str(), 1, 456),
        (caddy.to_uppercase().as_str(), 1, 456),
        ("KÜBEL", 2, 114),
    ] {
        let offer = json!({ "items": [
            { "food": "usual-mix", "measure": measure, "quarters": quarters },
        ] });
        let path = court.bin_at("/feedings/ask");
        let decision = app.post(&court.resident, &path, &offer).await.ok(200);
        let offered = grams(&decision["offered_kg"]);
        assert!((offered - amount).abs() <= 1, "{measure}: {offered}");
    }
}

#[tokio::test]
async fn whatever_a_site_calls_a_container_can_be_measured_with() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let long = "x".repeat(40);
    let containers = json!({ "containers": [
        { "name": "thimble", "volume_l": 0.1 },
        { "name": "barrel", "volume_l": 120 },
        { "name": long, "volume_l": 1 },
        { "name": "7", "volume_l": 1 },
    ] });
    app.patch(&court.educator, &court.at(""), &containers)
        .await
        .ok(200);
    for name in ["thimble", "barrel", &long, "7"] {
        let offer = json!({ "items": [
            { "food": "usual-mix", "measure": name, "quarters": 1 },
        ] });
        let path = court.bin_at("/feedings/ask");
        app.post(&court.resident, &path, &offer).await.ok(200);
    }
}

#[tokio::test]
async fn the_same_food_twice_is_one_food() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let offer = json!({ "items": [
        { "food": "apple-core", "amount_kg": 0.05 },
        { "food": "apple-core", "amount_kg": 0.06 },
    ] });
    let fed = put_in(&app, &court, &offer).await.ok(201);
    let items = fed["decision"]["items"].as_array().unwrap();
    assert_eq!(items.len(), 1);
    assert_eq!(items[0]["allowed_kg"], 0.11);
}

#[tokio::test]
async fn a_bin_without_worms_takes_nothing() {
    let app = App::start_in_june().await;
    let mut court = app.court().await;
    court.bin = app.bin(&court.educator, court.site).await;
    let before = app.contents().await;
    for rest in ["/room", "/forecast", "/bookings"] {
        let answer = app.get(&court.resident, &court.bin_at(rest)).await;
        answer.problem(409, "bin_not_stocked");
    }
    let offer = weighed("usual-mix", 0.1);
    for rest in ["/feedings", "/feedings/ask", "/feedings/told"] {
        let answer = app.post(&court.resident, &court.bin_at(rest), &offer).await;
        answer.problem(409, "bin_not_stocked");
    }
    let promise = json!({ "on_date": "2026-06-11", "amount_kg": 0.1 });
    let answer = app
        .post(&court.resident, &court.bin_at("/bookings"), &promise)
        .await;
    answer.problem(409, "bin_not_stocked");
    let list = app.get(&court.resident, &court.bin_at("/feedings")).await;
    assert_eq!(list.ok(200)["items"], json!([]));
    assert_eq!(app.contents().await, before);
}

#[tokio::test]
async fn everybody_at_the_site_feeds_and_nobody_else() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let offer = weighed("apple-core", 0.01);
    for role in Role::ALL {
        let somebody = app.member(court.site, role).await;
        for rest in ["/feedings", "/feedings/ask", "/feedings/told"] {
            let answer = app.post(&somebody, &court.bin_at(rest), &offer).await;
            assert!(answer.status.is_success(), "{role:?}: {}", answer.text);
        }
    }
    let elsewhere = app.court().await;
    let before = app.contents().await;
    for rest in ["/feedings", "/feedings/ask", "/feedings/told"] {
        let path = court.bin_at(rest);
        let answer = app.post(&elsewhere.resident, &path, &offer).await;
        let problem = answer.problem(404, "not_found");
        assert_eq!(problem["detail"], "There is no such site.");
        // One's own site with a bin of another, or of none.
        for bin in [court.bin, Uuid::now_v7(), Uuid::nil()] {
            let path = elsewhere.at(&format!("/bins/{bin}{rest}"));
            let answer = app.post(&elsewhere.resident, &path, &offer).await;
            let problem = answer.problem(404, "not_found");
            assert_eq!(problem["detail"], "There is no such bin.");
        }
        let path = format!("/v1/sites/{}/bins/{}{rest}", Uuid::nil(), court.bin);
        let answer = app.post(&elsewhere.resident, &path, &offer).await;
        answer.problem(404, "not_found");
        let path = elsewhere.at(&format!("/bins/shed{rest}"));
        let answer = app.post(&elsewhere.resident, &path, &offer).await;
        answer.problem(404, "not_found");
    }
    assert_eq!(app.contents().await, before);
}

#[tokio::test]
async fn a_retry_gets_the_first_answer_and_feeds_once() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let send = async |rest: &str, key: &str, body: &Value| {
        app.ask(Method::POST, &court.bin_at(rest))
            .by(&court.resident)
            .header("idempotency-key", key)
            .json(body)
            .send()
            .await
    };
    let fits = weighed("apple-core", 0.2);
    let over = weighed("apple-core", 0.25);
    let first = send("/feedings", "fits", &fits).await.ok(201);
    let refused = send("/feedings", "over", &over).await;
    let refused = refused.problem(409, "feeding_refused");
    let told = send("/feedings/told", "told", &over).await.ok(201);
    let after = app.contents().await;

    // Hours later the answers are still those of then.
    app.set_clock("2026-06-10T23:00:00Z").await;
    let after_clock = app.contents().await;
    assert_ne!(after, after_clock);
    assert_eq!(send("/feedings", "fits", &fits).await.ok(201), first);
    let again = send("/feedings", "over", &over).await;
    let again = again.problem(409, "feeding_refused");
    assert_eq!(again["decision"], refused["decision"]);
    assert_eq!(again["detail"], refused["detail"]);
    assert_eq!(send("/feedings/told", "told", &over).await.ok(201), told);
    assert_eq!(app.contents().await, after_clock);

    // Another body, or the same one elsewhere, is another request.
    let answer = send("/feedings", "fits", &over).await;
    answer.problem(409, "idempotency_key_reused");
    let answer = send("/feedings/told", "fits", &fits).await;
    answer.problem(409, "idempotency_key_reused");
    assert_eq!(app.contents().await, after_clock);
}

#[tokio::test]
async fn sentences_come_in_the_sites_units_and_language() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let ask = async |offer: &Value| {
        let path = court.bin_at("/feedings/ask");
        let decision = app.post(&court.resident, &path, offer).await.ok(200);
        decision["sentence"].as_str().unwrap().to_owned()
    };
    let (fits, over) = (weighed("apple-core", 0.1), weighed("usual-mix", 5.0));
    for (units, language, yes, no) in [
        (
            "us",
            "en",
            "Yes, you can put in all of it today (3.5 oz)",
            "Not today: ",
        ),
        (
            "metric",
            "en",
            "Yes, you can put in all of it today (100 g)",
            "Not today: ",
        ),
        (
            "metric",
            "es",
            "Sí, hoy puedes echarlo todo (100 g)",
            "Hoy no: ",
        ),
        (
            "us",
            "es",
            "Sí, hoy puedes echarlo todo (3.5 oz)",
            "Hoy no: ",
        ),
    ] {
        let change = json!({ "units": units, "language": language });
        app.patch(&court.educator, &court.at(""), &change)
            .await
            .ok(200);
        let sentence = ask(&fits).await;
        assert!(sentence.starts_with(yes), "{sentence}");
        let sentence = ask(&over).await;
        assert!(sentence.starts_with(no), "{sentence}");
        let ounces = sentence.contains(" oz");
        assert_eq!(ounces, units == "us", "{sentence}");
        let answer = put_in(&app, &court, &over).await;
        let problem = answer.problem(409, "feeding_refused");
        assert_eq!(problem["detail"], sentence);
        let room = app.get(&court.resident, &court.bin_at("/room")).await;
        let sentence = room.ok(200)["sentence"].as_str().unwrap().to_owned();
        let spanish = sentence.contains("admite hoy");
        assert_eq!(spanish, language == "es", "{sentence}");
    }
}

#[tokio::test]
async fn feedings_are_listed_newest_first_page_by_page() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let mut wanted = Vec::new();
    // Told in another order than they happened; the last two at the same instant.
    for (day, hour) in [(3, 10), (1, 10), (5, 10), (2, 10), (4, 10), (4, 10)] {
        let fed_at = format!("2026-06-0{day}T{hour}:00:00Z");
        let mut feeding = weighed("apple-core", 0.001);
        feeding["fed_at"] = json!(fed_at);
        let path = court.bin_at("/feedings/told");
        let told = app.post(&court.resident, &path, &feeding).await.ok(201);
        wanted.push((fed_at, wanted.len(), id_of(&told)));
    }
    put_in(&app, &court, &weighed("apple-core", 0.02))
        .await
        .ok(201);
    wanted.sort();
    wanted.reverse();
    // Today's, then yesterday's that every bin of the tests begins with.
    let newest = 2;

    let mut seen = Vec::new();
    let mut path = court.bin_at("/feedings?limit=2");
    let mut pages = 0;
    loop {
        let page = app.get(&court.resident, &path).await.ok(200);
        let items = page["items"].as_array().unwrap();
        assert!(items.len() <= 2);
        seen.extend(items.iter().map(id_of));
        pages += 1;
        match page["next_cursor"].as_str() {
            Some(cursor) => path = court.bin_at(&format!("/feedings?limit=2&cursor={cursor}")),
            None => break,
        }
    }
    assert_eq!(pages, 4);
    let wanted: Vec<Uuid> = wanted.into_iter().map(|(.., id)| id).collect();
    assert_eq!(seen[newest..], wanted[..]);

    for query in ["cursor=AAAA", "cursor=!", "limit=0", "since=2026"] {
        let path = court.bin_at(&format!("/feedings?{query}"));
        let answer = app.get(&court.resident, &path).await;
        answer.problem(400, "bad_query");
    }
}

#[tokio::test]
async fn a_forecast_shows_four_weeks_and_what_was_fed() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let forecast = async || {
        let answer = app.get(&court.resident, &court.bin_at("/forecast")).await;
        answer.ok(200)["days"].as_array().unwrap().clone()
    };
    let before = forecast().await;
    assert_eq!(before.len(), 28);
    assert_eq!(before[0]["date"], "2026-06-10");
    assert_eq!(before[27]["date"], "2026-07-07");
    // The first moment of a day in Chicago.
    assert_eq!(before[1]["at"], "2026-06-11T05:00:00Z");
    assert_eq!(grams(&before[0]["room_kg"]), app.room_g(&court).await);

    put_in(&app, &court, &weighed("usual-mix", 0.2))
        .await
        .ok(201);
    let after = forecast().await;
    let uneaten = |day: &Value| day["uneaten_kg"]["median"].as_f64().unwrap();
    let more = uneaten(&after[0]) - uneaten(&before[0]);
    assert!((more - 0.2).abs() < 0.002, "{more}");
    for day in &after {
        for band in ["uneaten_kg", "appetite_kg_per_day"] {
            let of = |part: &str| day[band][part].as_f64().unwrap();
            assert!(
                of("low") <= of("median") && of("median") <= of("high"),
                "{day}"
            );
        }
    }
    for pair in after.windows(2) {
        assert!(uneaten(&pair[1]) <= uneaten(&pair[0]), "{pair:?}");
    }
    assert!(grams(&after[0]["room_kg"]) < grams(&before[0]["room_kg"]));
    assert!(grams(&after[7]["room_kg"]) > grams(&after[0]["room_kg"]));
}
