//! A site in a Postgres that keeps what was committed, and people to write to.

use diesel::QueryableByName;
use diesel::sql_types::BigInt;
use diesel_async::{AsyncConnection, AsyncPgConnection, RunQueryDsl, SimpleAsyncConnection};
use std::collections::HashMap;
use std::fmt::Write as _;
use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use tempfile::TempDir;
use tokio::runtime::Runtime;
use wormrota::clock::{self, Clock};
use wormrota::desk::add_account::{NewAccount, add_account};
use wormrota::desk::credentials::Credentials;
use wormrota::desk::import_people::{Import, import_people};
use wormrota::desk::open_site::{NewSite, open_site};
use wormrota::desk::{Desk, Errand};
use wormrota::private_postgres::{DATABASE, Durability, PrivatePostgres};
use wormrota::settings::{DatabaseUrl, Env, Settings, SigningKeys};
use wormrota::store::{Store, migrate};
use wormrota_domain::food::Paper;
use wormrota_domain::ids::{AccountId, SiteId};
use wormrota_domain::site::{Language, UnitSystem};

/// Lines of one list of people.
const LINES: usize = 2_000;

pub(crate) struct Ground {
    postgres: Arc<PrivatePostgres>,
    folder: Arc<TempDir>,
    url: DatabaseUrl,
    pub(crate) settings: Settings,
    pub(crate) desk: Desk,
    site: SiteId,
    educator: AccountId,
    invited: AtomicUsize,
}

#[derive(QueryableByName)]
struct Figure {
    #[diesel(sql_type = BigInt)]
    figure: i64,
}

impl Ground {
    pub(crate) fn lay(runtime: &Runtime) -> Self {
        let folder = tempfile::Builder::new()
            .prefix("wormrota-letters-")
            .tempdir()
            .unwrap();
        // Postgres may run as another account than this one.
        fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o755)).unwrap();
        let place = folder.path().join("postgres");
        let postgres = PrivatePostgres::start(&place, Durability::Kept).unwrap();
        let url = DatabaseUrl::new(postgres.url(DATABASE));
        migrate::up(&url).unwrap();
        let (settings, desk) = {
            let _entered = runtime.enter();
            desk(&url, folder.path())
        };
        let (site, educator) = runtime.block_on(open(&desk));
        Self {
            postgres: Arc::new(postgres),
            folder: Arc::new(folder),
            url,
            settings,
            desk,
            site,
            educator,
            invited: AtomicUsize::new(0),
        }
    }

    pub(crate) fn folder(&self) -> &Path {
        self.folder.path()
    }

    /// The same with connections of its own, whose statements Postgres logs.
    pub(crate) async fn watched(&self) -> Self {
        let mut conn = self.connection().await;
        conn.batch_execute(&format!(
            "ALTER DATABASE {DATABASE} SET log_statement = 'all'"
        ))
        .await
        .unwrap();
        let (settings, desk) = desk(&self.url, self.folder());
        Self {
            postgres: Arc::clone(&self.postgres),
            folder: Arc::clone(&self.folder),
            url: self.url.clone(),
            settings,
            desk,
            site: self.site,
            educator: self.educator,
            invited: AtomicUsize::new(AtomicUsize::load(&self.invited, Ordering::Relaxed)),
        }
    }

    /// What Postgres has logged.
    pub(crate) fn log(&self) -> String {
        fs::read_to_string(self.postgres.log_file()).unwrap()
    }

    /// Owes letters to so many new people.
    pub(crate) async fn invite(&self, people: usize) {
        let mut left = people;
        while left > 0 {
            let lines = left.min(LINES);
            let first = self.invited.fetch_add(lines, Ordering::Relaxed);
            let mut list = "name,email,role\n".to_owned();
            for n in first..first + lines {
                writeln!(list, "Resident {n},r{n}@elm.example,resident").unwrap();
            }
            let import = Import {
                bytes: list.into_bytes(),
                classes_end_on: None,
            };
            let errand = errand(self.educator);
            let done = import_people(&self.desk, errand, self.site, import).await;
            assert_eq!(done.unwrap().invited, lines);
            left -= lines;
        }
        let mut conn = self.connection().await;
        for statement in ["VACUUM ANALYZE", "CHECKPOINT"] {
            conn.batch_execute(statement).await.unwrap();
        }
    }

    /// Transactions that the database has committed.
    pub(crate) async fn transactions(&self) -> i64 {
        // What each connection counts comes together within a second or two.
        tokio::time::sleep(std::time::Duration::from_secs(2)).await;
        let mut conn = self.connection().await;
        let query = format!(
            "SELECT xact_commit AS figure FROM pg_stat_database WHERE datname = '{DATABASE}'"
        );
        let rows: Vec<Figure> = diesel::sql_query(query).load(&mut conn).await.unwrap();
        rows[0].figure
    }

    pub(crate) fn leave(self) {
        drop(self.desk);
        Arc::into_inner(self.postgres).unwrap().stop().unwrap();
    }

    async fn connection(&self) -> AsyncPgConnection {
        AsyncPgConnection::establish(self.url.reveal())
            .await
            .unwrap()
    }
}

/// Settings as they come out of the box.
fn desk(url: &DatabaseUrl, folder: &Path) -> (Settings, Desk) {
    let data: PathBuf = folder.join("data");
    fs::create_dir_all(&data).unwrap();
    let env: Env = HashMap::from([(
        "WORMROTA__DATA_FOLDER".to_owned(),
        data.to_str().unwrap().to_owned(),
    )]);
    let settings = Settings::load(&env).unwrap();
    let keys = SigningKeys::load(&env, &data).unwrap();
    let store = Store::connect(url, &settings.database).unwrap();
    let desk = Desk::new(
        store,
        Clock::System,
        Credentials::new(&settings.sign_in, &keys).unwrap(),
        settings.living_bin.clone(),
        settings.people,
    );
    (settings, desk)
}

fn errand(account: AccountId) -> Errand {
    Errand {
        account,
        now: clock::wall(),
        ticket: None,
    }
}

async fn open(desk: &Desk) -> (SiteId, AccountId) {
    let educator = NewAccount {
        email: "ada@elm.example".to_owned(),
        password: "nine red wigglers".to_owned(),
        is_educator: true,
        member: None,
    };
    let educator = add_account(desk, educator, clock::wall()).await.unwrap();
    let site = NewSite {
        name: "Elm Court".to_owned(),
        zone: "America/Chicago".to_owned(),
        units: UnitSystem::Us,
        language: Language::English,
        paper: Paper::Letter,
        is_school: false,
        monthly_air_c: None,
        scrap_outlets: Vec::new(),
        my_name: "Ada".to_owned(),
    };
    let site = open_site(desk, errand(educator), site).await.unwrap();
    (site, educator)
}
