use crate::frame::{App, logged};
use reqwest::Method;
use serde_json::json;
use wormrota::desk::add_account::{NewAccount, add_account};
use wormrota_domain::access::Role;

/// Does everything that a secret takes part in, and then looks for them in all that this
/// process has logged, ours in full detail and everybody else's at `debug`.
#[tokio::test]
async fn no_address_password_token_or_query_is_ever_logged() {
    let app = App::start().await;
    let email = "heron.of.the.marsh@reeds.example";
    let password = "kingfisher-under-the-bridge";
    let new = NewAccount {
        email: email.to_owned(),
        password: password.to_owned(),
        is_educator: true,
        member: None,
    };
    add_account(&app.desk, new, app.now().await).await.unwrap();
    let again = NewAccount {
        email: email.to_owned(),
        password: password.to_owned(),
        is_educator: true,
        member: None,
    };
    add_account(&app.desk, again, app.now().await)
        .await
        .unwrap_err();

    let sign_in = |email: serde_json::Value, password: serde_json::Value| {
        app.ask(Method::POST, "/v1/sessions")
            .header("x-request-id", "log-test-sign-in")
            .json(&json!({ "email": email, "password": password }))
            .send()
    };
    let session = sign_in(email.into(), password.into()).await.ok(201);
    let token = session["access_token"].as_str().unwrap().to_owned();
    let wrong = "bittern-in-the-wrong-reeds";
    sign_in(email.into(), wrong.into())
        .await
        .problem(401, "sign_in_failed");
    let unknown = "coot.of.no.pond@reeds.example";
    sign_in(unknown.into(), wrong.into())
        .await
        .problem(401, "sign_in_failed");
    sign_in(json!([email]), json!({ "x": password }))
        .await
        .problem(422, "invalid_fields");
    let broken = app
        .ask(Method::POST, "/v1/sessions")
        .header("content-type", "application/json")
        .body(format!("{{\"email\":\"{email}\",\"password\":\"{password}"))
        .send()
        .await;
    broken.problem(400, "bad_json");

    let bearer = format!("Bearer {token}");
    let with = |method, path: &str| app.ask(method, path).header("authorization", &bearer);
    with(Method::GET, "/v1/sites").send().await.ok(200);
    let mut site = crate::frame::new_site();
    site["my_name"] = "Ottoline Curlew".into();
    with(Method::POST, "/v1/sites")
        .json(&site)
        .send()
        .await
        .ok(201);
    let forged = format!("{bearer}x");
    app.ask(Method::GET, "/v1/sites")
        .header("authorization", &forged)
        .send()
        .await
        .problem(401, "bad_token");
    let secret_query = "avocet-in-the-query";
    with(Method::GET, &format!("/v1/sites?cursor={secret_query}"))
        .send()
        .await
        .problem(400, "bad_query");
    let secret_path = "snipe@reeds.example";
    with(Method::GET, &format!("/v1/people/{secret_path}"))
        .header("x-request-id", secret_path)
        .header("user-agent", secret_path)
        .send()
        .await
        .problem(404, "not_found");

    let log = logged();
    // The lines of the service itself are there, so a secret in them would be, too.
    for expected in [
        "log-test-sign-in",
        "sign-in failed",
        "signed in",
        "/v1/sessions",
        "DEBUG",
    ] {
        assert!(log.contains(expected), "nothing was captured of {expected}");
    }
    let signature = token.rsplit('.').next().unwrap();
    for secret in [
        email,
        "heron",
        password,
        wrong,
        unknown,
        &token,
        signature,
        "Ottoline",
        secret_query,
        secret_path,
        "$argon2id$",
    ] {
        let found = log.lines().find(|line| line.contains(secret));
        assert_eq!(found, None, "{secret} was logged");
    }
}

#[tokio::test]
async fn whoever_is_turned_away_leaves_a_line_with_keys_and_no_name() {
    let app = App::start().await;
    let ada = app.educator().await;
    let site = app.site(&ada).await;
    let path = format!("/v1/sites/{site}/changes");
    let stranger = app.stranger().await;
    app.get(&stranger, &path).await.problem(404, "not_found");
    let resident = app.member(site, Role::Resident).await;
    app.get(&resident, &path).await.problem(403, "forbidden");
    let log = logged();
    for (who, what) in [
        (&stranger, "a stranger was turned away"),
        (&resident, "a role does not allow this"),
    ] {
        let account = who.account.to_string();
        let line = log
            .lines()
            .find(|line| line.contains(what) && line.contains(&account));
        let line = line.unwrap_or_else(|| panic!("no line says: {what}"));
        assert!(line.contains(&site.to_string()), "{line}");
    }
}
