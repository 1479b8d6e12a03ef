//! A Postgres that keeps what was committed, a service in a process of its own, and people
//! with bins to feed.

use chrono::{DateTime, TimeDelta, Utc};
use futures_util::FutureExt;
use futures_util::future::join_all;
use nix::sys::signal::{Signal, kill};
use nix::unistd::Pid;
use std::collections::HashMap;
use std::fs::{self, File};
use std::io::{BufRead, BufReader};
use std::net::TcpListener;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use tempfile::TempDir;
use wormrota::clock::{self, Clock};
use wormrota::desk::add_account::{NewAccount, NewMember, add_account};
use wormrota::desk::add_bin::{NewBin, add_bin};
use wormrota::desk::credentials::{Bearer, Credentials};
use wormrota::desk::offers::{Amount, Item};
use wormrota::desk::open_site::{NewSite, open_site};
use wormrota::desk::stock_bin::{Stocking, stock_bin};
use wormrota::desk::tell::{Telling, tell};
use wormrota::desk::{Desk, Errand};
use wormrota::private_postgres::{DATABASE, Durability, PrivatePostgres};
use wormrota::settings::{DatabaseUrl, Env, Settings, SigningKeys};
use wormrota::store::sessions::{self, SessionRow};
use wormrota::store::{Store, migrate};
use wormrota_domain::access::Role;
use wormrota_domain::food::Paper;
use wormrota_domain::ids::{AccountId, BinId, SessionId, SiteId};
use wormrota_domain::site::{Language, Spot, UnitSystem, Vessel};
use wormrota_domain::units::Grams;

/// People who feed at the same time.
pub(crate) const PEOPLE: usize = 64;
/// What every bin holds, litres; large, so that other rules bind first.
pub(crate) const VOLUME_L: f64 = 400.0;

/// A bin to feed.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Bin {
    pub(crate) id: BinId,
    pub(crate) surface_cm2: i32,
}

/// What everything stands on.
pub(crate) struct Ground {
    // Before the folder that it works on.
    postgres: Option<PrivatePostgres>,
    folder: TempDir,
    pub(crate) url: DatabaseUrl,
    pub(crate) address: String,
    pub(crate) desk: Desk,
    pub(crate) site: SiteId,
    pub(crate) bins: Vec<Bin>,
    pub(crate) people: Vec<AccountId>,
}

impl Ground {
    /// Lays the ground for so many kills of each.
    pub(crate) async fn lay(kills: u64) -> Self {
        let folder = scratch();
        let postgres = start_postgres(folder.path()).await;
        let url = DatabaseUrl::new(postgres.url(DATABASE));
        let migrated = url.clone();
        tokio::task::spawn_blocking(move || migrate::up(&migrated).unwrap())
            .await
            .unwrap();
        let desk = desk(&url);
        let (site, educator) = open(&desk).await;
        let people = join_all((0..PEOPLE).map(|n| join(&desk, site, n))).await;
        // Enough room for the whole run, and small bins that fill up on the way.
        let large = 3 + kills / 4;
        let surfaces = (0..large).map(|_| 25_000).chain([1_600, 1_600, 900]);
        let mut bins = Vec::new();
        for surface_cm2 in surfaces {
            bins.push(stocked_bin(&desk, educator, site, surface_cm2).await);
        }
        // A free port, so that the service comes back where people look for it.
        let free = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = free.local_addr().unwrap().to_string();
        Self {
            postgres: Some(postgres),
            folder,
            url,
            address,
            desk,
            site,
            bins,
            people,
        }
    }

    /// Kills the server without warning.
    pub(crate) async fn kill_postgres(&mut self) {
        let postgres = self.postgres.take().unwrap();
        let process = postgres.process_id().unwrap();
        kill(Pid::from_raw(process), Signal::SIGKILL).unwrap();
        // Whoever kept the server says that it ended badly, and that is all.
        tokio::task::spawn_blocking(move || assert!(postgres.stop().is_err()))
            .await
            .unwrap();
    }

    /// Starts it again on what it left.
    pub(crate) async fn start_postgres(&mut self) {
        let postgres = start_postgres(self.folder.path()).await;
        assert_eq!(postgres.url(DATABASE), self.url.reveal());
        self.postgres = Some(postgres);
    }

    /// The text of a token for somebody.
    pub(crate) fn token(&self, account: AccountId) -> String {
        token(&self.desk, account)
    }

    /// The address of a bin, or of something in it.
    pub(crate) fn bin_at(&self, bin: BinId, rest: &str) -> String {
        let (address, site) = (&self.address, self.site.0);
        format!("http://{address}/v1/sites/{site}/bins/{}{rest}", bin.0)
    }
}

/// The text of a token for somebody whom `sign_in` signed in.
pub(crate) fn token(desk: &Desk, account: AccountId) -> String {
    let session = SessionId(account.0);
    let bearer = Bearer { account, session };
    let tokens = &desk.credentials().tokens;
    tokens.issue(bearer, clock::wall()).unwrap().text
}

/// Begins a session for somebody, under the key of their account.
async fn sign_in(desk: &Desk, account: AccountId) {
    let wall = clock::wall();
    let row = SessionRow {
        id: account.0,
        account_id: account.0,
        began_with: "password".to_owned(),
        device: None,
        created_at: wall,
        last_used_at: wall,
        ends_at: wall + TimeDelta::days(1),
        revoked_at: None,
    };
    desk.store()
        .transact("begin a session", row, |conn, row| {
            sessions::insert(conn, row).boxed()
        })
        .await
        .unwrap();
}

/// A service in a process of its own.
pub(crate) struct Service {
    process: Child,
}

impl Service {
    /// Starts it and waits until it serves.
    pub(crate) async fn start(ground: &Ground) -> Self {
        let log = File::options()
            .create(true)
            .append(true)
            .open(ground.folder.path().join("service.log"))
            .unwrap();
        let mut process = Command::new(env!("CARGO_BIN_EXE_wormrota"))
            .arg("serve")
            .envs(environment(ground.folder.path()))
            .env("DATABASE_URL", ground.url.reveal())
            .env("WORMROTA__SERVER__ADDRESS", &ground.address)
            .stdin(Stdio::null())
            .stdout(Stdio::piped())
            .stderr(log)
            .spawn()
            .unwrap();
        let output = process.stdout.take().unwrap();
        let service = Self { process };
        let said = tokio::task::spawn_blocking(move || {
            let mut lines = BufReader::new(output).lines();
            lines.find_map(|line| line.ok().filter(|line| line.starts_with("Serving on ")))
        });
        let said = said.await.unwrap();
        assert!(
            said.is_some(),
            "the service did not start: {}",
            ground.service_log()
        );
        service
    }

    /// Kills it without warning.
    pub(crate) fn kill(mut self) {
        self.process.kill().unwrap();
        self.process.wait().unwrap();
    }

    pub(crate) fn is_running(&mut self) -> bool {
        self.process.try_wait().unwrap().is_none()
    }

    /// Asks it to end, and insists that it ends well.
    pub(crate) fn stop(mut self) {
        let process = i32::try_from(self.process.id()).unwrap();
        kill(Pid::from_raw(process), Signal::SIGTERM).unwrap();
        assert!(self.process.wait().unwrap().success());
    }
}

impl Drop for Service {
    fn drop(&mut self) {
        // Nothing to do where it has ended already.
        let _ended = self.process.kill();
        let _collected = self.process.wait();
    }
}

impl Ground {
    /// What the service has logged.
    pub(crate) fn service_log(&self) -> String {
        fs::read_to_string(self.folder.path().join("service.log")).unwrap()
    }
}

/// A folder in memory that the account which runs Postgres can reach.
fn scratch() -> TempDir {
    let base = if Path::new("/dev/shm").is_dir() {
        "/dev/shm"
    } else {
        "/tmp"
    };
    let folder = tempfile::Builder::new()
        .prefix("wormrota-killed-")
        .tempdir_in(base)
        .unwrap();
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o755)).unwrap();
    folder
}

async fn start_postgres(folder: &Path) -> PrivatePostgres {
    let folder = folder.join("postgres");
    tokio::task::spawn_blocking(move || PrivatePostgres::start(&folder, Durability::Kept).unwrap())
        .await
        .unwrap()
}

fn environment(folder: &Path) -> Env {
    [
        (
            "WORMROTA__DATA_FOLDER",
            folder.join("data").to_str().unwrap(),
        ),
        ("WORMROTA__LOG__FILTER", "warn"),
        // All people come from one address here.
        ("WORMROTA__SERVER__REQUESTS_PER_MINUTE", "0"),
        ("WORMROTA__SERVER__ANONYMOUS_REQUESTS_PER_MINUTE", "0"),
        (
            "WORMROTA_SIGNING_KEYS",
            "test:QUFBQUFBQUFBQUFBQUFBQUFBQUFBQUFBQUFBQUFBQUE",
        ),
    ]
    .map(|(key, value)| (key.to_owned(), value.to_owned()))
    .into_iter()
    .collect::<HashMap<_, _>>()
}

/// A desk of our own on the same database, to lay the ground with.
fn desk(url: &DatabaseUrl) -> Desk {
    let folder = std::env::temp_dir();
    let env = environment(&folder);
    let settings = Settings::load(&env).unwrap();
    let keys = SigningKeys::load(&env, &folder).unwrap();
    let store = Store::connect(url, &settings.database).unwrap();
    let credentials = Credentials::new(&settings.sign_in, &keys).unwrap();
    Desk::new(
        store,
        Clock::System,
        credentials,
        settings.living_bin,
        settings.people,
    )
}

fn errand(account: AccountId, now: DateTime<Utc>) -> Errand {
    Errand {
        account,
        now,
        ticket: None,
    }
}

async fn open(desk: &Desk) -> (SiteId, AccountId) {
    let educator = NewAccount {
        email: "ada@elmcourt.example".to_owned(),
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
    let opened = open_site(desk, errand(educator, clock::wall()), site).await;
    (opened.unwrap(), educator)
}

async fn join(desk: &Desk, site: SiteId, n: usize) -> AccountId {
    let new = NewAccount {
        email: format!("p{n}@elmcourt.example"),
        password: "nine red wigglers".to_owned(),
        is_educator: false,
        member: Some(NewMember {
            site,
            roles: vec![Role::Resident],
            name: format!("Resident {n}"),
            flat: None,
        }),
    };
    let account = add_account(desk, new, clock::wall()).await.unwrap();
    sign_in(desk, account).await;
    account
}

/// A bin that takes full meals: stocked five weeks ago, with a small meal yesterday.
async fn stocked_bin(desk: &Desk, educator: AccountId, site: SiteId, surface_cm2: i32) -> Bin {
    let now = clock::wall();
    let new = NewBin {
        name: format!("Bin {}", uuid::Uuid::now_v7().simple()),
        spot: Spot::Indoors,
        vessel: Vessel::Tub,
        surface_cm2,
        tray_volumes_ml: vec![400_000],
    };
    let id = add_bin(desk, errand(educator, now), site, new)
        .await
        .unwrap();
    let stocking = Stocking {
        stocked_at: Some(now - TimeDelta::days(35)),
        // As much as the surface carries, half a gram a square centimetre.
        worms: Grams(i64::from(surface_cm2) / 2),
        bedding: Grams(2_000),
    };
    stock_bin(desk, errand(educator, now), site, id, stocking)
        .await
        .unwrap();
    let meal = Telling {
        fed_at: Some(now - TimeDelta::days(1)),
        items: vec![Item {
            food: "usual-mix".to_owned(),
            amount: Amount::Weighed(Grams(i64::from(surface_cm2) / 20)),
        }],
        bedding: Grams::ZERO,
    };
    tell(desk, errand(educator, now), site, id, meal)
        .await
        .unwrap();
    Bin { id, surface_cm2 }
}
