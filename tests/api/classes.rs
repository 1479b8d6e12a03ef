use crate::frame::{Answer, App, PASSWORD, Person, all_at_once, id_of};
use chrono::TimeDelta;
use reqwest::Method;
use serde_json::{Value, json};
use std::sync::Arc;
use uuid::Uuid;
use wormrota::clock;
use wormrota::work::work_once;
use wormrota_domain::access::Role;

/// A school's site with its educator and a teacher.
struct School {
    app: Arc<App>,
    ada: Person,
    teacher: Person,
    site: Uuid,
}

impl School {
    /// In June at noon, with the clock of the tests.
    async fn open() -> Self {
        let app = Arc::new(App::start_in_june().await);
        let ada = app.educator().await;
        let site = app.site(&ada).await;
        let teacher = app.member(site, Role::Teacher).await;
        Self {
            app,
            ada,
            teacher,
            site,
        }
    }

    fn at(&self, rest: &str) -> String {
        format!("/v1/sites/{}{rest}", self.site)
    }

    async fn class(&self, by: &Person, name: &str) -> Uuid {
        let new = json!({ "name": name, "ends_on": "2026-06-30" });
        id_of(&self.app.post(by, &self.at("/classes"), &new).await.ok(201))
    }

    async fn paste(&self, class: Uuid, labels: &str) -> Answer {
        let path = self.at(&format!("/classes/{class}/pupils"));
        let body = json!({ "labels": labels });
        self.app.post(&self.teacher, &path, &body).await
    }

    async fn see(&self, who: &Person, class: Uuid) -> Answer {
        let path = self.at(&format!("/classes/{class}"));
        self.app.get(who, &path).await
    }

    async fn without_body(&self, method: Method, who: &Person, rest: &str) -> Answer {
        self.app.ask(method, &self.at(rest)).by(who).send().await
    }

    async fn member_id(&self, who: &Person) -> Uuid {
        let site = self.app.get(who, &self.at("")).await.ok(200);
        site["my_member_id"].as_str().unwrap().parse().unwrap()
    }

    async fn trail(&self) -> Vec<String> {
        let rows = self.app.rows("SELECT deed FROM audit ORDER BY at, id");
        let deeds = rows.await;
        let deeds = deeds
            .iter()
            .map(|row| row["deed"].as_str().unwrap().to_owned());
        deeds.collect()
    }
}

fn labels(class: &Value) -> Vec<&str> {
    let pupils = class["pupils"].as_array().unwrap();
    let labels = pupils.iter().map(|pupil| pupil["label"].as_str().unwrap());
    labels.collect()
}

#[tokio::test]
async fn a_teacher_makes_a_class_and_pastes_its_pupils_in_one_go() {
    let school = School::open().await;
    let class = school.class(&school.teacher, "3b").await;
    let pasted = school.paste(class, "Ana\r\nBo K.\n\nBo L., Zoë\n").await;
    assert_eq!(pasted.header("etag"), Some("\"2\""));
    assert_eq!(labels(&pasted.ok(201)), ["Ana", "Bo K.", "Bo L.", "Zoë"]);

    let seen = school.see(&school.teacher, class).await;
    assert_eq!(seen.header("etag"), Some("\"2\""));
    let seen = seen.ok(200);
    assert_eq!(seen["name"], "3b");
    assert_eq!(seen["adults"][0]["part"], "teacher");
    assert_eq!(seen["adults"][0]["name"], "A teacher");

    let pupil = |at: usize| {
        let id = seen["pupils"][at]["id"].as_str().unwrap();
        format!("/classes/{class}/pupils/{id}")
    };
    let change = json!({ "label": "Ana M." });
    let path = school.at(&pupil(0));
    let changed = school.app.patch(&school.teacher, &path, &change).await;
    assert_eq!(labels(&changed.ok(200))[0], "Ana M.");
    let change = json!({ "label": "bo k" });
    school
        .app
        .patch(&school.teacher, &path, &change)
        .await
        .conflicting_fields(&["/label"]);
    let gone = school
        .without_body(Method::DELETE, &school.teacher, &pupil(1))
        .await;
    assert_eq!(gone.status, 204);
    school
        .without_body(Method::DELETE, &school.teacher, &pupil(1))
        .await
        .problem(404, "not_found");
    let seen = school.see(&school.teacher, class).await.ok(200);
    assert_eq!(labels(&seen), ["Ana M.", "Bo L.", "Zoë"]);
    assert_eq!(
        school.trail().await,
        [
            "class_made",
            "pupils_added",
            "pupil_renamed",
            "pupil_erased"
        ]
    );
}

#[tokio::test]
async fn a_label_is_a_first_name_or_initials_and_no_two_are_alike() {
    let school = School::open().await;
    let class = school.class(&school.teacher, "3b").await;
    let long = "x".repeat(4_001);
    for bad in [
        "Ana 2",
        "ana@school.example",
        "=Ana",
        "",
        " \n,",
        "Ana\u{202E}",
        &long,
    ] {
        school.paste(class, bad).await.wrong_fields(&["/labels"]);
    }
    for (bad, words) in [
        ("Ana\nBo\nana", "line 3 is like line 1; add an initial"),
        (
            "Ana\nBo, Cy., cy",
            "line 2, entry 3 is like line 2, entry 2",
        ),
        (
            "Ana\nAna María García",
            "at most two words besides initials: see line 2",
        ),
    ] {
        let answer = school.paste(class, bad).await;
        answer.conflicting_fields(&["/labels"]);
        assert!(answer.text.contains(words), "{}", answer.text);
    }
    let thirty_one = "x".repeat(31);
    let answer = school.paste(class, &format!("Ana\n{thirty_one}")).await;
    answer.conflicting_fields(&["/labels"]);
    school.paste(class, "Ana").await.ok(201);
    let answer = school.paste(class, "Bo\nANA.").await;
    answer.conflicting_fields(&["/labels"]);
    assert!(
        answer.text.contains("line 2 is in the class already"),
        "{}",
        answer.text
    );
    let seen = school.see(&school.teacher, class).await.ok(200);
    assert_eq!(labels(&seen), ["Ana"]);
}

#[tokio::test]
async fn a_class_has_sixty_pupils_at_most() {
    let school = School::open().await;
    let class = school.class(&school.teacher, "3b").await;
    let label = |n: u8| format!("{}{}", char::from(b'A' + n / 26), char::from(b'a' + n % 26));
    let sixty: Vec<String> = (0..60).map(label).collect();
    let sixty_one = format!("{}\nZz", sixty.join("\n"));
    school
        .paste(class, &sixty_one)
        .await
        .problem(409, "too_many");
    school.paste(class, &sixty.join("\n")).await.ok(201);
    school.paste(class, "Zz").await.problem(409, "too_many");
}

#[tokio::test]
async fn two_who_paste_at_once_do_not_make_a_label_come_twice() {
    let school = Arc::new(School::open().await);
    let class = school.class(&school.teacher, "3b").await;
    let answers = all_at_once((0..4).map(|_| {
        let school = Arc::clone(&school);
        async move { school.paste(class, "Ana\nBo").await.status.as_u16() }
    }))
    .await;
    assert_eq!(
        answers.iter().filter(|status| **status == 201).count(),
        1,
        "{answers:?}"
    );
    let seen = school.see(&school.teacher, class).await.ok(200);
    assert_eq!(labels(&seen), ["Ana", "Bo"]);
}

#[tokio::test]
async fn another_teachers_class_does_not_exist() {
    let school = School::open().await;
    let class = school.class(&school.teacher, "3b").await;
    let added = school.paste(class, "Ana").await.ok(201);
    let pupil = added["pupils"][0]["id"].as_str().unwrap();
    let other = school.app.member(school.site, Role::Teacher).await;
    let theirs = school.class(&other, "4c").await;
    let path = format!("/classes/{class}");
    let me = school.member_id(&other).await;
    for (method, rest, body) in [
        (Method::GET, path.clone(), Value::Null),
        (Method::GET, format!("{path}/sheet"), Value::Null),
        (Method::PATCH, path.clone(), json!({ "name": "Mine" })),
        (Method::POST, format!("{path}/end"), Value::Null),
        (
            Method::POST,
            format!("{path}/pupils"),
            json!({ "labels": "Bo" }),
        ),
        (
            Method::PATCH,
            format!("{path}/pupils/{pupil}"),
            json!({ "label": "Bo" }),
        ),
        (
            Method::DELETE,
            format!("{path}/pupils/{pupil}"),
            Value::Null,
        ),
        (Method::PUT, format!("{path}/helpers/{me}"), Value::Null),
        (Method::DELETE, format!("{path}/helpers/{me}"), Value::Null),
    ] {
        let ask = school.app.ask(method.clone(), &school.at(&rest)).by(&other);
        let answer = ask.json(&body).send().await;
        let problem = answer.problem(404, "not_found");
        assert_eq!(
            problem["detail"], "There is no such class.",
            "{method} {rest}"
        );
    }
    // Nor does a pupil of it in a class of one's own.
    let smuggled = format!("/classes/{theirs}/pupils/{pupil}");
    school
        .without_body(Method::DELETE, &other, &smuggled)
        .await
        .problem(404, "not_found");
    let page = school.app.get(&other, &school.at("/classes")).await.ok(200);
    assert_eq!(page["items"].as_array().unwrap().len(), 1);
    assert_eq!(page["items"][0]["name"], "4c");

    // The educator sees both, and a caretaker may make none.
    let page = school
        .app
        .get(&school.ada, &school.at("/classes"))
        .await
        .ok(200);
    let items = page["items"].as_array().unwrap();
    assert_eq!((items.len(), &items[0]["pupils"]), (2, &json!(1)));
    let caretaker = school.app.member(school.site, Role::Caretaker).await;
    let new = json!({ "name": "5d", "ends_on": "2026-06-30" });
    school
        .app
        .post(&caretaker, &school.at("/classes"), &new)
        .await
        .problem(403, "forbidden");
    school
        .see(&caretaker, class)
        .await
        .problem(404, "not_found");
}

#[tokio::test]
async fn a_helper_sees_the_class_and_cannot_change_it() {
    let school = School::open().await;
    let class = school.class(&school.teacher, "3b").await;
    school.paste(class, "Ana").await.ok(201);
    let parent = school.app.member(school.site, Role::Resident).await;
    let id = school.member_id(&parent).await;
    school.see(&parent, class).await.problem(404, "not_found");

    let helpers = format!("/classes/{class}/helpers");
    let put = |id: Uuid| {
        let path = format!("{helpers}/{id}");
        let school = &school;
        async move {
            school
                .without_body(Method::PUT, &school.teacher, &path)
                .await
        }
    };
    put(id).await.ok(200);
    let again = put(id).await.ok(200);
    assert_eq!(again["adults"].as_array().unwrap().len(), 2);
    put(Uuid::now_v7()).await.problem(404, "not_found");

    let seen = school.see(&parent, class).await.ok(200);
    assert_eq!(labels(&seen), ["Ana"]);
    // Residents see of each other only what the site allows.
    let names: Vec<_> = seen["adults"]
        .as_array()
        .unwrap()
        .iter()
        .map(|a| &a["name"])
        .collect();
    assert!(
        names.contains(&&json!("A teacher")) && names.contains(&&Value::Null),
        "{names:?}"
    );
    let page = school
        .app
        .get(&parent, &school.at("/classes"))
        .await
        .ok(200);
    assert_eq!(page["items"].as_array().unwrap().len(), 1);
    let sheet = school.at(&format!("/classes/{class}/sheet"));
    school.app.get(&parent, &sheet).await.ok(200);
    let paste = school.at(&format!("/classes/{class}/pupils"));
    school
        .app
        .post(&parent, &paste, &json!({ "labels": "Bo" }))
        .await
        .problem(403, "forbidden");

    // The last teacher stays; a second one may replace the first.
    let teacher = school.member_id(&school.teacher).await;
    let remove = |id: Uuid| {
        let path = format!("{helpers}/{id}");
        let school = &school;
        async move {
            school
                .without_body(Method::DELETE, &school.ada, &path)
                .await
        }
    };
    remove(teacher).await.problem(409, "last_teacher");
    let second = school.app.member(school.site, Role::Teacher).await;
    let second = school.member_id(&second).await;
    let path = school.at(&format!("/classes/{class}"));
    let change = json!({ "teacher_id": second });
    school
        .app
        .patch(&school.teacher, &path, &change)
        .await
        .conflicting_fields(&["/teacher_id"]);
    school.app.patch(&school.ada, &path, &change).await.ok(200);
    assert_eq!(remove(teacher).await.status, 204);
    assert_eq!(remove(id).await.status, 204);
    remove(id).await.problem(404, "not_found");
    school.see(&parent, class).await.problem(404, "not_found");
    school
        .see(&school.teacher, class)
        .await
        .problem(404, "not_found");
}

#[tokio::test]
async fn who_has_left_the_site_cannot_help() {
    let school = School::open().await;
    let class = school.class(&school.teacher, "3b").await;
    let parent = school.app.member(school.site, Role::Resident).await;
    let id = school.member_id(&parent).await;
    let leave = format!("UPDATE members SET left_at = joined_at WHERE id = '{id}'");
    school.app.sql(&leave).await;
    let path = format!("/classes/{class}/helpers/{id}");
    school
        .without_body(Method::PUT, &school.teacher, &path)
        .await
        .problem(404, "not_found");
}

#[tokio::test]
async fn only_an_educator_makes_a_class_for_somebody_else() {
    let school = School::open().await;
    let teacher = school.member_id(&school.teacher).await;
    let resident = school.app.member(school.site, Role::Resident).await;
    let resident = school.member_id(&resident).await;
    let new =
        |teacher: Uuid| json!({ "name": "3b", "ends_on": "2026-06-30", "teacher_id": teacher });
    let path = school.at("/classes");
    let other = school.app.member(school.site, Role::Teacher).await;
    school
        .app
        .post(&other, &path, &new(teacher))
        .await
        .conflicting_fields(&["/teacher_id"]);
    school
        .app
        .post(&school.ada, &path, &new(resident))
        .await
        .conflicting_fields(&["/teacher_id"]);
    let made = school
        .app
        .post(&school.ada, &path, &new(teacher))
        .await
        .ok(201);
    assert_eq!(made["adults"][0]["member_id"], json!(teacher));
    school.see(&school.teacher, id_of(&made)).await.ok(200);
}

#[tokio::test]
async fn a_class_is_changed_only_as_it_was_read_and_has_a_name_of_its_own() {
    let school = School::open().await;
    let class = school.class(&school.teacher, "3b").await;
    school.class(&school.teacher, "4c").await;
    let path = school.at(&format!("/classes/{class}"));
    let change = |tag: &'static str, body: Value| {
        let ask = school.app.ask(Method::PATCH, &path).by(&school.teacher);
        async move { ask.header("if-match", tag).json(&body).send().await }
    };
    let changed = change("\"1\"", json!({ "name": "3c", "ends_on": "2026-07-15" })).await;
    assert_eq!(changed.header("etag"), Some("\"2\""));
    assert_eq!(changed.ok(200)["ends_on"], "2026-07-15");
    change("\"1\"", json!({ "name": "3d" }))
        .await
        .problem(412, "changed_meanwhile");
    change("*", json!({ "name": "4c" }))
        .await
        .problem(409, "name_taken");
    change("*", json!({ "name": "" }))
        .await
        .wrong_fields(&["/name"]);
    for day in ["2026-06-09", "2028-07-01"] {
        let answer = change("*", json!({ "ends_on": day })).await;
        answer.conflicting_fields(&["/ends_on"]);
    }
    let new = json!({ "name": "5d", "ends_on": "2026-06-09" });
    school
        .app
        .post(&school.teacher, &school.at("/classes"), &new)
        .await
        .conflicting_fields(&["/ends_on"]);
    let new = json!({ "name": "4c", "ends_on": "2026-06-30" });
    school
        .app
        .post(&school.teacher, &school.at("/classes"), &new)
        .await
        .problem(409, "name_taken");
}

#[tokio::test]
async fn a_class_that_ends_forgets_its_pupils() {
    let school = School::open().await;
    let class = school.class(&school.teacher, "3b").await;
    school.paste(class, "Ana\nBo K.").await.ok(201);
    let path = format!("/classes/{class}/end");
    let ended = school
        .without_body(Method::POST, &school.teacher, &path)
        .await;
    let first = ended.ok(200);
    assert_eq!(labels(&first), [""; 0]);
    assert!(first["ended_at"].is_string());
    let again = school
        .without_body(Method::POST, &school.teacher, &path)
        .await;
    assert_eq!(again.ok(200), first);
    let left = school.app.rows("SELECT label, left_at FROM pupils").await;
    assert!(
        left.iter()
            .all(|row| row["label"].is_null() && row["left_at"].is_string())
    );
    assert_eq!(left.len(), 2);

    school.paste(class, "Cy").await.problem(409, "class_ended");
    let sheet = school.at(&format!("/classes/{class}/sheet"));
    school
        .app
        .get(&school.teacher, &sheet)
        .await
        .problem(409, "class_ended");
    let page = school
        .app
        .get(&school.teacher, &school.at("/classes"))
        .await
        .ok(200);
    assert_eq!(page["items"], json!([]));
    // Its name is free again.
    school.class(&school.teacher, "3b").await;
    let trail = school.trail().await;
    assert_eq!(
        trail,
        ["class_made", "pupils_added", "class_ended", "class_made"]
    );
}

#[tokio::test]
async fn the_school_years_end_is_the_end_of_its_classes_as_the_site_counts_days() {
    let school = School::open().await;
    let class = school.class(&school.teacher, "3b").await;
    school.paste(class, "Ana\nBo").await.ok(201);
    let mut hour = clock::wall();
    let mut work_at = async |moment: &str| {
        // Housekeeping is owed once an hour of the machine's clock.
        hour += TimeDelta::hours(1);
        school.app.set_clock(moment).await;
        assert_eq!(work_once(&school.app.desk, hour).await.unwrap(), 1);
        let seen = school.see(&school.ada, class).await.ok(200);
        labels(&seen).len()
    };
    // The site is in Chicago: its last day goes on until 05:00 in UTC.
    assert_eq!(work_at("2026-07-01T04:30:00Z").await, 2);
    assert_eq!(work_at("2026-07-01T05:30:00Z").await, 0);
    assert_eq!(work_at("2026-07-02T05:30:00Z").await, 0);
    let ends = school
        .app
        .rows("SELECT member_id, detail FROM audit WHERE deed = 'class_ended'")
        .await;
    assert_eq!(ends.len(), 1);
    assert!(ends[0]["member_id"].is_null());
    assert_eq!(ends[0]["detail"], json!({ "pupils": 2 }));
}

#[tokio::test]
async fn nothing_is_stored_of_a_pupil_but_a_label() {
    let app = App::start().await;
    let columns = app
        .rows(
            "SELECT column_name AS name, data_type AS type FROM information_schema.columns
             WHERE table_name = 'pupils' ORDER BY ordinal_position",
        )
        .await;
    let named: Vec<(&str, &str)> = columns
        .iter()
        .map(|c| (c["name"].as_str().unwrap(), c["type"].as_str().unwrap()))
        .collect();
    let when = "timestamp with time zone";
    let expected = [
        ("site_id", "uuid"),
        ("id", "uuid"),
        ("class_id", "uuid"),
        ("label", "text"),
        ("added_at", when),
        ("left_at", when),
    ];
    assert_eq!(named, expected);
    // And nothing else in the database speaks of one but by key: whose turn it is, and who is
    // away.
    let others = app
        .rows(
            "SELECT table_name AS name, column_name AS by, data_type AS type
             FROM information_schema.columns
             WHERE column_name LIKE '%pupil%' AND table_schema = 'public' ORDER BY 1",
        )
        .await;
    let by_key = |table: &str| json!({ "name": table, "by": "pupil_id", "type": "uuid" });
    assert_eq!(others, [by_key("places"), by_key("pupil_absences")]);
}

#[tokio::test]
async fn labels_stand_neither_in_the_trail_nor_beside_idempotency_keys() {
    let school = School::open().await;
    let class = school.class(&school.teacher, "3b").await;
    let path = school.at(&format!("/classes/{class}/pupils"));
    let paste = || {
        let ask = school.app.ask(Method::POST, &path).by(&school.teacher);
        ask.header("idempotency-key", "k1")
            .json(&json!({ "labels": "Oleander\nBryony" }))
            .send()
    };
    let first = paste().await.ok(201);
    assert_eq!(paste().await.ok(201), first);
    for table in ["audit", "idempotency_keys", "letters", "jobs"] {
        let rows = school.app.rows(&format!("SELECT * FROM {table}")).await;
        let text = Value::from(rows).to_string();
        assert!(
            !text.contains("Oleander") && !text.contains("Bryony"),
            "{text}"
        );
    }
}

#[tokio::test]
async fn a_substitute_gets_a_sheet_for_one_day() {
    let school = School::open().await;
    let bin = school.app.stocked_bin(&school.ada, school.site).await;
    school.app.bin(&school.ada, school.site).await;
    let class = school.class(&school.teacher, "3b").await;
    school.paste(class, "Ana\nBo K.").await.ok(201);
    let path = school.at(&format!("/classes/{class}/sheet"));
    let sheet = school.app.get(&school.teacher, &path).await.ok(200);
    assert_eq!(sheet["on_date"], "2026-06-10");
    assert_eq!(sheet["pupils"], json!(["Ana", "Bo K."]));
    assert_eq!(sheet["teachers"], json!(["A teacher"]));
    let bins = sheet["bins"].as_array().unwrap();
    assert_eq!(bins.len(), 2);
    let room = school
        .app
        .get(&school.teacher, &school.at(&format!("/bins/{bin}/room")))
        .await
        .ok(200);
    let stocked = bins.iter().find(|one| one["bin_id"] == json!(bin)).unwrap();
    let grams = |kg: &Value| kg.as_f64().unwrap();
    // The moments differ by what it takes to ask.
    assert!((grams(&stocked["room_kg"]) - grams(&room["room_kg"])).abs() < 0.01);
    let empty = bins.iter().find(|one| one["bin_id"] != json!(bin)).unwrap();
    assert_eq!(empty["room_kg"], Value::Null);
    assert!(
        empty["sentence"]
            .as_str()
            .unwrap()
            .contains("so put nothing in")
    );
    let text = sheet["text"].as_str().unwrap();
    for part in [
        "Worm bins: 3b, Wednesday, June 10",
        "Elm Court",
        "2 pupils: Ana, Bo K.",
        stocked["sentence"].as_str().unwrap(),
        "put in none of these: ",
        "meat, fish and eggs",
        "washes their hands",
        "wear gloves",
        "asthma",
        "lay no baits",
        "Never touch a bed that feels hot",
        "ask whoever gave you this sheet, or A teacher;",
        "Time | Bin | What | How much",
        "____________  ____________",
    ] {
        assert!(
            text.to_lowercase().contains(&part.to_lowercase()),
            "{part}: {text}"
        );
    }

    let on = |date: &str| {
        let path = format!("{path}?on_date={date}");
        async { school.app.get(&school.teacher, &{ path }).await }
    };
    let later = on("2026-06-12").await.ok(200);
    assert_eq!(later["bins"][0]["room_kg"], Value::Null);
    assert!(
        later["text"]
            .as_str()
            .unwrap()
            .contains("known on the day itself")
    );
    for day in ["2026-06-09", "2026-07-01"] {
        on(day).await.conflicting_fields(&["/on_date"]);
    }
    for bad in [
        "yesterday",
        "2026-06-12&on_date=2026-06-13",
        "2026-06-12&by=me",
    ] {
        on(bad).await.problem(400, "bad_query");
    }
    let spanish = json!({ "language": "es" });
    school
        .app
        .patch(&school.ada, &school.at(""), &spanish)
        .await
        .ok(200);
    let hoja = school.app.get(&school.teacher, &path).await.ok(200);
    let text = hoja["text"].as_str().unwrap();
    assert!(
        text.contains("Qué no hacer") && text.contains("se lavan las manos"),
        "{text}"
    );
}

#[tokio::test]
async fn a_class_is_not_left_without_a_teacher_by_anybody_who_goes() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let teacher = app.member(site, Role::Teacher).await;
    let other = app.member(site, Role::Teacher).await;
    let helper = app.member(site, Role::Resident).await;
    let classes = format!("/v1/sites/{site}/classes");
    let ends_on = (app.now().await + TimeDelta::days(100)).date_naive();
    let new = json!({ "name": "4B", "ends_on": ends_on });
    let class = id_of(&app.post(&teacher, &classes, &new).await.ok(201));
    let member = |who: Uuid| format!("/v1/sites/{site}/members/{who}");
    let key = app.member_id(&teacher, site).await;
    let leaving = member(key);

    app.delete(&teacher, &leaving)
        .await
        .problem(409, "last_teacher");
    let fewer = json!({ "roles": ["resident"] });
    app.patch(&ada, &leaving, &fewer)
        .await
        .problem(409, "last_teacher");
    let password = json!({ "password": PASSWORD });
    app.post(&teacher, "/v1/me/erasure", &password)
        .await
        .problem(409, "last_teacher");

    // Whoever takes over gets what it takes, a resident who helped as well.
    let next = app.member_id(&helper, site).await;
    let left = app
        .delete(&teacher, &format!("{leaving}?successor_id={next}"))
        .await;
    assert_eq!(left.status, 204, "{}", left.text);
    let seen = app
        .get(&helper, &format!("{classes}/{class}"))
        .await
        .ok(200);
    assert_eq!(seen["adults"][0]["member_id"], next.to_string());
    assert_eq!(seen["adults"][0]["part"], "teacher");
    // A teacher without a class of their own goes as they like.
    let key = app.member_id(&other, site).await;
    let gone = app.delete(&other, &member(key)).await;
    assert_eq!(gone.status, 204, "{}", gone.text);
}
