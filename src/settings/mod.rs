//! Settings, in layers: the defaults compiled in, then a file, then the environment.
//!
//! A key that nobody knows and a value that cannot be meant stop the start with a sentence
//! that names the key, the value, what is expected and where it came from. Secrets come
//! only from the environment, or from a file in the data folder that only its owner can
//! read; no `Debug` output holds one.

mod database;
mod dkim;
mod error;
mod layers;
mod letters;
mod log;
mod networks;
mod people;
mod secret_file;
mod server;
mod sign_in;
mod signing_keys;
#[cfg(test)]
mod tests;

pub use database::{Database, DatabaseUrl};
pub use dkim::{Dkim, DkimKey};
pub use error::SettingsError;
pub use letters::{Letters, MailServer, Password, Tls};
pub use log::{Log, LogFormat};
pub use networks::Networks;
pub use people::People;
pub use server::Server;
pub use sign_in::SignIn;
pub use signing_keys::{SigningKey, SigningKeys};

use config::{Config, File, FileFormat, Value};
use layers::{env_layer, file_layer, flatten, read, refuse_unknown_keys, wrong, wrong_type};
use serde::Deserialize;
use std::collections::{BTreeMap, HashMap};
use std::path::PathBuf;
use wormrota_domain::living_bin::settings::ModelSettings;

/// The environment as the program found it, so that tests can bring their own.
pub type Env = HashMap<String, String>;

/// The defaults, with a comment on every key.
pub const DEFAULTS: &str = include_str!("../../config/default.toml");

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
        let own: Rule = (
            "data_folder",
            !self.data_folder.as_os_str().is_empty(),
            "the path of a folder",
        );
        let all = [own].into_iter().chain(self.server.rules());
        let all = all.chain(self.database.rules()).chain(self.sign_in.rules());
        let all = all.chain(self.people.rules()).chain(self.letters.rules());
        for (key, right, expected) in all {
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
