//! Who gets in where: every operation tried by everybody, cell by cell.
//!
//! The expectations are written down here, not read from the program's own table, and
//! DEVELOPERS.md's table is compared with the program elsewhere. A route that stands in no row
//! is a failing test.

mod cover;
mod ground;
mod places;
mod rows;
mod turns;

use crate::frame::{Answer, App, Court, Person};
use cover::COVER;
use ground::Concrete;
use places::PLACES;
use rows::{AT_A_SITE, CLASSES, OF_ONESELF, ROTAS, Row, TESTED_ELSEWHERE};
use serde_json::Value;
use std::collections::BTreeSet;
use turns::TURNS;
use uuid::Uuid;
use wormrota_domain::access::Role;

/// Every row about a site.
fn of_a_site() -> impl Iterator<Item = &'static Row> {
    AT_A_SITE
        .iter()
        .chain(CLASSES)
        .chain(PLACES)
        .chain(COVER)
        .chain(TURNS)
        .chain(ROTAS)
}

/// Somebody who tries, with the letter that stands for them in the rows.
struct Caller {
    letter: char,
    who: Person,
}

/// Everybody at a site, and everybody who is not of it.
struct Crowd {
    court: Court,
    inside: Vec<Caller>,
    outside: Vec<(&'static str, Person)>,
}

async fn crowd(app: &App) -> Crowd {
    let court = app.court().await;
    let mut inside = Vec::new();
    for (letter, role) in [
        ('R', Role::Resident),
        ('C', Role::Caretaker),
        ('T', Role::Teacher),
        ('E', Role::Educator),
    ] {
        let who = app.member(court.site, role).await;
        inside.push(Caller { letter, who });
    }
    let elsewhere = app.educator().await;
    let other_site = app.site(&elsewhere).await;
    let outside = vec![
        ("the educator of another site", elsewhere),
        (
            "a caretaker of another site",
            app.member(other_site, Role::Caretaker).await,
        ),
        (
            "a resident of another site",
            app.member(other_site, Role::Resident).await,
        ),
        ("somebody who belongs nowhere", app.stranger().await),
    ];
    Crowd {
        court,
        inside,
        outside,
    }
}

/// New people in every role of a site, and of none.
async fn crowd_at(app: &App, court: &Court) -> Vec<Person> {
    let mut people = vec![app.stranger().await, app.educator().await];
    for role in Role::ALL {
        people.push(app.member(court.site, role).await);
    }
    people
}

async fn ask(app: &App, row: &Row, concrete: &Concrete, who: Option<&Person>) -> Answer {
    let (method, _) = row.operation.split_once(' ').unwrap();
    let mut ask = app.ask(method.parse().unwrap(), &concrete.path);
    if let Some(who) = who {
        ask = ask.by(who);
    }
    ask = match &concrete.body {
        // A list and a calendar are the bodies that are no JSON.
        Some(Value::String(text)) => {
            let calendar = row.operation.ends_with("/closures/import");
            let kind = if calendar {
                "text/calendar"
            } else {
                "text/csv"
            };
            ask.header("content-type", kind).body(text.clone())
        }
        Some(body) => ask.json(body),
        None => ask,
    };
    ask.send().await
}

/// Every operation of the document.
async fn operations(app: &App) -> BTreeSet<String> {
    let document = app
        .ask(reqwest::Method::GET, "/openapi.json")
        .send()
        .await
        .ok(200);
    let mut found = BTreeSet::new();
    for (path, item) in document["paths"].as_object().unwrap() {
        for method in item.as_object().unwrap().keys() {
            found.insert(format!("{} {path}", method.to_uppercase()));
        }
    }
    found
}

#[tokio::test]
async fn every_operation_stands_in_the_matrix_and_nothing_else_does() {
    let app = App::start().await;
    let listed: BTreeSet<String> = of_a_site()
        .map(|row| row.operation)
        .chain(OF_ONESELF.iter().map(|row| row.operation))
        .chain(TESTED_ELSEWHERE.iter().copied())
        .map(str::to_owned)
        .collect();
    assert_eq!(operations(&app).await, listed);
}

#[tokio::test]
async fn every_cell_of_the_matrix_is_as_it_is_written() {
    let app = App::start_in_june_without_limits().await;
    let crowd = crowd(&app).await;
    let mut cells = 0;
    for row in of_a_site() {
        cells += try_row(&app, &crowd, row).await;
    }
    for row in OF_ONESELF {
        let concrete = ground::of_oneself(&app, row, &crowd.court.resident).await;
        let nobody = ask(&app, row, &concrete, None).await;
        nobody.problem(401, "no_token");
        cells += 1;
        // Whoever is signed in is somebody, whatever they are at a site. Some of this ends
        // their way in, so each row has people of its own.
        let people = crowd_at(&app, &crowd.court).await;
        for who in &people {
            let concrete = ground::of_oneself(&app, row, who).await;
            let answer = ask(&app, row, &concrete, Some(who)).await;
            assert!(
                answer.status.is_success(),
                "{} {}",
                row.operation,
                answer.text
            );
            cells += 1;
        }
    }
    println!("{cells} cells of the matrix were tried");
    assert!(cells >= 8 * of_a_site().count(), "{cells}");
}

async fn try_row(app: &App, crowd: &Crowd, row: &Row) -> usize {
    let name = |caller: &str| format!("{} ({}) by {caller}", row.operation, row.of);
    let mut cells = 0;
    // First those who may not: not one of them leaves a trace.
    let theirs = ground::at_a_site(app, &crowd.court, row, &crowd.court.educator).await;
    let before = everything_but_counters(app).await;
    ask(app, row, &theirs, None).await.problem(401, "no_token");
    cells += 1;
    for (caller, who) in &crowd.outside {
        let answer = ask(app, row, &theirs, Some(who)).await;
        let problem = answer.problem(404, "not_found");
        assert_eq!(
            problem["detail"],
            "There is no such site.",
            "{}",
            name(caller)
        );
        cells += 1;
    }
    for caller in &crowd.inside {
        if row.may.contains(caller.letter) {
            continue;
        }
        let answer = ask(app, row, &theirs, Some(&caller.who)).await;
        let status = answer.status.as_u16();
        let refused = if row.hidden_from.contains(caller.letter) {
            404
        } else {
            403
        };
        assert_eq!(
            status,
            refused,
            "{}: {}",
            name(&caller.letter.to_string()),
            answer.text
        );
        cells += 1;
    }
    assert_eq!(
        everything_but_counters(app).await,
        before,
        "{}",
        name("those who may not")
    );

    for caller in &crowd.inside {
        if !row.may.contains(caller.letter) {
            continue;
        }
        let concrete = ground::at_a_site(app, &crowd.court, row, &caller.who).await;
        let answer = ask(app, row, &concrete, Some(&caller.who)).await;
        let who = name(&caller.letter.to_string());
        assert!(answer.status.is_success(), "{who}: {}", answer.text);
        cells += 1;
    }
    cells
}

/// What stands in the database, without what merely counts requests.
async fn everything_but_counters(app: &App) -> Vec<Value> {
    let mut contents = app.contents().await;
    contents.retain(|table| table["name"] != "allowances");
    contents
}

/// A key of nothing.
fn no_key() -> String {
    Uuid::now_v7().to_string()
}

#[tokio::test]
async fn what_is_not_there_is_answered_alike_within_and_without_the_site() {
    let app = App::start_in_june_without_limits().await;
    let crowd = crowd(&app).await;
    for row in of_a_site() {
        let concrete = ground::at_a_site(&app, &crowd.court, row, &crowd.court.educator).await;
        // A key of another site's thing is as good as none.
        let elsewhere = concrete
            .path
            .replace(&crowd.court.site.to_string(), &no_key());
        let concrete = Concrete {
            path: elsewhere,
            ..concrete
        };
        let answer = ask(&app, row, &concrete, Some(&crowd.court.educator)).await;
        let problem = answer.problem(404, "not_found");
        assert_eq!(
            problem["detail"], "There is no such site.",
            "{}",
            row.operation
        );
    }
}
