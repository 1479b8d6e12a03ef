use crate::frame::{Answer, App, Person, all_at_once};
use reqwest::Method;
use serde_json::{Value, json};
use std::fmt::Write;
use std::sync::Arc;
use std::time::Instant;
use uuid::Uuid;
use wormrota::letters::{Post, send_due};
use wormrota_domain::access::Role;

async fn send(app: &App, who: &Person, path: &str, list: impl Into<reqwest::Body>) -> Answer {
    app.ask(Method::POST, path)
        .by(who)
        .header("content-type", "text/csv; charset=utf-8; header=present")
        .body(list)
        .send()
        .await
}

/// A site in June, its educator and the address for lists.
async fn site(app: &App) -> (Person, Uuid, String) {
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    (ada, site, format!("/v1/sites/{site}/imports"))
}

fn pointers(answer: &Answer) -> Vec<String> {
    let problem = answer.problem(409, "import_refused");
    let errors = problem["errors"].as_array().unwrap();
    let pointers = errors.iter().map(|error| {
        let detail = error["detail"].as_str().unwrap();
        assert!(detail.starts_with("must "), "{detail}");
        error["pointer"].as_str().unwrap().to_owned()
    });
    pointers.collect()
}

/// 300 residents of 150 flats, 12 teachers with a class each, and 30 pupils in each class.
fn whole_school() -> String {
    let mut list = String::from("name,email,flat,role,language,class\n");
    for n in 0..300 {
        let flat = n / 2;
        writeln!(list, "Resident {n},r{n}@elm.example,{flat},resident,,").unwrap();
    }
    for class in 0..12 {
        writeln!(
            list,
            "Teacher {class},t{class}@elm.example,,teacher,es,Class {class}"
        )
        .unwrap();
        for n in 0..30_u8 {
            let letters = [b'A' + n / 26, b'a' + n % 26].map(char::from);
            let label = String::from_iter(letters);
            writeln!(list, "{label},,,pupil,,Class {class}").unwrap();
        }
    }
    list
}

async fn count(app: &App, table: &str) -> i64 {
    let rows = app
        .rows(&format!("SELECT count(*) AS n FROM {table}"))
        .await;
    rows[0]["n"].as_i64().unwrap()
}

#[tokio::test]
async fn three_hundred_residents_and_twelve_classes_come_in_one_request() {
    let app = App::start_in_june().await;
    let (ada, _, path) = site(&app).await;
    let path = format!("{path}?classes_end_on=2027-06-30");
    let began = Instant::now();
    let done = send(&app, &ada, &path, whole_school()).await.ok(201);
    println!(
        "imported 312 members, 12 classes and 360 pupils in {} ms",
        began.elapsed().as_millis()
    );
    let expected = json!({ "members": 312, "invited": 312, "classes": 12, "pupils": 360 });
    assert_eq!(done, expected);
    for (table, rows) in [
        ("members", 313),
        ("member_roles", 313),
        ("member_names", 313),
        ("households", 150),
        ("invitations", 312),
        ("letters", 312),
        ("classes", 12),
        ("class_adults", 12),
        ("pupils", 360),
        // Each member, each class and its pupils, and the list.
        ("audit", 312 + 24 + 1),
    ] {
        assert_eq!(count(&app, table).await, rows, "{table}");
    }
    let shared = app
        .rows("SELECT count(*) AS n FROM members WHERE household_id IS NOT NULL GROUP BY household_id")
        .await;
    assert!(shared.iter().all(|row| row["n"] == 2));
    let teaching = app
        .rows(
            "SELECT name FROM class_adults JOIN member_names USING (site_id, member_id)
             WHERE part = 'teacher' ORDER BY name",
        )
        .await;
    assert!(
        teaching
            .iter()
            .all(|row| row["name"].as_str().unwrap().starts_with("Teacher "))
    );
    let texts = app.rows("SELECT * FROM audit").await;
    let texts = Value::from(texts).to_string()
        + &Value::from(app.rows("SELECT * FROM letters").await).to_string();
    assert!(
        !texts.contains("elm.example") && !texts.contains("Resident "),
        "a name in the trail"
    );

    // A letter lies ready for each of them.
    let folder = tempfile::tempdir().unwrap();
    let post = Post::of(folder.path(), &crate::frame::settings().letters).unwrap();
    let sent = send_due(&app.desk, &post, wormrota::clock::wall()).await;
    assert_eq!(sent.unwrap(), 312);
}

#[tokio::test]
async fn a_bad_line_299_leaves_nothing_behind() {
    let app = App::start_in_june().await;
    let (ada, _, path) = site(&app).await;
    let path = format!("{path}?classes_end_on=2027-06-30");
    let before = app.contents().await;
    let list = whole_school().replace("r297@elm.example", "r297.elm.example");
    let answer = send(&app, &ada, &path, list).await;
    assert_eq!(pointers(&answer), ["/lines/299/email"]);
    let problem = answer.json();
    assert_eq!(problem["errors_total"], 1);
    assert!(!answer.text.contains("r297"), "{}", answer.text);
    assert_eq!(app.contents().await, before);
}

#[tokio::test]
async fn people_with_an_address_are_invited_and_others_are_members_without_an_account() {
    let app = App::start_in_june().await;
    let (ada, site, path) = site(&app).await;
    let list = "\u{FEFF}Role;Name;Email;Flat;Language\r\n\
                resident + caretaker;Bo;BO@elm.example;3B;es\r\n\
                resident;Cy;;3b ;\r\n\
                ;;;;\r\n";
    let done = send(&app, &ada, &path, list).await.ok(201);
    assert_eq!(
        done,
        json!({ "members": 2, "invited": 1, "classes": 0, "pupils": 0 })
    );
    let page = app
        .get(&ada, &format!("/v1/sites/{site}/members"))
        .await
        .ok(200);
    let bo = &page["items"][1];
    assert_eq!(
        (&bo["name"], &bo["details"]["has_account"]),
        (&json!("Bo"), &json!(false))
    );
    assert_eq!(bo["roles"], json!(["resident", "caretaker"]));
    let rows = app
        .rows("SELECT household_id, language FROM members WHERE household_id IS NOT NULL")
        .await;
    assert_eq!(rows.len(), 2);
    assert_eq!(rows[0]["household_id"], rows[1]["household_id"]);
    let letters = app
        .rows("SELECT kind, purpose, payload, site_id, member_id FROM letters")
        .await;
    let invitation = &app.rows("SELECT id FROM invitations").await[0]["id"];
    let id = invitation.as_str().unwrap();
    assert_eq!(
        letters,
        [json!({
            "kind": "invitation",
            "purpose": id,
            "payload": { "invitation": id },
            "site_id": site,
            "member_id": bo["id"],
        })]
    );

    // Whoever moves in later joins the household of the flat.
    send(&app, &ada, &path, "name,flat,role\nDi,3b,resident\n")
        .await
        .ok(201);
    assert_eq!(count(&app, "households").await, 1);
}

#[tokio::test]
async fn a_list_sent_twice_under_one_key_adds_everybody_once() {
    let app = App::start_in_june().await;
    let (ada, _, path) = site(&app).await;
    let ask = |path: &str, list: &'static str| {
        let ask = app.ask(Method::POST, path).by(&ada);
        ask.header("content-type", "text/csv")
            .header("idempotency-key", "k1")
            .body(list)
            .send()
    };
    let list = "name,email,role\nBo,bo@elm.example,resident\n";
    let first = ask(&path, list).await.ok(201);
    assert_eq!(ask(&path, list).await.ok(201), first);
    assert_eq!(count(&app, "members").await, 2);
    let other = ask(&format!("{path}?classes_end_on=2027-06-30"), list).await;
    other.problem(409, "idempotency_key_reused");
    // Under another key the address is taken.
    let again = send(&app, &ada, &path, list).await;
    assert_eq!(pointers(&again), ["/lines/2/email"]);
}

#[tokio::test]
async fn of_two_who_send_one_list_at_once_one_adds_everybody() {
    let app = Arc::new(App::start_in_june().await);
    let (ada, _, path) = site(&app).await;
    let answers = all_at_once((0..4).map(|_| {
        let (app, ada, path) = (Arc::clone(&app), ada.clone(), path.clone());
        async move {
            let list = "name,email,flat,role\nBo,bo@elm.example,3b,resident\nCy,,3b,resident\n";
            send(&app, &ada, &path, list).await.status.as_u16()
        }
    }))
    .await;
    let added = answers.iter().filter(|status| **status == 201).count();
    assert_eq!(added, 1, "{answers:?}");
    assert_eq!(count(&app, "members").await, 3);
    assert_eq!(count(&app, "households").await, 1);
}

#[tokio::test]
async fn what_is_no_list_of_people_gets_a_clear_answer() {
    let app = App::start_in_june().await;
    let (ada, site, path) = site(&app).await;
    let resident = app.member(site, Role::Resident).await;
    let before = app.contents().await;

    let plain = "name,role\nAda,resident\n";
    let utf16: Vec<u8> = plain.encode_utf16().flat_map(u16::to_le_bytes).collect();
    let answer = send(&app, &ada, &path, utf16).await;
    assert_eq!(pointers(&answer), [""]);
    assert!(answer.text.contains("UTF-16"), "{}", answer.text);

    let a_million = format!("name,role\n{}", "A,resident\n".repeat(1_000_000));
    let answer = send(&app, &ada, &path, a_million).await;
    answer.problem(413, "body_too_large");
    let two_thousand_and_one = format!("name,role\n{}", "A,resident\n".repeat(2_001));
    let answer = send(&app, &ada, &path, two_thousand_and_one).await;
    assert_eq!(pointers(&answer), ["/lines"]);

    let long = "x".repeat(10_000);
    let cells = format!(
        "name,email,role\n{long},,resident\n=HYPERLINK(1),,resident\nB\u{1}o,,resident\n\
         Bo,bo@elm.example,resident\nCy,BO@elm.example,resident\nDi,di@elm.example,king\n,,resident\n"
    );
    let answer = send(&app, &ada, &path, cells).await;
    assert_eq!(
        pointers(&answer),
        [
            "/lines/2/name",
            "/lines/3/name",
            "/lines/4/name",
            "/lines/6/email",
            "/lines/7/role",
            "/lines/8/name",
        ]
    );
    let many = format!("name,role\n{}", "A,king\n".repeat(150));
    let answer = send(&app, &ada, &path, many).await;
    assert_eq!(pointers(&answer).len(), 100);
    assert_eq!(answer.json()["errors_total"], 150);

    let columns = send(&app, &ada, &path, "name,role,phone\nAda,resident,1\n").await;
    assert_eq!(pointers(&columns), ["/lines/1"]);
    let email = &ada.email;
    let mine = format!("name,email,role\nAda,{email},resident\n");
    let answer = send(&app, &ada, &path, mine).await;
    assert_eq!(pointers(&answer), ["/lines/2/email"]);

    let ask = |kind: &str| {
        let ask = app.ask(Method::POST, &path).by(&ada);
        ask.header("content-type", kind).body(plain).send()
    };
    for kind in ["application/json", "text/plain", "text/csv; charset=utf-16"] {
        ask(kind).await.problem(415, "unsupported_media_type");
    }
    for query in ["classes_end_on=june", "roles=educator"] {
        let answer = send(&app, &ada, &format!("{path}?{query}"), plain).await;
        answer.problem(400, "bad_query");
    }
    let answer = send(&app, &resident, &path, plain).await;
    answer.problem(403, "forbidden");
    assert_eq!(app.contents().await, before);
}

#[tokio::test]
async fn nobody_imports_roles_or_classes_beyond_their_own() {
    let app = App::start_in_june().await;
    let (ada, site, path) = site(&app).await;
    let path = format!("{path}?classes_end_on=2027-06-30");
    let caretaker = app.member(site, Role::Caretaker).await;
    let list = "name,role,class\nA,educator,\nB,caretaker,\nC,pupil,3b\nD,teacher,3b\n";
    let answer = send(&app, &caretaker, &path, list).await;
    assert_eq!(
        pointers(&answer),
        ["/lines/2/role", "/lines/4/class", "/lines/5/class"]
    );

    let teacher = app.member(site, Role::Teacher).await;
    let list = "name,role,class\nB,caretaker,\nC,pupil,3b\n";
    let answer = send(&app, &teacher, &path, list).await;
    assert_eq!(pointers(&answer), ["/lines/2/role"]);
    let done = send(
        &app,
        &teacher,
        &path,
        "name,role,class\nAna,pupil,3b\nBo,pupil,3B\n",
    )
    .await;
    assert_eq!(
        done.ok(201),
        json!({ "members": 0, "invited": 0, "classes": 1, "pupils": 2 })
    );

    // A teacher who names another one for a class stays its teacher too.
    let list = "name,role,class\nD,teacher,4c\nDi,pupil,4c\n";
    send(&app, &teacher, &path, list).await.ok(201);
    let page = app
        .get(&teacher, &format!("/v1/sites/{site}/classes"))
        .await
        .ok(200);
    assert_eq!(page["items"].as_array().unwrap().len(), 2);

    // Whoever imports again adds to the class, if it is theirs.
    let again = send(
        &app,
        &teacher,
        &path,
        "name,role,class\nAna,pupil,3b\nCy,pupil,3b\ncy,pupil,3b\n",
    );
    assert_eq!(pointers(&again.await), ["/lines/2/name", "/lines/4/name"]);
    let other = app.member(site, Role::Teacher).await;
    let theirs = send(&app, &other, &path, "name,role,class\nCy,pupil,3b\n").await;
    assert_eq!(pointers(&theirs), ["/lines/2/class"]);
    let by_ada = send(&app, &ada, &path, "name,role,class\nCy,pupil,3b\n")
        .await
        .ok(201);
    assert_eq!(by_ada["classes"], 0);
    let page = app
        .get(&teacher, &format!("/v1/sites/{site}/classes"))
        .await
        .ok(200);
    assert_eq!(page["items"][0]["pupils"], 3);
}

#[tokio::test]
async fn classes_of_a_list_need_a_last_day_to_come() {
    let app = App::start_in_june().await;
    let (ada, _, path) = site(&app).await;
    let list = "name,role,class\nAna,pupil,3b\n";
    let answer = send(&app, &ada, &path, list).await;
    answer.conflicting_fields(&["/classes_end_on"]);
    let answer = send(
        &app,
        &ada,
        &format!("{path}?classes_end_on=2026-06-09"),
        list,
    )
    .await;
    answer.conflicting_fields(&["/classes_end_on"]);
    assert_eq!(count(&app, "classes").await, 0);
    let mut whole = String::from("name,role,class\n");
    for n in 0..61_u8 {
        let label = String::from_iter([b'A' + n / 26, b'a' + n % 26].map(char::from));
        writeln!(whole, "{label},pupil,3b").unwrap();
    }
    let answer = send(
        &app,
        &ada,
        &format!("{path}?classes_end_on=2027-06-30"),
        whole,
    )
    .await;
    assert_eq!(pointers(&answer), ["/lines/62/class"]);
}
