use crate::frame::{App, Court, Person};
use reqwest::Method;
use serde_json::{Value, json};
use wormrota_domain::access::Role;

async fn print(app: &App, court: &Court, keeper: &Person) -> Value {
    let path = court.bin_at("/lid_code");
    app.ask(Method::POST, &path).by(keeper).send().await.ok(201)
}

#[tokio::test]
async fn a_lid_tells_anybody_what_the_bin_takes_today_and_nothing_else() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let lid = print(&app, &court, &court.educator).await;
    let code = lid["code"].as_str().unwrap();
    let text = lid["text"].as_str().unwrap();
    assert!(text.contains("Elm Court") && text.contains(code), "{text}");

    let room = app.get(&court.educator, &court.bin_at("/room")).await;
    let room = room.ok(200);
    for typed in [code.to_owned(), code.replace('-', "").to_lowercase()] {
        let page = app.ask(Method::GET, &format!("/v1/lids/{typed}"));
        let page = page.send().await.ok(200);
        let members: Vec<&String> = page.as_object().unwrap().keys().collect();
        assert_eq!(members, ["bin", "sentence", "site"]);
        assert_eq!(page["site"], "Elm Court");
        assert_eq!(page["sentence"], room["sentence"]);
    }
}

#[tokio::test]
async fn a_new_code_kills_the_old_one_and_every_dead_code_is_the_same() {
    let app = App::start_in_june().await;
    let court = app.court().await;
    let old = print(&app, &court, &court.educator).await;
    let new = print(&app, &court, &court.educator).await;
    let mut answers = Vec::new();
    for code in [
        old["code"].as_str().unwrap(),
        "0000-0000-0000",
        "x",
        "%00",
        "..%2F..",
        &court.bin.to_string(),
    ] {
        let answer = app.ask(Method::GET, &format!("/v1/lids/{code}"));
        let problem = answer.send().await.problem(404, "not_found");
        answers.push(problem["detail"].clone());
    }
    answers.dedup();
    assert_eq!(answers, ["There is no such lid."]);
    let path = format!("/v1/lids/{}", new["code"].as_str().unwrap());
    app.ask(Method::GET, &path).send().await.ok(200);
    // As a code for joining it is nothing.
    let body = json!({ "code": new["code"], "name": "Eve" });
    app.say("/v1/joinings", &body)
        .await
        .problem(409, "code_refused");
}

#[tokio::test]
async fn an_empty_bin_says_so_and_residents_print_no_codes() {
    let app = App::start_in_june().await;
    let mut court = app.court().await;
    court.bin = app.bin(&court.educator, court.site).await;
    let caretaker = app.member(court.site, Role::Caretaker).await;
    let lid = print(&app, &court, &caretaker).await;
    let path = format!("/v1/lids/{}", lid["code"].as_str().unwrap());
    let answer = app.ask(Method::GET, &path).send().await;
    answer.problem(409, "bin_not_stocked");
    let path = court.bin_at("/lid_code");
    let answer = app.ask(Method::POST, &path).by(&court.resident).send();
    answer.await.problem(403, "forbidden");
}
