//! The examples of what is said about people, classes and their duty.

use super::examples::{example, send_example, send_text};
use super::operations;
use crate::class_duty::class_turn;
use crate::frame::{App, Person};
use serde_json::{Value, json};
use wormrota_domain::access::Role;

/// Those about classes, and the list that makes some; gives which these are.
pub(super) async fn send_examples_of_classes(
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

/// Sends the examples that are about the people of a site; says which.
pub(super) async fn send_examples_about_people(
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
