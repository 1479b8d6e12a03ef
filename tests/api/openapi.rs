use crate::class_duty::class_turn;
use crate::frame::{Answer, App, Court, Person};
use crate::place_ground::turn_of;
use chrono::TimeDelta;
use reqwest::Method;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::path::Path;
use uuid::Uuid;
use wormrota_domain::access::Role;

/// What is asked by whoever is not signed in yet.
const OPEN: [&str; 10] = [
    "post /v1/sessions",
    "post /v1/sign_in_links/use",
    "post /v1/refresh_tokens/use",
    "post /v1/sign_in_links",
    "post /v1/password_resets",
    "post /v1/password_resets/use",
    "post /v1/invitations/accept",
    "post /v1/joinings",
    "post /v1/slips/use",
    "get /v1/lids/{code}",
];

/// How the addresses end at which something happens without a body.
const BODILESS: [&str; 9] = [
    "/seen",
    "/end",
    "/replacement",
    "/slip",
    "/lid_code",
    "/put_up",
    "/call",
    "/left_empty",
    "/search",
];

const METHODS: [&str; 5] = ["get", "post", "put", "patch", "delete"];

async fn document() -> Value {
    let app = App::start().await;
    let answer = app.ask(Method::GET, "/openapi.json").send().await;
    assert_eq!(answer.header("content-type"), Some("application/json"));
    answer.ok(200)
}

fn operations(document: &Value) -> Vec<(String, String, &Value)> {
    let mut found = Vec::new();
    for (path, item) in document["paths"].as_object().unwrap() {
        for (method, operation) in item.as_object().unwrap() {
            assert!(METHODS.contains(&method.as_str()), "{method} {path}");
            found.push((method.clone(), path.clone(), operation));
        }
    }
    found
}

fn refs<'a>(value: &'a Value, found: &mut Vec<&'a str>) {
    match value {
        Value::Object(members) => {
            for (name, member) in members {
                match member {
                    Value::String(target) if name == "$ref" => found.push(target),
                    other => refs(other, found),
                }
            }
        }
        Value::Array(items) => items.iter().for_each(|item| refs(item, found)),
        _ => {}
    }
}

#[tokio::test]
async fn the_document_is_openapi_3_1_and_complete_in_itself() {
    let document = document().await;
    assert!(document["openapi"].as_str().unwrap().starts_with("3.1."));
    assert!(document["info"]["version"].is_string());

    let mut targets = Vec::new();
    refs(&document, &mut targets);
    assert!(targets.len() > 50);
    for target in targets {
        let pointer = target.strip_prefix('#').unwrap();
        assert!(document.pointer(pointer).is_some(), "{target}");
    }
    let mut ids = BTreeSet::new();
    for (method, path, operation) in operations(&document) {
        let id = operation["operationId"].as_str().unwrap();
        assert!(ids.insert(id.to_owned()), "{id} comes twice");
        for part in path.split('/').filter(|part| part.starts_with('{')) {
            let name = part.trim_matches(['{', '}']);
            let described = operation["parameters"]
                .as_array()
                .unwrap()
                .iter()
                .any(|parameter| parameter["name"] == name && parameter["in"] == "path");
            assert!(described, "{method} {path}: {name}");
        }
        let bodiless = BODILESS.iter().any(|end| path.ends_with(end));
        if matches!(method.as_str(), "post" | "patch") && !bodiless {
            assert!(operation["requestBody"].is_object(), "{method} {path}");
        }
    }
}

#[tokio::test]
async fn every_operation_says_what_can_go_wrong_and_who_may_come() {
    let document = document().await;
    for (method, path, operation) in operations(&document) {
        let responses = operation["responses"].as_object().unwrap();
        assert!(
            responses.keys().any(|status| status.starts_with('2')),
            "{method} {path}"
        );
        for (status, response) in responses {
            let error = status.starts_with('4') || status.starts_with('5');
            let problem = response["content"]["application/problem+json"].is_object();
            assert_eq!(error, problem, "{method} {path} {status}");
        }
        // Said of every operation, so that none is open by oversight.
        assert!(operation["security"].is_array(), "{method} {path}");
        let open = OPEN.contains(&format!("{method} {path}").as_str());
        if path.starts_with("/v1/") && !open {
            // Probes have keys of their own, and no site to be strangers at.
            let probe = path.starts_with("/v1/probe/");
            let scheme = if probe { "probe" } else { "bearer" };
            assert_eq!(
                operation["security"][0][scheme],
                Value::Array(vec![]),
                "{method} {path}"
            );
            let refused = &responses["401"]["headers"];
            assert!(refused["WWW-Authenticate"].is_object(), "{method} {path}");
            for status in ["429", "503"] {
                let later = &responses[status]["headers"];
                assert!(later["Retry-After"].is_object(), "{method} {path} {status}");
            }
            for status in ["401", "500", "503"] {
                assert!(responses.contains_key(status), "{method} {path} {status}");
            }
            if path.contains('{') {
                assert!(responses.contains_key("404"), "{method} {path}");
            }
        }
    }
}

#[tokio::test]
async fn every_handler_in_the_source_stands_in_the_document() {
    let document = document().await;
    let mut served: Vec<(String, String)> = operations(&document)
        .into_iter()
        .map(|(method, path, _)| (method, path))
        .collect();
    let mut written = Vec::new();
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/api");
    for file in std::fs::read_dir(folder).unwrap() {
        let path = file.unwrap().path();
        if path.extension().is_none_or(|extension| extension != "rs") {
            continue;
        }
        for line in std::fs::read_to_string(path).unwrap().lines() {
            for method in METHODS {
                if let Some(rest) = line.strip_prefix(&format!("#[{method}(\"")) {
                    let path = rest.split('"').next().unwrap();
                    written.push((method.to_owned(), path.to_owned()));
                }
            }
        }
    }
    served.sort();
    written.sort();
    assert_eq!(served, written);
}

#[tokio::test]
async fn a_header_is_described_alike_wherever_it_is_taken() {
    let document = document().await;
    let mut keys = BTreeSet::new();
    let mut takers = 0;
    for (method, path, operation) in operations(&document) {
        for parameter in operation["parameters"].as_array().into_iter().flatten() {
            if parameter["in"] == "header" {
                // An absent header is not null, and an empty one is not taken.
                let schema = &parameter["schema"];
                assert!(
                    schema["pattern"].is_string() || schema["anyOf"].is_array(),
                    "{method} {path}: {parameter}"
                );
            }
            if parameter["name"] == "Idempotency-Key" {
                keys.insert(parameter.to_string());
                takers += 1;
            }
        }
    }
    assert_eq!(keys.len(), 1, "{keys:?}");
    assert!(takers >= 11, "{takers}");
}

/// A member of a schema that may be one of several parts.
fn parts(schema: &Value) -> Vec<&Value> {
    match schema["allOf"].as_array() {
        Some(parts) => parts.iter().collect(),
        None => vec![schema],
    }
}

/// The example of an operation's body.
fn example<'a>(document: &'a Value, operation: &'a Value) -> Option<&'a Value> {
    let schema = &operation["requestBody"]["content"]["application/json"]["schema"]["$ref"];
    let pointer = schema.as_str()?.strip_prefix('#')?;
    parts(document.pointer(pointer)?)
        .into_iter()
        .map(|part| &part["example"])
        .find(|example| example.is_object())
}

/// Operations with a body for whoever is not signed in: where, and what success would be.
const OF_STRANGERS: [(&str, &str, u16); 7] = [
    ("create_session", "/v1/sessions", 201),
    ("refresh_session", "/v1/refresh_tokens/use", 201),
    ("create_session_by_link", "/v1/sign_in_links/use", 201),
    ("create_sign_in_link", "/v1/sign_in_links", 202),
    ("create_password_reset", "/v1/password_resets", 202),
    ("use_password_reset", "/v1/password_resets/use", 204),
    ("accept_invitation_link", "/v1/invitations/accept", 201),
];

/// Sends the example of an operation; gives what it made.
async fn send_example(
    app: &App,
    document: &Value,
    who: &Person,
    id: &str,
    keys: &[(&str, &str)],
) -> Value {
    let (method, path, operation) = operations(document)
        .into_iter()
        .find(|(_, _, operation)| operation["operationId"] == id)
        .unwrap();
    let path = keys.iter().fold(path, |path, (name, key)| {
        path.replace(&format!("{{{name}}}"), key)
    });
    assert!(!path.contains('{'), "{path}");
    let method = method.to_uppercase().parse().unwrap();
    let body = example(document, operation).unwrap_or_else(|| panic!("{id} has no example"));
    let answer = app.ask(method, &path).by(who).json(body).send().await;
    assert!(answer.status.is_success(), "{id}: {}", answer.text);
    if answer.status == 204 {
        return Value::Null;
    }
    answer.json()
}

/// Sends the example of an operation whose body is a text.
async fn send_text(app: &App, document: &Value, who: &Person, id: &str, site: &str) -> Answer {
    let (_, path, operation) = operations(document)
        .into_iter()
        .find(|(_, _, operation)| operation["operationId"] == id)
        .unwrap();
    let content = operation["requestBody"]["content"].as_object().unwrap();
    let (kind, text) = content.iter().next().unwrap();
    let text = text["example"].as_str().unwrap();
    app.ask(Method::POST, &path.replace("{site_id}", site))
        .by(who)
        .header("content-type", kind)
        .body(text.to_owned())
        .send()
        .await
}

/// Those about turns, of a bin that there is; gives which these are.
async fn send_examples_of_turns(
    app: &App,
    document: &Value,
    educator: &Person,
    bin: [(&str, &str); 2],
) -> [&'static str; 7] {
    let site = bin[0];
    let mut made = Vec::new();
    for id in ["create_pattern", "create_turn"] {
        let (_, path, operation) = operations(document)
            .into_iter()
            .find(|(_, _, operation)| operation["operationId"] == id)
            .unwrap();
        let mut body = example(document, operation).unwrap().clone();
        body["bin_id"] = bin[1].1.into();
        let answer = app
            .post(educator, &path.replace("{site_id}", site.1), &body)
            .await;
        made.push(answer.ok(201)["id"].as_str().unwrap().to_owned());
    }
    let pattern = [site, ("pattern_id", made[0].as_str())];
    let turn = [site, ("turn_id", made[1].as_str())];
    let closure = send_example(app, document, educator, "create_closure", &[site]).await;
    let closure = [site, ("closure_id", closure["id"].as_str().unwrap())];
    send_example(app, document, educator, "create_visits", &closure).await;
    send_text(app, document, educator, "import_closures", site.1)
        .await
        .ok(200);
    send_example(app, document, educator, "update_pattern", &pattern).await;
    send_example(app, document, educator, "update_turn", &turn).await;
    [
        "create_pattern",
        "create_turn",
        "create_closure",
        "create_visits",
        "import_closures",
        "update_pattern",
        "update_turn",
    ]
}

/// Those about classes, and the list that makes some; gives which these are.
async fn send_examples_of_classes(
    app: &App,
    document: &Value,
    educator: &Person,
    site: &str,
) -> [&'static str; 9] {
    let at_site = [("site_id", site)];
    let class = send_example(app, document, educator, "create_class", &at_site).await;
    let of_class = [
        ("site_id", site),
        ("class_id", class["id"].as_str().unwrap()),
    ];
    send_example(app, document, educator, "update_class", &of_class).await;
    let class = send_example(app, document, educator, "create_pupils", &of_class).await;
    let pupil = class["pupils"][0]["id"].as_str().unwrap();
    let of_pupil = [of_class[0], of_class[1], ("pupil_id", pupil)];
    send_example(app, document, educator, "update_pupil", &of_pupil).await;
    send_examples_of_duty(app, document, educator, &of_pupil).await;
    send_text(app, document, educator, "import_members", site)
        .await
        .ok(201);
    [
        "create_class",
        "update_class",
        "create_pupils",
        "update_pupil",
        "import_members",
        "create_duty",
        "put_duty_place",
        "create_pupil_absence",
        "exchange_duty_place",
    ]
}

/// Those about whose turn it is: of a pupil with another beside them.
async fn send_examples_of_duty(
    app: &App,
    document: &Value,
    educator: &Person,
    of_pupil: &[(&str, &str); 3],
) {
    let [(_, site), (_, class), (_, pupil)] = of_pupil;
    let key = |text: &str| text.parse().unwrap();
    let bins = app
        .get(educator, &format!("/v1/sites/{site}/bins"))
        .await
        .ok(200);
    let bin = bins["items"][0]["id"].as_str().unwrap();
    // The day before the one that these examples name.
    app.set_clock("2026-11-25T18:00:00Z").await;
    let day = "2026-11-26".parse().unwrap();
    let (_, places) = class_turn(app, (key(site), key(bin), key(class)), day, 1).await;
    let place = places[0].to_string();
    let of_place = [of_pupil[0], of_pupil[1], ("place_id", place.as_str())];
    send_example(app, document, educator, "create_duty", &of_pupil[..2]).await;
    send_example(app, document, educator, "put_duty_place", &of_place).await;
    let path = format!("/v1/sites/{site}/classes/{class}/duty/{place}");
    app.put(educator, &path, &json!({ "pupil_id": pupil }))
        .await
        .ok(200);
    send_example(app, document, educator, "create_pupil_absence", of_pupil).await;
    send_example(app, document, educator, "exchange_duty_place", &of_place).await;
}

#[tokio::test]
async fn the_examples_of_all_bodies_are_taken() {
    let app = App::start().await;
    // The day before the one that the example of a booking names.
    app.set_clock("2026-11-25T18:00:00Z").await;
    let document = app.ask(Method::GET, "/openapi.json").send().await.ok(200);
    let Court {
        educator,
        site,
        bin: stocked,
        ..
    } = app.court().await;
    let (court_site, court_bin) = (site, stocked);
    let (site, stocked) = (site.to_string(), stocked.to_string());
    let old = [("site_id", site.as_str()), ("bin_id", &stocked)];

    let made = send_example(&app, &document, &educator, "create_site", &[]).await;
    let site = made["id"].as_str().unwrap();
    send_example(
        &app,
        &document,
        &educator,
        "update_site",
        &[("site_id", site)],
    )
    .await;
    let made = send_example(
        &app,
        &document,
        &educator,
        "create_bin",
        &[("site_id", site)],
    )
    .await;
    let new = [("site_id", site), ("bin_id", made["id"].as_str().unwrap())];
    send_example(&app, &document, &educator, "create_stocking", &new).await;
    let mut sent = BTreeSet::from([
        "create_site",
        "update_site",
        "create_bin",
        "create_stocking",
    ]);
    for id in [
        "ask_feeding",
        "create_booking",
        "tell_feeding",
        "create_check",
        "create_bedding",
        "create_removal",
        "create_side",
        "create_readings",
    ] {
        send_example(&app, &document, &educator, id, &old).await;
        sent.insert(id);
    }
    let probe = send_example(&app, &document, &educator, "create_probe", &old).await;
    let probe = Person {
        token: probe["key"].as_str().unwrap().to_owned(),
        ..educator.clone()
    };
    send_example(&app, &document, &probe, "create_probe_readings", &[]).await;
    send_example(&app, &document, &educator, "move_demo_clock", &[]).await;
    sent.extend(["create_probe", "create_probe_readings", "move_demo_clock"]);

    sent.extend(send_examples_of_turns(&app, &document, &educator, old).await);
    send_example(&app, &document, &educator, "create_rota", &old[..1]).await;
    sent.insert("create_rota");
    sent.extend(send_examples_of_classes(&app, &document, &educator, old[0].1).await);

    let bin = (court_site, court_bin);
    sent.extend(send_examples_of_places(&app, &document, &educator, bin).await);

    // Whether these are taken depends on the bin and on who there is: they are well formed.
    for (id, path, status) in depending(old[0].1, &stocked) {
        let operation = operations(&document)
            .into_iter()
            .find(|(_, _, operation)| operation["operationId"] == id)
            .unwrap()
            .2;
        let body = example(&document, operation).unwrap();
        let answer = app.post(&educator, &path, body).await;
        assert!(status.contains(&answer.status.as_u16()), "{}", answer.text);
        sent.insert(id);
    }
    sent.extend(send_examples_about_people(&app, &document, &educator, old[0].1).await);
    let change = send_example(&app, &document, &educator, "update_my_password", &[]).await;
    assert_eq!(change, Value::Null);
    let gone = app.stranger().await;
    let erased = send_example(&app, &document, &gone, "erase_own_account", &[]).await;
    assert_eq!(erased, Value::Null);
    sent.extend(["update_my_password", "erase_own_account"]);
    for (method, path, operation) in operations(&document) {
        if operation["requestBody"].is_object() {
            let id = operation["operationId"].as_str().unwrap();
            assert!(sent.contains(id), "{method} {path}: {id} was not tried");
        }
    }
}

/// Those of which it depends on what there is whether they are taken: with what comes of them.
fn depending(site: &str, bin: &str) -> Vec<(&'static str, String, [u16; 2])> {
    let at = |rest: &str| format!("/v1/sites/{site}/{rest}");
    let feedings = format!("bins/{bin}/feedings");
    [
        ("create_feeding", at(&feedings), [201, 409]),
        ("create_trade", at("trades"), [201, 404]),
        (
            "create_call_assignment",
            at(&format!("calls/{}/assignment", Uuid::nil())),
            [200, 404],
        ),
        ("create_series", at("series"), [200, 409]),
        ("create_joining", "/v1/joinings".to_owned(), [201, 409]),
        ("create_slip_use", "/v1/slips/use".to_owned(), [201, 409]),
    ]
    .into_iter()
    .chain(OF_STRANGERS.map(|(id, path, status)| (id, path.to_owned(), [status, 401])))
    .collect()
}

/// Sends the examples about the places of a turn; says which.
async fn send_examples_of_places(
    app: &App,
    document: &Value,
    educator: &Person,
    bin: (Uuid, Uuid),
) -> [&'static str; 3] {
    let tomorrow = app.now().await.date_naive() + TimeDelta::days(1);
    let turn = turn_of(app, bin, ("feeding", &tomorrow.to_string()), 1).await;
    let (site, turn) = (bin.0.to_string(), turn.to_string());
    let of_turn = [("site_id", site.as_str()), ("turn_id", turn.as_str())];
    let place = send_example(app, document, educator, "create_place", &of_turn).await;
    let place = place["id"].as_str().unwrap();
    let of_place = [of_turn[0], of_turn[1], ("place_id", place)];
    send_example(app, document, educator, "update_place", &of_place).await;
    let path = format!("/v1/sites/{site}/turns/{turn}/places/{place}/call");
    let begun = app.ask(Method::POST, &path).by(educator).send().await;
    let call = begun.ok(201)["call_id"].as_str().unwrap().to_owned();
    let of_call = [of_turn[0], ("call_id", call.as_str())];
    send_example(app, document, educator, "create_call_answer", &of_call).await;
    ["create_place", "update_place", "create_call_answer"]
}

/// Sends the examples that are about the people of a site; says which.
async fn send_examples_about_people(
    app: &App,
    document: &Value,
    educator: &Person,
    site: &str,
) -> [&'static str; 9] {
    let at = [("site_id", site)];
    send_example(app, document, educator, "create_invitation", &at).await;
    let sheet = send_example(app, document, educator, "create_joining_sheet", &at).await;
    let mine = app
        .member_id(educator, site.parse().unwrap())
        .await
        .to_string();
    let of_mine = [("site_id", site), ("member_id", mine.as_str())];
    send_example(app, document, educator, "put_limits", &of_mine).await;
    let away = send_example(app, document, educator, "create_absence", &of_mine).await;
    let absence = away["id"].as_str().unwrap();
    let of_absence = [of_mine[0], of_mine[1], ("absence_id", absence)];
    send_example(app, document, educator, "update_absence", &of_absence).await;
    send_example(app, document, educator, "create_calendar_address", &at).await;
    // The two of the example belong to no site.
    let caretaker = app.member(site.parse().unwrap(), Role::Caretaker).await;
    let (_, path, pair) = operations(document)
        .into_iter()
        .find(|(_, _, operation)| operation["operationId"] == "create_apart_pair")
        .unwrap();
    let path = path.replace("{site_id}", site);
    let body = example(document, pair).unwrap();
    app.post(&caretaker, &path, body)
        .await
        .conflicting_fields(&["/member_ids"]);
    let joining = json!({ "code": sheet["code"], "name": "Kim" });
    app.say("/v1/joinings", &joining).await.ok(201);
    let path = format!("/v1/sites/{site}/newcomers");
    let waiting = app.get(educator, &path).await.ok(200);
    let newcomer = waiting["items"][0]["id"].as_str().unwrap();
    let of = [("site_id", site), ("member_id", newcomer)];
    send_example(app, document, educator, "confirm_newcomer", &of).await;
    send_example(app, document, educator, "update_member", &of).await;
    [
        "create_invitation",
        "create_joining_sheet",
        "confirm_newcomer",
        "update_member",
        "put_limits",
        "create_absence",
        "update_absence",
        "create_apart_pair",
        "create_calendar_address",
    ]
}

#[tokio::test]
async fn links_lead_from_what_was_made_to_what_can_be_done_with_it() {
    let document = document().await;
    let all = operations(&document);
    let mut led_to = BTreeSet::new();
    for (method, path, operation) in &all {
        for response in operation["responses"].as_object().unwrap().values() {
            let Some(links) = response["links"].as_object() else {
                continue;
            };
            for link in links.values() {
                let id = link["operationId"].as_str().unwrap();
                let (_, target, wanted) = all
                    .iter()
                    .find(|(_, _, operation)| operation["operationId"] == id)
                    .unwrap_or_else(|| panic!("{method} {path} leads nowhere: {id}"));
                let given = link["parameters"].as_object().unwrap();
                let named = |name: &str| {
                    let parameters = wanted["parameters"].as_array().unwrap();
                    parameters.iter().any(|parameter| parameter["name"] == name)
                };
                assert!(given.keys().all(|name| named(name)), "{id}: {given:?}");
                // What the path of the target needs the link has, or the answer's own path.
                for part in target.split('/').filter_map(|part| part.strip_prefix('{')) {
                    let name = part.trim_end_matches('}');
                    assert!(given.contains_key(name), "{method} {path} to {id}: {name}");
                }
                led_to.insert(id.to_owned());
            }
        }
    }
    for (method, path, operation) in &all {
        let id = operation["operationId"].as_str().unwrap();
        // To the first site nothing leads but signing in, which needs no key of anything.
        if path.contains('{') && !path.starts_with("/problems/") {
            assert!(led_to.contains(id), "nothing leads to {method} {path}");
        }
    }
}

#[tokio::test]
async fn whatever_can_be_read_answers_head_without_a_body() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    for path in ["/problems".to_owned(), court.at(""), court.bin_at("/room")] {
        let read = app.get(&court.resident, &path).await;
        let head = app
            .ask(Method::HEAD, &path)
            .by(&court.resident)
            .send()
            .await;
        assert_eq!(head.status, 200, "{path}");
        assert_eq!(head.text, "");
        for name in ["content-type", "etag", "cache-control"] {
            assert_eq!(head.header(name), read.header(name), "{path} {name}");
        }
    }
    let answer = app.ask(Method::HEAD, "/v1/password_resets").send().await;
    assert_eq!(
        (answer.status.as_u16(), answer.header("allow")),
        (405, Some("POST"))
    );
}

#[tokio::test]
async fn what_the_document_forbids_is_refused_and_what_it_allows_is_not_called_invalid() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let long = "x".repeat(61);
    for (path, body, pointer) in [
        ("/probes", json!({ "name": long }), "/name"),
        (
            "/probes",
            json!({ "name": format!("x{}", " ".repeat(60)) }),
            "/name",
        ),
        ("/probes", json!({ "name": "x\n" }), "/name"),
        (
            "/readings",
            json!({ "values": [{ "quantity": "air_c", "value": 1000.5 }] }),
            "/values/0/value",
        ),
        (
            "/readings",
            json!({ "values": [{ "quantity": "bed_c", "value": -4e307 }] }),
            "/values/0/value",
        ),
    ] {
        let answer = app.post(&court.educator, &court.bin_at(path), &body).await;
        answer.wrong_fields(&[pointer]);
    }
    // Each well formed, but both would be of this moment.
    let twice = vec![json!({ "quantity": "bed_c", "value": 20 }); 2];
    let body = json!({ "values": twice });
    app.post(&court.educator, &court.bin_at("/readings"), &body)
        .await
        .conflicting_fields(&["/values/1/measured_at"]);

    // JSON has one kind of number: 4.0 quarters are four.
    let item = json!({ "food": "carrot", "measure": "cup", "quarters": 4.0 });
    let offer = json!({ "items": [item] });
    let path = court.bin_at("/feedings/ask");
    app.post(&court.resident, &path, &offer).await.ok(200);

    for (tag, status, code) in [
        ("7", 400, "bad_if_match"),
        ("\"7", 400, "bad_if_match"),
        ("W/\"1\"", 412, "changed_meanwhile"),
        ("\"not ours\"", 400, "bad_if_match"),
        ("\"not-ours\"", 412, "changed_meanwhile"),
    ] {
        let change = |body: &Value| {
            app.ask(Method::PATCH, &court.at(""))
                .by(&court.educator)
                .header("if-match", tag)
                .json(body)
                .send()
        };
        change(&json!({ "units": "us" }))
            .await
            .problem(status, code);
        if status == 412 {
            // A stale tag is the last thing that a request is refused for.
            let body = json!({ "units": "ells" });
            change(&body).await.problem(422, "invalid_fields");
        }
    }
}
