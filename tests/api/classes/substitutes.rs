//! A sheet for a substitute.

use super::School;
use serde_json::{Value, json};

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
