use crate::frame::{App, Court, NOON_IN_JUNE, Person, id_of};
use serde_json::{Value, json};
use uuid::Uuid;
use wormrota::store::places::{self, Holder, How};
use wormrota::store::{StoreError, members, turns};
use wormrota_domain::access::Role;
use wormrota_domain::ids::{MemberId, PupilId, SiteId, TurnId};

/// Gives a member a free place of a turn, as whoever takes one does: the locks first, then what
/// is there. Says whether there was one.
pub(crate) async fn take(app: &App, site: Uuid, turn: Uuid, member: Uuid) -> bool {
    hold(app, site, turn, Holder::Member(MemberId(member))).await
}

pub(crate) async fn hold(app: &App, site: Uuid, turn: Uuid, holder: Holder) -> bool {
    let now = app.now().await;
    let work = app
        .desk
        .store()
        .transact("take a place", (), move |conn, ()| {
            Box::pin(async move {
                let site = SiteId(site);
                if let Holder::Member(member) = holder {
                    members::lock(conn, site, &[member]).await?;
                }
                let locked = turns::lock(conn, site, &[TurnId(turn)]).await?;
                if locked.first().is_none_or(|turn| turn.called_off.is_some()) {
                    return Ok(false);
                }
                let places = places::of_turns(conn, site, &[TurnId(turn)]).await?;
                let Some(mut free) = places.into_iter().find(|place| place.how.is_none()) else {
                    return Ok(false);
                };
                free.give(holder, How::Taken, now);
                places::update(conn, &free).await?;
                Ok::<bool, StoreError>(true)
            })
        });
    work.await.unwrap()
}

/// A pattern of a court's bin; gives the answer.
pub(crate) async fn pattern(app: &App, court: &Court, rule: &str, places: u32) -> Value {
    let new = json!({
        "bin_id": court.bin, "rule": rule, "first_day": "2026-06-10", "places": places,
        "effort": 1,
    });
    let made = app
        .post(&court.educator, &court.at("/patterns"), &new)
        .await;
    made.ok(201)
}

/// The turns of a court as somebody sees them, on one page.
pub(crate) async fn listed(app: &App, court: &Court, who: &Person, query: &str) -> Vec<Value> {
    let path = court.at(&format!("/turns?limit=200&{query}"));
    let page = app.get(who, &path).await.ok(200);
    assert!(page["next_cursor"].is_null(), "{page}");
    page["items"].as_array().unwrap().clone()
}

/// The days of turns.
pub(crate) fn days(turns: &[Value]) -> Vec<&str> {
    let days = turns.iter().map(|turn| turn["on_date"].as_str().unwrap());
    days.collect()
}

async fn court() -> (App, Court) {
    let app = App::start_in_june().await;
    let court = app.court().await;
    (app, court)
}

/// Guards the list that everybody looks at: in order of day, in pages, four weeks from today.
#[tokio::test]
async fn turns_come_in_order_of_day_and_in_pages() {
    let (app, court) = court().await;
    pattern(&app, &court, "FREQ=WEEKLY;BYDAY=WE,SA;COUNT=20", 2).await;
    let all = listed(&app, &court, &court.resident, "").await;
    assert_eq!(all.len(), 8);
    assert_eq!(days(&all)[..3], ["2026-06-10", "2026-06-13", "2026-06-17"]);
    assert_eq!(all[0]["free"], 2);
    assert_eq!(all[0]["duty"], "feeding");
    assert_eq!(all[0]["places"][0]["held"], false);
    assert_eq!(all[0]["places"][1]["seat"], 2);

    let mut paged = Vec::new();
    let mut path = court.at("/turns?limit=3");
    loop {
        let page = app.get(&court.resident, &path).await.ok(200);
        paged.extend(page["items"].as_array().unwrap().clone());
        let Some(cursor) = page["next_cursor"].as_str() else {
            break;
        };
        path = court.at(&format!("/turns?limit=3&cursor={cursor}"));
    }
    assert_eq!(paged, all);

    let span = "from=2026-06-14&to=2026-06-20";
    let week = listed(&app, &court, &court.resident, span).await;
    assert_eq!(days(&week), ["2026-06-17", "2026-06-20"]);
    let elsewhere = format!("bin_id={}", Uuid::now_v7());
    assert!(
        listed(&app, &court, &court.resident, &elsewhere)
            .await
            .is_empty()
    );
}

/// Guards the database against being asked for everything.
#[tokio::test]
async fn a_span_of_turns_has_400_days_at_most() {
    let (app, court) = court().await;
    let at = |query: &str| court.at(&format!("/turns?{query}"));
    let ask = async |query: &str| app.get(&court.resident, &at(query)).await;
    ask("from=2026-06-10&to=2027-07-14").await.ok(200);
    for bad in [
        "from=2026-06-10&to=2027-07-15",
        "from=2026-06-10&to=2026-06-09",
    ] {
        ask(bad).await.conflicting_fields(&["/to"]);
    }
    for bad in [
        "from=yesterday",
        "free=maybe",
        "limit=0",
        "bin_id=1",
        "page=2",
        "cursor=x",
        "from=2026-06-10&from=2026-06-11",
    ] {
        ask(bad).await.problem(400, "bad_query");
    }
}

/// Guards what residents and keepers look for: what can still be taken, and what is one's own.
#[tokio::test]
async fn free_and_own_turns_can_be_asked_for() {
    let (app, court) = court().await;
    pattern(&app, &court, "FREQ=DAILY;COUNT=4", 1).await;
    let all = listed(&app, &court, &court.resident, "").await;
    let me = app.member_id(&court.resident, court.site).await;
    assert!(take(&app, court.site, id_of(&all[0]), me).await);
    let off = court.at(&format!("/turns/{}", id_of(&all[1])));
    let change = json!({ "called_off": true });
    app.patch(&court.educator, &off, &change).await.ok(200);

    let free = listed(&app, &court, &court.resident, "free=true").await;
    assert_eq!(days(&free), ["2026-06-12", "2026-06-13"]);
    let mine = listed(&app, &court, &court.resident, "mine=true").await;
    assert_eq!(days(&mine), ["2026-06-10"]);
    assert_eq!(mine[0]["free"], 0);
    let place = &mine[0]["places"][0];
    assert_eq!(place["mine"], true);
    assert_eq!(place["how"], "taken");
    assert_eq!(place["holder"]["member_id"], me.to_string());
    assert_eq!(place["holder"]["name"], "A resident");
    assert!(
        listed(&app, &court, &court.educator, "mine=true")
            .await
            .is_empty()
    );
}

/// Guards neighbours' names: only the site's word lets residents see who comes when.
#[tokio::test]
async fn a_resident_sees_holders_as_far_as_the_site_lets_neighbours_see() {
    let (app, court) = court().await;
    pattern(&app, &court, "FREQ=DAILY;COUNT=1", 3).await;
    let turn = id_of(&listed(&app, &court, &court.educator, "").await[0]);
    let neighbour = app.member(court.site, Role::Resident).await;
    let keeper = app.member(court.site, Role::Caretaker).await;
    for who in [&court.resident, &neighbour, &keeper] {
        let member = app.member_id(who, court.site).await;
        assert!(take(&app, court.site, turn, member).await);
    }
    let path = court.at(&format!("/turns/{turn}"));
    let seen = async |who: &Person| app.get(who, &path).await.ok(200)["places"].clone();
    let their_key = app.member_id(&neighbour, court.site).await;

    for (word, name, flat) in [
        ("keepers", None, None),
        ("names", Some("A resident"), None),
        ("names_and_flats", Some("A resident"), Some("3b")),
    ] {
        let change = json!({ "neighbours_see": word });
        app.patch(&court.educator, &court.at(""), &change)
            .await
            .ok(200);
        let places = seen(&court.resident).await;
        let (own, theirs, keepers) = (&places[0], &places[1], &places[2]);
        assert_eq!(own["mine"], true);
        assert_eq!(own["holder"]["name"], "A resident");
        assert_eq!(theirs["held"], true, "{word}");
        assert_eq!(theirs["holder"]["name"].as_str(), name, "{word}");
        assert_eq!(theirs["holder"]["flat"].as_str(), flat, "{word}");
        assert_eq!(theirs["how"].is_null(), name.is_none(), "{word}");
        assert_eq!(keepers["holder"]["name"], "A caretaker", "{word}");
        let told = places.to_string().contains(&their_key.to_string());
        assert_eq!(told, name.is_some(), "{word}: {places}");
        let in_full = seen(&keeper).await;
        assert_eq!(in_full[1]["holder"]["flat"], "3b");
    }

    // Whoever left is a key without a name, and only for keepers.
    let leave = court.at(&format!("/members/{their_key}"));
    assert_eq!(app.delete(&neighbour, &leave).await.status, 204);
    let places = seen(&court.resident).await;
    assert!(
        !places.to_string().contains(&their_key.to_string()),
        "{places}"
    );
}

/// Guards children: what a pupil is called is for the adults of the class.
#[tokio::test]
async fn pupils_are_seen_by_the_adults_of_their_class_only() {
    let (app, court) = court().await;
    let teacher = app.member(court.site, Role::Teacher).await;
    let new = json!({ "name": "3b", "ends_on": "2026-06-30" });
    let class = app.post(&teacher, &court.at("/classes"), &new).await;
    let class = id_of(&class.ok(201));
    let pupils = court.at(&format!("/classes/{class}/pupils"));
    let pasted = app
        .post(&teacher, &pupils, &json!({ "labels": "Ana" }))
        .await;
    let ana = id_of(&pasted.ok(201)["pupils"][0]);
    let new = json!({
        "bin_id": court.bin, "on_date": "2026-06-12", "places": 2, "effort": 1,
        "class_id": class,
    });
    let turn = id_of(&app.post(&teacher, &court.at("/turns"), &new).await.ok(201));
    assert!(hold(&app, court.site, turn, Holder::Pupil(PupilId(ana))).await);

    let path = court.at(&format!("/turns/{turn}"));
    let other = app.member(court.site, Role::Teacher).await;
    let caretaker = app.member(court.site, Role::Caretaker).await;
    for (who, may) in [
        (&teacher, true),
        (&court.educator, true),
        (&other, false),
        (&caretaker, false),
        (&court.resident, false),
    ] {
        let seen = app.get(who, &path).await.ok(200);
        assert_eq!(seen["is_of_a_class"], true);
        assert_eq!(seen["class_id"].is_string(), may);
        let place = &seen["places"][0];
        assert_eq!(place["held"], true);
        assert_eq!(place["holder"]["name"].as_str(), may.then_some("Ana"));
        assert_eq!(seen.to_string().contains(&ana.to_string()), may);
    }
    // Another teacher does not keep this class's turns, nor make turns for it.
    let change = json!({ "effort": 2 });
    for who in [&other, &caretaker] {
        app.patch(who, &path, &change)
            .await
            .problem(403, "forbidden");
    }
    app.post(&other, &court.at("/turns"), &new)
        .await
        .conflicting_fields(&["/class_id"]);
    let late = json!({
        "bin_id": court.bin, "on_date": "2026-07-01", "places": 1, "effort": 1,
        "class_id": class,
    });
    app.post(&teacher, &court.at("/turns"), &late)
        .await
        .conflicting_fields(&["/on_date"]);
    assert!(
        listed(&app, &court, &court.resident, "free=true")
            .await
            .is_empty()
    );

    // With the class its turns end, and no pupil is left on any.
    let end = court.at(&format!("/classes/{class}/end"));
    let ended = app
        .ask(reqwest::Method::POST, &end)
        .by(&teacher)
        .send()
        .await;
    ended.ok(200);
    app.get(&teacher, &path).await.problem(404, "not_found");
}

/// Guards hours on nights of clock changes, in three zones: what stands on the wall is kept,
/// and the instants follow.
#[tokio::test]
async fn hours_follow_the_wall_on_nights_of_clock_changes() {
    let app = App::start().await;
    app.set_clock("2026-01-10T12:00:00Z").await;
    let educator = app.educator().await;
    for (zone, day, opens_at, closes_at) in [
        // An hour is skipped: 02:00 to 03:00.
        (
            "America/Chicago",
            "2026-03-08",
            "2026-03-08T08:00:00Z",
            "2026-03-08T08:30:00Z",
        ),
        // An hour comes twice: 02:00 to 03:00, the second time an hour later.
        (
            "Europe/Berlin",
            "2026-10-25",
            "2026-10-25T00:30:00Z",
            "2026-10-25T02:30:00Z",
        ),
        // Half an hour comes twice: 01:30 to 02:00.
        (
            "Australia/Lord_Howe",
            "2026-04-05",
            "2026-04-04T14:30:00Z",
            "2026-04-04T17:00:00Z",
        ),
    ] {
        let new = json!({
            "name": zone, "zone": zone, "units": "metric", "language": "en", "paper": "a4",
            "my_name": "Ada",
        });
        let site = id_of(&app.post(&educator, "/v1/sites", &new).await.ok(201));
        let bin = app.bin(&educator, site).await;
        let (opens, closes) = match zone {
            "Australia/Lord_Howe" => ("01:30", "03:30"),
            "Europe/Berlin" => ("02:30", "03:30"),
            _ => ("02:15", "03:30"),
        };
        let new = json!({
            "bin_id": bin, "on_date": day, "places": 1, "effort": 1, "opens": opens,
            "closes": closes,
        });
        let path = format!("/v1/sites/{site}/turns");
        let turn = app.post(&educator, &path, &new).await.ok(201);
        assert_eq!(turn["opens"], opens);
        assert_eq!(turn["closes"], closes);
        assert_eq!(turn["opens_at"], opens_at, "{zone}");
        assert_eq!(turn["closes_at"], closes_at, "{zone}");
    }
}

/// Guards single turns: what is wrong is named, and a passed day stays as it was.
#[tokio::test]
async fn one_turn_is_added_by_hand_changed_and_left_alone_once_it_is_over() {
    let (app, court) = court().await;
    let new = |change: Value| {
        let mut new = json!({
            "bin_id": court.bin, "on_date": "2026-06-11", "duty": "harvest", "places": 3,
            "effort": 4, "opens": "10:00", "closes": "12:30",
        });
        for (name, value) in change.as_object().unwrap() {
            new[name] = value.clone();
        }
        new
    };
    let add = async |change: Value| {
        app.post(&court.educator, &court.at("/turns"), &new(change))
            .await
    };
    let answer = add(json!({})).await;
    let turn = answer.ok(201);
    let path = court.at(&format!("/turns/{}", id_of(&turn)));
    assert_eq!(answer.header("location"), Some(path.as_str()));
    assert_eq!(answer.header("etag"), Some("\"1\""));
    assert_eq!(turn["pattern_id"], Value::Null);
    assert_eq!(turn["duty"], "harvest");
    assert_eq!(turn["opens_at"], "2026-06-11T15:00:00Z");

    for (change, pointer) in [
        (json!({ "places": 0 }), "/places"),
        (json!({ "places": 21 }), "/places"),
        (json!({ "effort": 0 }), "/effort"),
        (json!({ "opens": "25:00" }), "/opens"),
        (json!({ "duty": "dancing" }), "/duty"),
    ] {
        add(change).await.wrong_fields(&[pointer]);
    }
    for (change, pointer) in [
        (json!({ "on_date": "2026-06-09" }), "/on_date"),
        (json!({ "on_date": "2030-06-09" }), "/on_date"),
        (json!({ "closes": "10:00" }), "/closes"),
        (json!({ "closes": null }), "/closes"),
        (json!({ "opens": null }), "/opens"),
        (json!({ "bin_id": Uuid::now_v7() }), "/bin_id"),
        (json!({ "class_id": Uuid::now_v7() }), "/class_id"),
    ] {
        add(change).await.conflicting_fields(&[pointer]);
    }

    let me = app.member_id(&court.resident, court.site).await;
    assert!(take(&app, court.site, id_of(&turn), me).await);
    let change = json!({ "places": 1, "effort": 2, "opens": null, "closes": null });
    let stale = app
        .ask(reqwest::Method::PATCH, &path)
        .by(&court.educator)
        .header("if-match", "\"7\"")
        .json(&change)
        .send()
        .await;
    stale.problem(412, "changed_meanwhile");
    let changed = app.patch(&court.educator, &path, &change).await;
    assert_eq!(changed.header("etag"), Some("\"2\""));
    let changed = changed.ok(200);
    assert_eq!(changed["effort"], 2);
    assert_eq!(changed["opens"], Value::Null);
    assert_eq!(changed["places"].as_array().unwrap().len(), 1);
    assert_eq!(changed["places"][0]["mine"], false);
    assert_eq!(changed["places"][0]["held"], true);
    let half = json!({ "opens": "09:00" });
    app.patch(&court.educator, &path, &half)
        .await
        .conflicting_fields(&["/closes"]);
    app.patch(&court.resident, &path, &change)
        .await
        .problem(403, "forbidden");

    app.set_clock("2026-06-12T17:00:00Z").await;
    app.patch(&court.educator, &path, &change)
        .await
        .problem(409, "turn_over");
    app.set_clock(NOON_IN_JUNE).await;
    let deeds = app.rows("SELECT deed FROM audit ORDER BY at, id").await;
    let deeds: Vec<&str> = deeds
        .iter()
        .map(|row| row["deed"].as_str().unwrap())
        .collect();
    assert_eq!(deeds, ["turn_added", "turn_changed"]);
}
