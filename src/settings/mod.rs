//! Settings, in layers: the defaults compiled in, then a file, then the environment.
//!
//! A key that nobody knows and a value that cannot be meant stop the start with a sentence
//! that names the key, the value, what is expected and where it came from. Secrets come
//! only from the environment, or from a file in the data folder that only its owner can
//! read; no `Debug` output holds one.

mod dkim;
mod letters;
mod networks;
mod secret_file;
mod signing_keys;

pub use dkim::{Dkim, DkimKey};
pub use letters::{Letters, MailServer, Password, Tls};
pub use networks::Networks;
pub use signing_keys::{SigningKey, SigningKeys};

use config::{Config, Environment, File, FileFormat, Map, Value, ValueKind};
use serde::Deserialize;
use std::collections::{BTreeMap, HashMap};
use std::fmt;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};
use wormrota_domain::living_bin::settings::ModelSettings;

/// The environment as the program found it, so that tests can bring their own.
pub type Env = HashMap<String, String>;

/// The defaults, with a comment on every key.
pub const DEFAULTS: &str = include_str!("../../config/default.toml");

/// The table whose keys only the domain knows: it refuses those it does not.
const OPEN_TABLE: &str = "living_bin.";

/// Why the settings cannot be used. Each is a sentence for whoever starts the service.
#[derive(Debug, thiserror::Error)]
pub enum SettingsError {
    /// A file or the environment names a key that does not exist.
    #[error("unknown setting `{key}` in {origin}; config/default.toml lists every key")]
    UnknownKey {
        /// The dotted key.
        key: String,
        /// Where it was found.
        origin: String,
    },
    /// A value has the wrong type or lies outside what can be meant.
    #[error("setting `{key}` is {value} (from {origin}); expected {expected}")]
    Wrong {
        /// The dotted key.
        key: String,
        /// What was found.
        value: String,
        /// Where it was found.
        origin: String,
        /// What would be right.
        expected: String,
    },
    /// A file cannot be read or is not TOML, or a layer cannot be merged.
    #[error("{0}")]
    Unreadable(String),
    /// The signing keys are missing, malformed or readable by others.
    #[error("signing keys: {0}")]
    SigningKeys(String),
    /// The mail server's password is missing, superfluous or readable by others.
    #[error("password of the mail server: {0}")]
    MailPassword(String),
    /// The key for signing letters is missing, superfluous, unusable or readable by others.
    #[error("key for signing letters: {0}")]
    DkimKey(String),
}

/// Everything the service can be told.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Settings {
    /// Where the service keeps what it must keep itself.
    pub data_folder: PathBuf,
    /// How requests are taken.
    pub server: Server,
    /// How the database is used.
    pub database: Database,
    /// Passwords and tokens.
    pub sign_in: SignIn,
    /// How people come and go.
    pub people: People,
    /// How letters are written and sent.
    pub letters: Letters,
    /// What is logged.
    pub log: Log,
    /// The constants of the living bin.
    pub living_bin: ModelSettings,
}

/// How requests are taken.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Server {
    /// Address and port to listen on.
    pub address: SocketAddr,
    /// Bytes that the body of a request may have.
    pub body_limit_bytes: usize,
    /// Seconds in which a request must have arrived in full.
    pub request_timeout_s: u64,
    /// Threads that answer requests; 0 takes one for each core.
    pub workers: usize,
    /// Seconds that running requests get to end.
    pub shutdown_timeout_s: u64,
    /// Requests in a minute from one account; 0 sets no limit.
    pub requests_per_minute: u32,
    /// Requests in a minute from one address that is not signed in; 0 sets no limit.
    pub anonymous_requests_per_minute: u32,
    /// The proxies whose word about addresses is taken.
    pub trusted_proxies: Networks,
}

/// How the database is used.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Database {
    /// The Postgres to use; without one the service runs its own. Only from `DATABASE_URL`.
    #[serde(skip)]
    pub url: Option<DatabaseUrl>,
    /// Connections that this copy keeps at most.
    pub pool_size: usize,
    /// Milliseconds to wait for a free connection.
    pub pool_wait_ms: u64,
    /// Milliseconds after which Postgres gives up on one statement.
    pub statement_timeout_ms: u64,
}

/// Passwords and tokens.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SignIn {
    /// Minutes that an access token is good for.
    pub access_token_minutes: u32,
    /// Memory of one password hash, in KiB.
    pub argon2_memory_kib: u32,
    /// Passes of one password hash.
    pub argon2_iterations: u32,
    /// Lanes of one password hash.
    pub argon2_lanes: u32,
    /// Passwords hashed at the same time.
    pub password_slots: usize,
    /// Days in which a refresh token must be used.
    pub refresh_token_days: u32,
    /// Days after which a session ends whatever happens.
    pub session_days: u32,
    /// Minutes that a link for setting a new password is good for.
    pub reset_minutes: u32,
    /// Minutes that a link for signing in is good for.
    pub link_minutes: u32,
    /// Wrong passwords for one account from one address in a quarter of an hour; 0 sets no
    /// limit.
    pub wrong_passwords_here: u32,
    /// Wrong passwords for one account in a day from where it was never signed in to; 0 sets
    /// no limit.
    pub wrong_passwords_elsewhere: u32,
    /// Wrong passwords from one address in an hour for accounts that were never signed in to
    /// from there; 0 sets no limit.
    pub wrong_passwords_from_address: u32,
    /// Letters with a link to one typed address in ten minutes; 0 sets no limit.
    pub letters_to_address: u32,
    /// Letters with a link asked for from one address in an hour; 0 sets no limit.
    pub letters_from_address: u32,
}

/// How people come and go.
#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct People {
    /// Days that an invitation can be accepted.
    pub invitation_days: u32,
    /// Days that a printed slip can be used.
    pub slip_days: u32,
    /// Hours after which the deputy gets what nobody has answered.
    pub deputy_after_hours: u32,
    /// Lines that a list of people may have besides its header.
    pub import_most_lines: usize,
    /// Bytes that such a list may have.
    pub import_limit_bytes: usize,
}

/// What is logged and how.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Log {
    /// For people or for machines.
    pub format: LogFormat,
    /// A level or target=level pairs.
    pub filter: String,
}

/// The form of a log line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum LogFormat {
    /// A line for people.
    Text,
    /// One JSON object a line.
    Json,
}

/// The address of a database, which may hold a password: it never prints it.
#[derive(Clone, PartialEq, Eq)]
pub struct DatabaseUrl(String);

impl DatabaseUrl {
    /// Takes a connection string as tokio-postgres reads it.
    #[must_use]
    pub fn new(url: impl Into<String>) -> Self {
        Self(url.into())
    }

    /// The whole address, for connecting.
    #[must_use]
    pub fn reveal(&self) -> &str {
        &self.0
    }
}

impl fmt::Debug for DatabaseUrl {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("DatabaseUrl(hidden)")
    }
}

impl People {
    fn rules(self) -> [(&'static str, bool, &'static str); 5] {
        [
            (
                "people.invitation_days",
                (1..=60).contains(&self.invitation_days),
                "1 to 60 days",
            ),
            (
                "people.slip_days",
                (1..=60).contains(&self.slip_days),
                "1 to 60 days",
            ),
            (
                "people.deputy_after_hours",
                (1..=720).contains(&self.deputy_after_hours),
                "1 to 720 hours",
            ),
            (
                "people.import_most_lines",
                (1..=20_000).contains(&self.import_most_lines),
                "1 to 20000 lines",
            ),
            (
                "people.import_limit_bytes",
                (1_024..=16_777_216).contains(&self.import_limit_bytes),
                "1024 to 16777216 bytes",
            ),
        ]
    }
}

impl Settings {
    /// Reads the layers.
    ///
    /// # Errors
    /// A sentence for whoever starts the service; see [`SettingsError`].
    pub fn load(env: &Env) -> Result<Self, SettingsError> {
        let defaults =
            read(Config::builder().add_source(File::from_str(DEFAULTS, FileFormat::Toml)))?;
        let environment = read(Config::builder().add_source(env_layer(env)))?;
        let file = file_layer(env, &defaults, &environment)?;

        let known: BTreeMap<String, Value> = flatten(&defaults).into_iter().collect();
        for layer in [file.as_ref(), Some(&environment)].into_iter().flatten() {
            refuse_unknown_keys(layer, &known)?;
        }

        let mut builder = Config::builder().add_source(defaults);
        if let Some(file) = file {
            builder = builder.add_source(file);
        }
        let merged = read(builder.add_source(environment))?;
        let mut settings: Self = merged
            .clone()
            .try_deserialize()
            .map_err(|error| wrong_type(&merged, error))?;
        settings.database.url = env
            .get("DATABASE_URL")
            .filter(|url| !url.is_empty())
            .map(DatabaseUrl::new);
        settings.check(&merged)?;
        settings.letters.smtp.password = Password::load(env, &settings.data_folder)?;
        settings.letters.smtp.check()?;
        settings.letters.dkim.key = DkimKey::load(env, &settings.data_folder)?;
        settings.letters.dkim.check()?;
        Ok(settings)
    }

    /// The rules that types cannot hold.
    fn check(&self, merged: &Config) -> Result<(), SettingsError> {
        let rules: [Rule; 8] = [
            (
                "data_folder",
                !self.data_folder.as_os_str().is_empty(),
                "the path of a folder",
            ),
            (
                "server.body_limit_bytes",
                (1_024..=16_777_216).contains(&self.server.body_limit_bytes),
                "1024 to 16777216 bytes",
            ),
            (
                "server.request_timeout_s",
                (1..=600).contains(&self.server.request_timeout_s),
                "1 to 600 seconds",
            ),
            (
                "server.workers",
                self.server.workers <= 256,
                "0 (one for each core) to 256",
            ),
            (
                "server.shutdown_timeout_s",
                self.server.shutdown_timeout_s <= 600,
                "0 to 600 seconds",
            ),
            (
                "database.pool_size",
                (1..=500).contains(&self.database.pool_size),
                "1 to 500 connections",
            ),
            (
                "database.pool_wait_ms",
                (10..=60_000).contains(&self.database.pool_wait_ms),
                "10 to 60000 milliseconds",
            ),
            (
                "database.statement_timeout_ms",
                (100..=600_000).contains(&self.database.statement_timeout_ms),
                "100 to 600000 milliseconds",
            ),
        ];
        let people = self.people.rules();
        let all = rules.into_iter().chain(self.sign_in.rules());
        for (key, right, expected) in all.chain(people).chain(self.letters.rules()) {
            if !right {
                return Err(wrong(merged, key, expected));
            }
        }
        if let Err(error) = self.living_bin.clone().checked() {
            let expected = format!("{} to {}", error.least, error.most);
            return Err(wrong(
                merged,
                &format!("living_bin.{}", error.name),
                &expected,
            ));
        }
        if let Err(error) = crate::telemetry::check_filter(&self.log.filter) {
            return Err(wrong(
                merged,
                "log.filter",
                &format!("a level or target=level pairs ({error})"),
            ));
        }
        Ok(())
    }
}

/// A key, whether its value can be meant, and what is expected.
type Rule = (&'static str, bool, &'static str);

impl SignIn {
    /// The rules that types cannot hold.
    fn rules(&self) -> [Rule; 9] {
        [
            (
                "sign_in.access_token_minutes",
                (1..=60).contains(&self.access_token_minutes),
                "1 to 60 minutes",
            ),
            (
                "sign_in.password_slots",
                (1..=64).contains(&self.password_slots),
                "1 to 64 passwords at a time",
            ),
            (
                "sign_in.argon2_lanes",
                (1..=16).contains(&self.argon2_lanes),
                "1 to 16 lanes",
            ),
            // OWASP, Password Storage Cheat Sheet: Argon2id with at least 19 MiB, 2 passes, 1 lane.
            (
                "sign_in.argon2_memory_kib",
                (19_456..=1_048_576).contains(&self.argon2_memory_kib),
                "19456 to 1048576 KiB",
            ),
            (
                "sign_in.argon2_iterations",
                (2..=32).contains(&self.argon2_iterations),
                "2 to 32 passes",
            ),
            (
                "sign_in.refresh_token_days",
                (1..=self.session_days).contains(&self.refresh_token_days),
                "1 day to sign_in.session_days",
            ),
            (
                "sign_in.session_days",
                (1..=730).contains(&self.session_days),
                "1 to 730 days",
            ),
            (
                "sign_in.reset_minutes",
                (5..=1_440).contains(&self.reset_minutes),
                "5 to 1440 minutes",
            ),
            (
                "sign_in.link_minutes",
                (1..=60).contains(&self.link_minutes),
                "1 to 60 minutes",
            ),
        ]
    }
}

/// Builds one layer.
fn read(
    builder: config::ConfigBuilder<config::builder::DefaultState>,
) -> Result<Config, SettingsError> {
    builder
        .build()
        .map_err(|error| SettingsError::Unreadable(format!("cannot read the settings: {error}")))
}

fn env_layer(env: &Env) -> Environment {
    Environment::with_prefix("WORMROTA")
        .prefix_separator("__")
        .separator("__")
        .try_parsing(true)
        .source(Some(
            env.iter().map(|(k, v)| (k.clone(), v.clone())).collect(),
        ))
}

/// The file named by `WORMROTA_CONFIG`, which must exist, or the data folder's, which may.
fn file_layer(
    env: &Env,
    defaults: &Config,
    environment: &Config,
) -> Result<Option<Config>, SettingsError> {
    let path = if let Some(named) = env.get("WORMROTA_CONFIG").filter(|path| !path.is_empty()) {
        PathBuf::from(named)
    } else {
        let folder = environment
            .get_string("data_folder")
            .or_else(|_| defaults.get_string("data_folder"))
            .map_err(|error| wrong_type(defaults, error))?;
        let path = Path::new(&folder).join("wormrota.toml");
        if !path.exists() {
            return Ok(None);
        }
        path
    };
    Config::builder()
        .add_source(File::from(path.as_path()).format(FileFormat::Toml))
        .build()
        .map(Some)
        .map_err(|error| {
            SettingsError::Unreadable(format!(
                "cannot read the settings file {}: {error}",
                path.display()
            ))
        })
}

/// Dotted keys and their values, tables taken apart.
fn flatten(config: &Config) -> Vec<(String, Value)> {
    let mut found = Vec::new();
    if let ValueKind::Table(table) = &config.cache.kind {
        flatten_table("", table, &mut found);
    }
    found
}

fn flatten_table(prefix: &str, table: &Map<String, Value>, found: &mut Vec<(String, Value)>) {
    for (name, value) in table {
        let key = if prefix.is_empty() {
            name.clone()
        } else {
            format!("{prefix}.{name}")
        };
        match &value.kind {
            ValueKind::Table(inner) => flatten_table(&key, inner, found),
            _ => found.push((key, value.clone())),
        }
    }
}

fn refuse_unknown_keys(
    layer: &Config,
    known: &BTreeMap<String, Value>,
) -> Result<(), SettingsError> {
    for (key, value) in flatten(layer) {
        if !known.contains_key(&key) && !key.starts_with(OPEN_TABLE) {
            return Err(SettingsError::UnknownKey {
                key,
                origin: origin(value.origin()),
            });
        }
    }
    Ok(())
}

/// Where a value came from, in words.
fn origin(from: Option<&str>) -> String {
    match from {
        None => "the defaults".to_owned(),
        Some("the environment") => "the environment".to_owned(),
        Some(path) => format!("the file {path}"),
    }
}

fn wrong(merged: &Config, key: &str, expected: &str) -> SettingsError {
    let value = flatten(merged)
        .into_iter()
        .find(|(found, _)| found == key)
        .map(|(_, value)| value);
    SettingsError::Wrong {
        key: key.to_owned(),
        value: value
            .as_ref()
            .map_or_else(|| "missing".to_owned(), |value| format!("`{value}`")),
        origin: origin(value.as_ref().and_then(Value::origin)),
        expected: expected.to_owned(),
    }
}

/// Turns the configuration crate's errors into ours: it knows the key, we know the rest.
fn wrong_type(merged: &Config, error: config::ConfigError) -> SettingsError {
    let (key, expected) = match error {
        config::ConfigError::Type {
            key: Some(key),
            expected,
            ..
        } => (key, expected.to_owned()),
        config::ConfigError::At {
            key: Some(key),
            error,
            ..
        } => (key, error.to_string()),
        other => return SettingsError::Unreadable(format!("cannot use the settings: {other}")),
    };
    let expected = match key.as_str() {
        "server.address" => "an address with a port, such as 127.0.0.1:8080",
        "log.format" => "text or json",
        "server.trusted_proxies" => "addresses such as 10.0.0.7 or 10.0.0.0/8, with commas",
        _ => &expected,
    };
    wrong(merged, &key, expected)
}

#[cfg(test)]
mod tests {
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
        let settings =
            Settings::load(&env(&[("WORMROTA__LIVING_BIN__UNEATEN_DAYS", "6")])).unwrap();
        assert!((settings.living_bin.uneaten_days - 6.0).abs() < 1e-12);
        let said = refusal(&[("WORMROTA__LIVING_BIN__APPETITE", "9")]);
        assert!(said.contains("appetite"), "{said}");
    }

    #[test]
    fn a_named_file_that_is_missing_or_no_toml_stops_the_start() {
        assert!(
            refusal(&[("WORMROTA_CONFIG", "/nonexistent/x.toml")]).contains("/nonexistent/x.toml")
        );
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
}
