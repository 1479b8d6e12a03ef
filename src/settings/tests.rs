//! Tests of the settings as a whole.

use super::*;

fn env(pairs: &[(&str, &str)]) -> Env {
    let mut env: Env = pairs
        .iter()
        .map(|(key, value)| ((*key).to_owned(), (*value).to_owned()))
        .collect();
    env.entry("WORMROTA__DATA_FOLDER".to_owned())
        .or_insert_with(|| "/nonexistent".to_owned());
    env
}

fn refusal(pairs: &[(&str, &str)]) -> String {
    Settings::load(&env(pairs)).unwrap_err().to_string()
}

#[test]
fn the_defaults_alone_are_enough() {
    let settings = Settings::load(&env(&[])).unwrap();
    assert_eq!(settings.server.address.port(), 8080);
    assert_eq!(settings.sign_in.password_slots, 2);
    assert_eq!(settings.database.url, None);
}

#[test]
fn the_environment_wins_over_the_file_and_the_file_over_the_defaults() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("wormrota.toml");
    std::fs::write(&file, "[database]\npool_size = 3\n[server]\nworkers = 4\n").unwrap();
    let settings = Settings::load(&env(&[
        ("WORMROTA_CONFIG", file.to_str().unwrap()),
        ("WORMROTA__SERVER__WORKERS", "5"),
    ]))
    .unwrap();
    assert_eq!(settings.database.pool_size, 3);
    assert_eq!(settings.server.workers, 5);
    assert_eq!(settings.sign_in.access_token_minutes, 15);
}

#[test]
fn the_file_of_the_data_folder_is_found_without_being_named() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(
        folder.path().join("wormrota.toml"),
        "[server]\nworkers = 7\n",
    )
    .unwrap();
    let settings = Settings::load(&env(&[(
        "WORMROTA__DATA_FOLDER",
        folder.path().to_str().unwrap(),
    )]))
    .unwrap();
    assert_eq!(settings.server.workers, 7);
}

#[test]
fn an_unknown_key_stops_the_start_and_is_named_with_its_origin() {
    let said = refusal(&[("WORMROTA__SERVER__ADRESS", "127.0.0.1:1")]);
    assert!(said.contains("`server.adress`"), "{said}");
    assert!(said.contains("the environment"), "{said}");

    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("mine.toml");
    std::fs::write(&file, "pool = 3\n").unwrap();
    let said = refusal(&[("WORMROTA_CONFIG", file.to_str().unwrap())]);
    assert!(
        said.contains("`pool`") && said.contains("mine.toml"),
        "{said}"
    );
}

#[test]
fn a_wrong_value_is_named_with_what_is_expected() {
    for (key, value, dotted, expected) in [
        (
            "WORMROTA__DATABASE__POOL_SIZE",
            "0",
            "database.pool_size",
            "1 to 500",
        ),
        (
            "WORMROTA__DATABASE__POOL_SIZE",
            "many",
            "database.pool_size",
            "expected",
        ),
        (
            "WORMROTA__DATABASE__POOL_SIZE",
            "-3",
            "database.pool_size",
            "expected",
        ),
        (
            "WORMROTA__SIGN_IN__ARGON2_MEMORY_KIB",
            "1024",
            "sign_in.argon2_memory_kib",
            "19456",
        ),
        (
            "WORMROTA__SIGN_IN__ARGON2_ITERATIONS",
            "1",
            "sign_in.argon2_iterations",
            "2 to 32",
        ),
        (
            "WORMROTA__SERVER__ADDRESS",
            "everywhere",
            "server.address",
            "expected",
        ),
        (
            "WORMROTA__PEOPLE__IMPORT_MOST_LINES",
            "0",
            "people.import_most_lines",
            "1 to 20000",
        ),
        (
            "WORMROTA__PEOPLE__INVITATION_DAYS",
            "61",
            "people.invitation_days",
            "1 to 60",
        ),
        (
            "WORMROTA__PEOPLE__SLIP_DAYS",
            "0",
            "people.slip_days",
            "1 to 60",
        ),
        (
            "WORMROTA__PEOPLE__DEPUTY_AFTER_HOURS",
            "0",
            "people.deputy_after_hours",
            "1 to 720",
        ),
        ("WORMROTA__LOG__FORMAT", "xml", "log.format", "expected"),
        (
            "WORMROTA__LOG__FILTER",
            "wormrota=loud",
            "log.filter",
            "level",
        ),
    ] {
        names_what_is_expected(key, value, dotted, expected);
    }
}

#[test]
fn a_wrong_value_for_letters_is_named_with_what_is_expected() {
    for (key, value, dotted, expected) in [
        (
            "WORMROTA__LETTERS__PUBLIC_URL",
            "bins.example.org",
            "letters.public_url",
            "http",
        ),
        (
            "WORMROTA__LETTERS__FROM",
            "nobody",
            "letters.from",
            "address",
        ),
        (
            "WORMROTA__LETTERS__SMTP__HOST",
            "mail.example.org:587",
            "letters.smtp.host",
            "mail server",
        ),
        (
            "WORMROTA__LETTERS__SMTP__PORT",
            "0",
            "letters.smtp.port",
            "1 to 65535",
        ),
        (
            "WORMROTA__LETTERS__SMTP__TLS",
            "maybe",
            "letters.smtp.tls",
            "expected",
        ),
        (
            "WORMROTA__LETTERS__SMTP__TIMEOUT_S",
            "61",
            "letters.smtp.timeout_s",
            "1 to 60",
        ),
        (
            "WORMROTA__LETTERS__SMTP__CONNECTIONS",
            "0",
            "letters.smtp.connections",
            "1 to 32",
        ),
    ] {
        names_what_is_expected(key, value, dotted, expected);
    }
}

fn names_what_is_expected(key: &str, value: &str, dotted: &str, expected: &str) {
    let said = refusal(&[(key, value)]);
    for part in [dotted, expected, "environment"] {
        assert!(said.contains(part), "{key}={value}: {said}");
    }
}

#[test]
fn constants_of_the_model_can_be_set_and_unknown_ones_are_refused() {
    let settings = Settings::load(&env(&[("WORMROTA__LIVING_BIN__UNEATEN_DAYS", "6")])).unwrap();
    assert!((settings.living_bin.uneaten_days - 6.0).abs() < 1e-12);
    let said = refusal(&[("WORMROTA__LIVING_BIN__APPETITE", "9")]);
    assert!(said.contains("appetite"), "{said}");
}

#[test]
fn a_named_file_that_is_missing_or_no_toml_stops_the_start() {
    assert!(refusal(&[("WORMROTA_CONFIG", "/nonexistent/x.toml")]).contains("/nonexistent/x.toml"));
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("broken.toml");
    std::fs::write(&file, "[server\n").unwrap();
    assert!(refusal(&[("WORMROTA_CONFIG", file.to_str().unwrap())]).contains("broken.toml"));
}

#[test]
fn the_password_of_the_database_is_never_printed() {
    let settings = Settings::load(&env(&[(
        "DATABASE_URL",
        "postgres://app:heron-password@db/wormrota",
    )]))
    .unwrap();
    assert!(!format!("{settings:?}").contains("heron-password"));
    assert!(
        settings
            .database
            .url
            .unwrap()
            .reveal()
            .contains("heron-password")
    );
}

#[test]
fn every_default_has_a_comment() {
    let mut commented = false;
    for line in DEFAULTS.lines() {
        if line.contains(" = ") && !line.starts_with('#') {
            let group = line.starts_with("argon2_");
            assert!(commented || group, "no comment above: {line}");
            commented = false;
        } else {
            commented = line.starts_with('#');
        }
    }
}
