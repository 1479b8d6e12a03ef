//! When people are written to, and about what: a site's hours and days, and everybody's own.

use crate::frame::App;
use serde_json::{Value, json};
use wormrota_domain::access::Role;

/// Protects a site's evenings: the usual hours stand until others are chosen, and what is chosen
/// leaves time for letters.
#[tokio::test]
async fn a_site_chooses_its_quiet_hours_and_days_of_reminders() {
    let app = App::start_in_june().await;
    let ada = app.educator().await;
    let path = format!("/v1/sites/{}", app.site(&ada).await);
    let wishes = |site: &Value| {
        ["quiet_from", "quiet_until", "reminder_days"].map(|name| site[name].clone())
    };
    let usual = app.get(&ada, &path).await.ok(200);
    assert_eq!(
        wishes(&usual),
        [json!("21:00"), json!("07:00"), json!([2, 0])]
    );

    let change = json!({ "quiet_until": "08:30", "reminder_days": [0, 3] });
    let changed = app.patch(&ada, &path, &change).await.ok(200);
    assert_eq!(
        wishes(&changed),
        [json!("21:00"), json!("08:30"), json!([3, 0])]
    );
    let change = json!({ "quiet_from": "22:15", "reminder_days": [] });
    let changed = app.patch(&ada, &path, &change).await.ok(200);
    assert_eq!(
        wishes(&changed),
        [json!("22:15"), json!("08:30"), json!([])]
    );

    for (change, pointer) in [
        (json!({ "quiet_from": "9pm" }), "/quiet_from"),
        (json!({ "quiet_until": "24:00" }), "/quiet_until"),
        (json!({ "reminder_days": [8] }), "/reminder_days"),
        (json!({ "reminder_days": [1, 1] }), "/reminder_days"),
        (json!({ "reminder_days": ["soon"] }), "/reminder_days/0"),
    ] {
        app.patch(&ada, &path, &change)
            .await
            .wrong_fields(&[pointer]);
    }
    for (change, pointer) in [
        (json!({ "quiet_from": "08:30" }), "/quiet_from"),
        (json!({ "quiet_until": "22:15" }), "/quiet_until"),
        (
            json!({ "quiet_from": "07:00", "quiet_until": "06:00" }),
            "/quiet_until",
        ),
    ] {
        app.patch(&ada, &path, &change)
            .await
            .conflicting_fields(&[pointer]);
    }
    let after = app.get(&ada, &path).await.ok(200);
    assert_eq!(wishes(&after), wishes(&changed));
}

/// Protects what people want to be written about from neighbours, and leaves it to them and to
/// whoever looks after the site.
#[tokio::test]
async fn everybody_chooses_for_themselves_and_keepers_for_those_who_ask_them() {
    let app = App::start_in_june().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let bo = app.member(site, Role::Resident).await;
    let path = format!(
        "/v1/sites/{site}/members/{}",
        app.member_id(&bo, site).await
    );
    let wishes = |person: &Value| {
        ["reminder_days", "letters_off"].map(|name| person["details"][name].clone())
    };
    let usual = app.get(&bo, &path).await.ok(200);
    assert_eq!(wishes(&usual), [json!(null), json!([])]);

    let change = json!({ "reminder_days": [1], "letters_off": ["digest", "calls", "calls"] });
    let changed = app.patch(&bo, &path, &change).await.ok(200);
    assert_eq!(wishes(&changed), [json!([1]), json!(["calls", "digest"])]);
    let trail = app
        .rows("SELECT detail FROM audit WHERE deed = 'member_changed'")
        .await;
    let fields = json!(["reminder_days", "letters_off"]);
    assert_eq!(trail[0]["detail"]["fields"], fields);

    let back_on = json!({ "letters_off": ["digest"], "reminder_days": null });
    let changed = app.patch(&ada, &path, &back_on).await.ok(200);
    assert_eq!(wishes(&changed), [json!(null), json!(["digest"])]);
    // Another change leaves them as they are.
    let named = app
        .patch(&bo, &path, &json!({ "name": "Bo" }))
        .await
        .ok(200);
    assert_eq!(wishes(&named), wishes(&changed));

    for (change, pointer) in [
        (json!({ "letters_off": ["all"] }), "/letters_off/0"),
        (json!({ "reminder_days": [0, 9] }), "/reminder_days"),
    ] {
        app.patch(&bo, &path, &change)
            .await
            .wrong_fields(&[pointer]);
    }
    let neighbour = app.member(site, Role::Resident).await;
    app.patch(&neighbour, &path, &back_on)
        .await
        .problem(403, "forbidden");
}

/// Protects erased accounts from leaving behind what their owners wanted.
#[tokio::test]
async fn wishes_go_with_the_account() {
    let app = App::start_in_june().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let bo = app.member(site, Role::Resident).await;
    let member = app.member_id(&bo, site).await;
    let path = format!("/v1/sites/{site}/members/{member}");
    let change = json!({ "reminder_days": [1], "letters_off": ["calls"] });
    app.patch(&bo, &path, &change).await.ok(200);
    let password = json!({ "password": crate::frame::PASSWORD });
    let erased = app.post(&bo, "/v1/me/erasure", &password).await;
    assert!(erased.status.is_success(), "{}", erased.text);
    let query = format!("SELECT reminder_days, letters_off FROM members WHERE id = '{member}'");
    let rows = app.rows(&query).await;
    assert_eq!(
        rows,
        [json!({ "reminder_days": null, "letters_off": null })]
    );
}
