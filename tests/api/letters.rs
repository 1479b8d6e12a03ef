//! What letters say and to whom, as they lie in their folder.

use crate::frame::{id_of, logged, weighed};
use crate::post_office::PostOffice;
use chrono::TimeDelta;
use serde_json::json;
use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::PathBuf;
use wormrota::clock;
use wormrota::desk::credentials::LinkFor;
use wormrota_domain::access::Role;

#[tokio::test]
async fn an_invitation_comes_in_the_receivers_language_with_a_token_that_works() {
    let post = PostOffice::with_folder().await;
    let ada = post.app.educator().await;
    post.app.site(&ada).await;
    let list = "name,email,role,language\nBegoña Núñez,begona@elm.example,resident,es\nCy,cy@elm.example,resident,\n";
    let letters = post.import(&ada, list).await;
    assert_eq!(post.send().await, 2);

    let spanish = post.letter(letters[0]);
    for part in [
        "To: =?utf-8?",
        "<begona@elm.example>\r\n",
        "From: Wormrota <no-reply@wormrota.invalid>\r\n",
        "Auto-Submitted: auto-generated\r\n",
        "Content-Type: multipart/alternative;",
        "Content-Type: text/plain; charset=utf-8\r\nContent-Transfer-Encoding: 8bit\r\n",
        "Content-Type: text/html; charset=utf-8\r\nContent-Transfer-Encoding: 8bit\r\n",
        "<html lang=\"es\">",
        "<p>Hola, Begoña Núñez.</p>",
        "width=device-width",
        "Hola, Begoña Núñez.",
        "Elm Court",
        "America/Chicago",
        "sirve una sola vez",
    ] {
        assert!(
            spanish.to_lowercase().contains(&part.to_lowercase()),
            "{part}: {spanish}"
        );
    }
    assert!(
        spanish.contains(&format!("Message-ID: <{}@wormrota.invalid>", letters[0])),
        "{spanish}"
    );
    let english = post.letter(letters[1]);
    assert!(english.contains("Hello, Cy."), "{english}");
    assert!(
        english.contains("Subject: Invitation to the worm bins of Elm Court\r\n"),
        "{english}"
    );
    let request = english
        .lines()
        .find(|line| line.starts_with("curl "))
        .unwrap();
    assert!(
        request.starts_with("curl https://bins.example.org/v1/invitations/accept -H"),
        "{request}"
    );
    let (_, rest) = request.split_once("{\"token\": \"").unwrap();
    let token = rest.split('"').next().unwrap();
    let links = &post.app.desk.credentials().links;
    let invitation = links.verify(LinkFor::Invitation, token).unwrap();
    let rows = post
        .app
        .rows(&format!(
            "SELECT name FROM invitations JOIN member_names USING (site_id, member_id)
             WHERE invitations.id = '{invitation}'"
        ))
        .await;
    assert_eq!(rows[0]["name"], "Cy");

    let mode = |path: PathBuf| fs::metadata(path).unwrap().permissions().mode() & 0o777;
    assert_eq!(mode(post.folder()), 0o700);
    assert_eq!(
        mode(post.folder().join(format!("{}.eml", letters[0]))),
        0o600
    );
    assert_eq!(fs::read_dir(post.folder()).unwrap().count(), 2);
    assert_eq!(post.state(letters[0]).await, ("sent".to_owned(), None));
    assert_eq!(post.send().await, 0);
}

#[tokio::test]
async fn links_for_a_password_and_for_signing_in_are_written_once_and_alike() {
    let post = PostOffice::with_folder().await;
    let bo = post.app.stranger().await;
    let links = &post.app.desk.credentials().links;
    let until = clock::wall() + TimeDelta::hours(1);
    for (kind, purpose, path) in [
        ("reset", LinkFor::Reset, "/v1/password_resets/use"),
        ("sign_in", LinkFor::SignIn, "/v1/sign_in_links/use"),
    ] {
        let (link, letter) = post.owe_link(&bo, kind, until).await;
        assert_eq!(post.send().await, 1);
        let first = post.letter(letter);
        assert!(first.contains(&format!("To: {}\r\n", bo.email)), "{first}");
        assert!(
            first.contains(&format!("curl https://bins.example.org{path} ")),
            "{first}"
        );
        assert!(first.contains(&links.token(purpose, link)), "{first}");
        // A copy that died after writing and before saying so: another writes it again.
        let again =
            format!("UPDATE letters SET state = 'owed', closed_at = NULL WHERE id = '{letter}'");
        post.app.sql(&again).await;
        assert_eq!(post.send().await, 1);
        assert_eq!(post.letter(letter), first);
    }
}

#[tokio::test]
async fn a_link_that_was_used_revoked_or_has_expired_is_not_written() {
    let post = PostOffice::with_folder().await;
    let bo = post.app.stranger().await;
    let until = clock::wall() + TimeDelta::hours(1);
    for change in [
        "used_at = created_at",
        "revoked_at = created_at",
        "expires_at = created_at + interval '1 microsecond'",
        "kind = 'sign_in'",
    ] {
        let (link, _) = post.owe_link(&bo, "reset", until).await;
        let sql = format!("UPDATE account_links SET {change} WHERE id = '{link}'");
        post.app.sql(&sql).await;
    }
    let (unknown, _) = post.owe_link(&bo, "sign_in", until).await;
    let sql = format!("DELETE FROM account_links WHERE id = '{unknown}'");
    post.app.sql(&sql).await;

    let ada = post.app.educator().await;
    post.app.site(&ada).await;
    let list = "name,email,role\nBo,bo@elm.example,resident\nCy,cy@elm.example,resident\n\
                Di,di@elm.example,resident\nEl,el@elm.example,resident\n";
    let letters = post.import(&ada, list).await;
    assert_eq!(letters.len(), 9);
    let nth = |n: u8| format!("(SELECT id FROM invitations ORDER BY id OFFSET {n} LIMIT 1)");
    let of = |n: u8| format!("(SELECT member_id FROM invitations ORDER BY id OFFSET {n} LIMIT 1)");
    for sql in [
        format!(
            "UPDATE invitations SET accepted_at = created_at WHERE id = {}",
            nth(0)
        ),
        format!(
            "UPDATE invitations SET revoked_at = created_at WHERE id = {}",
            nth(1)
        ),
        format!("DELETE FROM member_names WHERE member_id = {}", of(2)),
        format!(
            "UPDATE members SET left_at = joined_at WHERE id = {}",
            of(3)
        ),
    ] {
        post.app.sql(&sql).await;
    }
    assert_eq!(post.send().await, 0);
    for letter in letters {
        let state = post.state(letter).await;
        assert_eq!(state, ("not_wanted".to_owned(), None));
    }
    assert!(!post.folder().exists());
}

#[tokio::test]
async fn an_invitation_that_has_run_out_is_not_written() {
    let post = PostOffice::with_folder().await;
    let ada = post.app.educator().await;
    post.app.site(&ada).await;
    let letters = post
        .import(&ada, "name,email,role\nBo,bo@elm.example,resident\n")
        .await;
    assert_eq!(post.send_at(clock::wall() + TimeDelta::days(15)).await, 0);
    let state = post.state(letters[0]).await;
    assert_eq!(state, ("too_late".to_owned(), None));
    assert!(!post.folder().exists());
}

#[tokio::test]
async fn a_name_cannot_begin_a_header_and_no_address_is_logged() {
    let post = PostOffice::with_folder().await;
    let ada = post.app.educator().await;
    post.app.site(&ada).await;
    post.import(
        &ada,
        "name,email,role\nBo,spoonbill@reeds.example,resident\n",
    )
    .await;
    // Past the door, as if somebody had written to the database.
    post.app
        .sql(
            "UPDATE member_names SET name = E'Bo\\r\\nBcc: eve@evil.example' WHERE email_lower IS NOT NULL",
        )
        .await;
    assert_eq!(post.send().await, 1);
    let files: Vec<_> = fs::read_dir(post.folder()).unwrap().collect();
    let letter = fs::read_to_string(files[0].as_ref().unwrap().path()).unwrap();
    let (head, _) = letter.split_once("\r\n\r\n").unwrap();
    assert!(!head.to_lowercase().contains("\nbcc:"), "{head}");
    assert!(!logged().contains("spoonbill"));
}

/// Protects letters from a full disk, and the queue from rows that nobody can read.
#[tokio::test]
async fn a_letter_that_cannot_be_written_is_tried_again_and_one_that_nobody_can_read_is_not() {
    let post = PostOffice::with_folder().await;
    let bo = post.app.stranger().await;
    // Where the folder should be lies a file.
    fs::write(post.folder(), "in the way").unwrap();
    let mut now = clock::wall();
    let until = now + TimeDelta::hours(1);
    let (_, letter) = post.owe_link(&bo, "reset", until).await;
    for _ in 0..2 {
        assert_eq!(post.send_at(now).await, 0);
        let reason = Some("folder_not_written".to_owned());
        assert_eq!(post.state(letter).await, ("owed".to_owned(), reason));
        now += TimeDelta::minutes(5);
    }
    fs::remove_file(post.folder()).unwrap();
    assert_eq!(post.send_at(now).await, 1);
    assert_eq!(post.state(letter).await, ("sent".to_owned(), None));

    let (_, odd) = post.owe_link(&bo, "reset", until).await;
    let (_, next) = post.owe_link(&bo, "reset", until).await;
    let (_, newer) = post.owe_link(&bo, "reset", until).await;
    post.app
        .sql(&format!(
            "UPDATE letters SET payload = '{{}}' WHERE id = '{odd}';
             UPDATE letters SET kind = 'of_a_newer_copy' WHERE id = '{newer}'"
        ))
        .await;
    assert_eq!(post.send_at(now).await, 1);
    let unreadable = ("given_up".to_owned(), Some("unreadable".to_owned()));
    assert_eq!(post.state(odd).await, unreadable);
    assert_eq!(post.state(next).await, ("sent".to_owned(), None));
    assert_eq!(post.state(newer).await, ("owed".to_owned(), None));
}

/// Protects whoever booked room from carrying scraps to a bin that cannot take them, and from
/// word about what they gave back.
#[tokio::test]
async fn who_booked_room_that_is_gone_is_told_what_is_left() {
    let post = PostOffice::with_folder().await;
    let court = post.app.court().await;
    let holder = post.app.member(court.site, Role::Resident).await;
    let booking = json!({ "on_date": "2026-06-11", "amount_kg": 0.3 });
    let booked = post
        .app
        .post(&holder, &court.bin_at("/bookings"), &booking)
        .await;
    let booked = id_of(&booked.ok(201));
    let told = court.bin_at("/feedings/told");
    let too_much = weighed("usual-mix", 5.0);
    post.app
        .post(&court.resident, &told, &too_much)
        .await
        .ok(201);

    assert_eq!(post.send().await, 1);
    let owed = post.app.rows("SELECT id FROM letters").await;
    let letter = post.letter(id_of(&owed[0]));
    assert!(letter.contains(&format!("<{}>", holder.email)), "{letter}");
    for part in [
        "Subject: Less room for what you booked in the bin",
        "for Thursday, June 11: it can now take nothing of that.",
        "<p>Bring nothing that day, and ",
    ] {
        assert!(letter.contains(part), "{part}: {letter}");
    }
    assert!(!letter.contains("curl "), "{letter}");

    let again = "UPDATE letters SET state = 'owed', closed_at = NULL, due_at = created_at";
    post.app.sql(again).await;
    let path = court.bin_at(&format!("/bookings/{booked}"));
    assert_eq!(post.app.delete(&holder, &path).await.status, 204);
    assert_eq!(post.send().await, 0);
    let state = post.state(id_of(&owed[0])).await;
    assert_eq!(state, ("not_wanted".to_owned(), None));
}

#[tokio::test]
async fn a_letter_is_deleted_when_it_has_lain_for_its_days() {
    let post = PostOffice::with_folder().await;
    let now = clock::wall();
    assert_eq!(post.post.forget_old(now).await.unwrap(), 0);
    fs::create_dir(post.folder()).unwrap();
    for (name, days) in [("old.eml", 15), ("new.eml", 13)] {
        let file = fs::File::create(post.folder().join(name)).unwrap();
        file.set_modified((now - TimeDelta::days(days)).into())
            .unwrap();
    }
    assert_eq!(post.post.forget_old(now).await.unwrap(), 1);
    assert!(!post.folder().join("old.eml").exists());
    assert!(post.folder().join("new.eml").exists());
}
