//! What most commands stand on: settings, logging, a database and threads.

use super::Stopped;
use crate::clock::Clock;
use crate::desk::Desk;
use crate::desk::credentials::Credentials;
use crate::private_postgres::{DATABASE, Durability, PrivatePostgres};
use crate::settings::{DatabaseUrl, Env, Settings, SigningKeys};
use crate::store::{Store, migrate};
use crate::telemetry;
use std::path::{Path, PathBuf};
use tokio::runtime::Runtime;

/// The parts in the order in which they are put together. The private Postgres is stopped
/// by [`Ground::leave`], after everything that uses it.
#[derive(Debug)]
pub struct Ground {
    /// What the service was told.
    pub settings: Settings,
    /// Where the database is.
    pub url: DatabaseUrl,
    /// The threads that work with the database.
    pub runtime: Runtime,
    keys: SigningKeys,
    postgres: Option<PrivatePostgres>,
}

impl Ground {
    /// Reads the settings, starts logging, and starts a private Postgres in the data
    /// folder when `DATABASE_URL` names no other.
    ///
    /// # Errors
    /// A sentence that says what to do.
    pub fn enter(env: &Env) -> Result<Self, Stopped> {
        Self::prepare(Settings::load(env)?, env)
    }

    /// The same with everything in a folder of its own within the data folder: a private
    /// Postgres whatever `DATABASE_URL` says, keys of its own, and no mail server.
    ///
    /// # Errors
    /// A sentence that says what to do.
    pub fn enter_apart(env: &Env, folder: &str) -> Result<Self, Stopped> {
        let mut settings = Settings::load(env)?;
        settings.data_folder.push(folder);
        settings.database.url = None;
        // Nobody is written to from there: letters go into the folder.
        settings.letters.smtp.host.clear();
        // A year can go by within an hour there.
        settings.letters.to_one_address_per_hour = 0;
        let mut env = env.clone();
        env.remove(SigningKeys::VARIABLE);
        Self::prepare(settings, &env)
    }

    fn prepare(settings: Settings, env: &Env) -> Result<Self, Stopped> {
        telemetry::start(&settings.log)?;
        // With both given from outside nothing is kept here, and the folder may be one that
        // cannot be written.
        let needed = settings.database.url.is_none() || SigningKeys::are_made_here(env);
        let folder = if needed {
            made(&settings.data_folder)?
        } else {
            settings.data_folder.clone()
        };
        let keys = SigningKeys::load(env, &folder)?;
        let (url, postgres) = if let Some(url) = &settings.database.url {
            (url.clone(), None)
        } else {
            let postgres = PrivatePostgres::start(&folder.join("postgres"), Durability::Kept)?;
            (DatabaseUrl::new(postgres.url(DATABASE)), Some(postgres))
        };
        let runtime = tokio::runtime::Builder::new_multi_thread()
            .enable_all()
            .thread_name("store")
            .build()?;
        Ok(Self {
            settings,
            url,
            runtime,
            keys,
            postgres,
        })
    }

    /// Puts the use cases together. Connects only when a connection is wanted.
    ///
    /// # Errors
    /// A sentence that says what to do.
    pub fn desk(&self, clock: Clock) -> Result<Desk, Stopped> {
        let _entered = self.runtime.enter();
        let store = Store::connect(&self.url, &self.settings.database)?;
        let credentials = Credentials::new(&self.settings.sign_in, &self.keys)?;
        Ok(Desk::new(
            store,
            clock,
            credentials,
            self.settings.living_bin.clone(),
            self.settings.people,
        ))
    }

    /// Brings the database up to date; says which migrations that took.
    ///
    /// # Errors
    /// A sentence that says what to do.
    pub fn migrate(&self) -> Result<Vec<String>, Stopped> {
        Ok(migrate::up(&self.url)?)
    }

    /// Refuses to go on with a database that is not up to date.
    ///
    /// # Errors
    /// A sentence that says what to do.
    pub fn insist_on_migrations(&self) -> Result<(), Stopped> {
        let pending = migrate::pending(&self.url)?;
        if pending.is_empty() {
            return Ok(());
        }
        Err(format!(
            "the database lacks {}; run `wormrota migrate` first",
            pending.join(", ")
        )
        .into())
    }

    /// Stops what was started, the database last.
    ///
    /// # Errors
    /// When the private Postgres does not end.
    pub fn leave(self) -> Result<(), Stopped> {
        drop(self.runtime);
        if let Some(postgres) = self.postgres {
            postgres.stop()?;
        }
        Ok(())
    }
}

/// Makes the data folder and gives its whole path, which the database's server needs.
fn made(folder: &Path) -> Result<PathBuf, Stopped> {
    let cannot =
        |error: std::io::Error| format!("cannot use the data folder {}: {error}", folder.display());
    std::fs::create_dir_all(folder).map_err(cannot)?;
    Ok(folder.canonicalize().map_err(cannot)?)
}
