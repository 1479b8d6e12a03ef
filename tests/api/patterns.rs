use crate::frame::{App, Court, id_of};
use crate::turns::{days, listed, pattern, take};
use reqwest::Method;
use serde_json::{Value, json};

async fn court() -> (App, Court) {
    let app = App::start_in_june().await;
    let court = app.court().await;
    (app, court)
}

fn new_pattern(court: &Court, change: &Value) -> Value {
    let mut new = json!({
        "bin_id": court.bin, "rule": "FREQ=WEEKLY;BYDAY=TU,FR", "first_day": "2026-06-01",
        "last_day": "2026-07-03", "places": 2, "effort": 1, "opens": "17:00",
        "closes": "20:00",
    });
    for (name, value) in change.as_object().unwrap() {
        new[name] = value.clone();
    }
    new
}

/// Guards what a pattern is for: its turns stand at once, from today on, with free places.
#[tokio::test]
async fn a_pattern_makes_its_turns_at_once() {
    let (app, court) = court().await;
    let new = new_pattern(&court, &json!({}));
    let answer = app
        .ask(Method::POST, &court.at("/patterns"))
        .by(&court.educator)
        .header("idempotency-key", "once")
        .json(&new)
        .send()
        .await;
    let made = answer.ok(201);
    let path = court.at(&format!("/patterns/{}", id_of(&made)));
    assert_eq!(answer.header("location"), Some(path.as_str()));
    assert_eq!(made["turns_made"], 7);
    assert_eq!(made["days"][0], "2026-06-12");
    assert_eq!(made["days"][6], "2026-07-03");
    assert_eq!(made["duty"], "feeding");
    assert_eq!(made["opens"], "17:00");
    let turns = listed(&app, &court, &court.resident, "").await;
    assert_eq!(made["days"], json!(days(&turns)));
    assert_eq!(turns[0]["pattern_id"], made["id"]);
    assert_eq!(turns[0]["free"], 2);
    assert_eq!(turns[0]["opens_at"], "2026-06-12T22:00:00Z");
    // The same request again makes nothing.
    let again = app
        .ask(Method::POST, &court.at("/patterns"))
        .by(&court.educator)
        .header("idempotency-key", "once")
        .json(&new)
        .send()
        .await;
    assert_eq!(again.ok(201), made);
    let seen = app.get(&court.resident, &path).await;
    assert_eq!(seen.header("etag"), Some("\"1\""));
    let list = app
        .get(&court.resident, &court.at("/patterns"))
        .await
        .ok(200);
    assert_eq!(list["items"], json!([seen.ok(200)]));
}

/// Guards against rules that never end, give nothing, or give too much: each is named.
#[tokio::test]
async fn a_rule_that_cannot_be_is_refused_with_the_reason() {
    let (app, court) = court().await;
    let make = async |change: Value| {
        let new = new_pattern(&court, &change);
        app.post(&court.educator, &court.at("/patterns"), &new)
            .await
    };
    let long = format!("FREQ=DAILY;BYMONTH={}", vec!["1"; 990].join(","));
    assert!(long.len() >= 1_990);
    for (rule, words) in [
        ("", "1 to 500"),
        (long.as_str(), "1 to 500"),
        ("FREQ=WEEKLY; BYDAY=TU", "visible ASCII"),
        ("FREQ=WÖCHENTLICH", "visible ASCII"),
    ] {
        let answer = make(json!({ "rule": rule })).await;
        answer.wrong_fields(&["/rule"]);
        assert!(answer.text.contains(words), "{}", answer.text);
    }
    for (change, pointer, words) in [
        (
            json!({ "rule": "FREQ=DAILY", "last_day": null }),
            "/rule",
            "give it a COUNT or an UNTIL, or the pattern a last_day",
        ),
        (
            json!({ "rule": "FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30" }),
            "/rule",
            "gives no day",
        ),
        (
            json!({ "rule": "FREQ=DAILY;COUNT=1000000", "last_day": null }),
            "/rule",
            "1000000",
        ),
        (
            json!({ "rule": "FREQ=HOURLY" }),
            "/rule",
            "a turn is a whole day",
        ),
        (
            json!({ "rule": "FREQ=DAILY;BYHOUR=7,19" }),
            "/rule",
            "a turn is a whole day",
        ),
        (json!({ "rule": "every Tuesday" }), "/rule", "1 to 500"),
        (json!({ "rule": "every-tuesday" }), "/rule", "NAME=VALUE"),
        (
            json!({ "rule": "FREQ=DAILY;DROP=TABLE" }),
            "/rule",
            "a part that no rule has",
        ),
        (
            json!({ "rule": "FREQ=DAILY;INTERVAL=0" }),
            "/rule",
            "INTERVAL has a value",
        ),
        (
            json!({ "first_day": "2026-07-04" }),
            "/last_day",
            "before the first",
        ),
        (
            json!({ "last_day": "2026-06-09" }),
            "/rule",
            "from today on",
        ),
        (json!({ "last_day": "2029-07-03" }), "/rule", "at most 1098"),
    ] {
        let answer = make(change).await;
        if words == "1 to 500" {
            answer.wrong_fields(&[pointer]);
        } else {
            answer.conflicting_fields(&[pointer]);
        }
        assert!(answer.text.contains(words), "{words}: {}", answer.text);
        assert!(!answer.text.contains("TABLE"), "{}", answer.text);
    }
    for (change, pointer) in [
        (json!({ "places": 21 }), "/places"),
        (json!({ "effort": 0 }), "/effort"),
        (json!({ "first_day": "soon" }), "/first_day"),
        (json!({ "opens": "5 pm" }), "/opens"),
    ] {
        make(change).await.wrong_fields(&[pointer]);
    }
    make(json!({ "closes": "16:00" }))
        .await
        .conflicting_fields(&["/closes"]);
    let list = app
        .get(&court.educator, &court.at("/patterns"))
        .await
        .ok(200);
    assert_eq!(list["items"], json!([]));
    assert!(listed(&app, &court, &court.educator, "").await.is_empty());
}

/// Guards holders of places against a change of the pattern: what somebody holds stays.
#[tokio::test]
async fn a_changed_pattern_loses_no_place_that_somebody_holds() {
    let (app, court) = court().await;
    let new = new_pattern(&court, &json!({}));
    let made = app
        .post(&court.educator, &court.at("/patterns"), &new)
        .await;
    let path = court.at(&format!("/patterns/{}", id_of(&made.ok(201))));
    let turns = listed(&app, &court, &court.educator, "").await;
    // A Friday, and both places of a Tuesday.
    let me = app.member_id(&court.resident, court.site).await;
    let other = app.member_id(&court.educator, court.site).await;
    assert!(take(&app, court.site, id_of(&turns[0]), me).await);
    assert!(take(&app, court.site, id_of(&turns[1]), me).await);
    assert!(take(&app, court.site, id_of(&turns[1]), other).await);

    // From Tuesdays and Fridays to Tuesdays and Thursdays, with one place and other hours.
    let change = json!({
        "rule": "FREQ=WEEKLY;BYDAY=TU,TH", "places": 1, "effort": 3, "opens": "07:00",
        "closes": "09:00",
    });
    let answer = app.patch(&court.educator, &path, &change).await;
    assert_eq!(answer.header("etag"), Some("\"2\""));
    let changed = answer.ok(200);
    let counts = &changed["turns"];
    assert_eq!(counts["added"], 4);
    assert_eq!(counts["removed"], 3);
    assert_eq!(counts["kept_off_pattern"], 1);
    // Three Tuesdays, and the Friday that stays.
    assert_eq!(counts["changed"], 4);
    let seen = listed(&app, &court, &court.educator, "").await;
    assert_eq!(
        days(&seen),
        [
            "2026-06-11",
            "2026-06-12",
            "2026-06-16",
            "2026-06-18",
            "2026-06-23",
            "2026-06-25",
            "2026-06-30",
            "2026-07-02",
        ]
    );
    let friday = &seen[1];
    assert_eq!(friday["off_pattern"], true);
    assert_eq!(friday["places"].as_array().unwrap().len(), 1);
    assert_eq!(friday["places"][0]["holder"]["member_id"], me.to_string());
    let tuesday = &seen[2];
    assert_eq!(tuesday["off_pattern"], false);
    assert_eq!(tuesday["places"].as_array().unwrap().len(), 2);
    assert_eq!(tuesday["free"], 0);
    assert_eq!(tuesday["effort"], 3);
    assert_eq!(tuesday["opens"], "07:00");
    assert_eq!(seen[4]["places"].as_array().unwrap().len(), 1);

    // A free place beside somebody on a day that is not wanted is not offered.
    let more = json!({ "places": 2 });
    let on_friday = court.at(&format!("/turns/{}", id_of(friday)));
    app.patch(&court.educator, &on_friday, &more).await.ok(200);
    let free = listed(&app, &court, &court.educator, "free=true").await;
    assert!(!days(&free).contains(&"2026-06-12"));

    // Back again: the Friday is wanted again, and the same request twice changes nothing.
    let back = json!({ "rule": "FREQ=WEEKLY;BYDAY=TU,FR", "places": 3 });
    let changed = app.patch(&court.educator, &path, &back).await.ok(200);
    assert_eq!(changed["turns"]["wanted_again"], 1);
    assert_eq!(changed["turns"]["added"], 3);
    assert_eq!(changed["turns"]["removed"], 4);
    let again = app.patch(&court.educator, &path, &back).await.ok(200);
    for (count, number) in again["turns"].as_object().unwrap() {
        assert_eq!(number, &json!(0), "{count}");
    }
    let seen = listed(&app, &court, &court.educator, "").await;
    assert_eq!(seen[0]["off_pattern"], false);
    assert_eq!(seen[0]["places"].as_array().unwrap().len(), 3);
    assert_eq!(seen[0]["free"], 2);
    let stale = app
        .ask(Method::PATCH, &path)
        .by(&court.educator)
        .header("if-match", "\"1\"")
        .json(&back)
        .send()
        .await;
    stale.problem(412, "changed_meanwhile");
}

/// Guards the past, and holders, when a pattern ends.
#[tokio::test]
async fn an_ended_pattern_leaves_the_past_and_what_somebody_holds() {
    let (app, court) = court().await;
    let made = pattern(&app, &court, "FREQ=DAILY;COUNT=6", 1).await;
    let path = court.at(&format!("/patterns/{}", id_of(&made)));
    let turns = listed(&app, &court, &court.educator, "").await;
    let me = app.member_id(&court.resident, court.site).await;
    assert!(take(&app, court.site, id_of(&turns[4]), me).await);
    app.set_clock("2026-06-12T17:00:00Z").await;
    let ended = app.delete(&court.educator, &path).await.ok(200);
    assert!(ended["ended_at"].is_string());
    assert_eq!(ended["turns"]["removed"], 3);
    assert_eq!(ended["turns"]["kept_off_pattern"], 1);
    let seen = listed(&app, &court, &court.educator, "from=2026-06-01").await;
    assert_eq!(days(&seen), ["2026-06-10", "2026-06-11", "2026-06-14"]);
    assert_eq!(seen[0]["off_pattern"], false);
    assert_eq!(seen[2]["off_pattern"], true);
    let again = app.delete(&court.educator, &path).await.ok(200);
    assert_eq!(again["turns"]["removed"], 0);
    app.patch(&court.educator, &path, &json!({ "effort": 2 }))
        .await
        .problem(409, "ended_already");
    let list = app
        .get(&court.educator, &court.at("/patterns"))
        .await
        .ok(200);
    assert_eq!(list["items"], json!([]));
    let deeds = app.rows("SELECT deed FROM audit ORDER BY at, id").await;
    let deeds: Vec<&str> = deeds
        .iter()
        .map(|row| row["deed"].as_str().unwrap())
        .collect();
    assert_eq!(deeds, ["pattern_made", "pattern_ended"]);
}

/// Guards the database against a site that makes turns without end.
#[tokio::test]
async fn a_site_has_so_many_turns_ahead_and_no_more() {
    let (app, court) = court().await;
    app.sql(
        "INSERT INTO turns (site_id, id, bin_id, on_date, duty, effort, off_pattern,
             created_at, revision)
         SELECT site_id, gen_random_uuid(), id, DATE '2026-06-10' + n % 900, 'feeding', 1,
             false, created_at, 1
         FROM bins, generate_series(1, 19999) AS n",
    )
    .await;
    let new = new_pattern(
        &court,
        &json!({ "rule": "FREQ=DAILY;COUNT=1", "first_day": "2026-06-10" }),
    );
    app.post(&court.educator, &court.at("/patterns"), &new)
        .await
        .ok(201);
    app.post(&court.educator, &court.at("/patterns"), &new)
        .await
        .problem(409, "too_many");
}
