//! The folder of one server: claimed with a lock, owned by the right account.
//!
//! ```text
//! FOLDER/launcher.lock   held while a service uses the folder
//! FOLDER/cluster/        the server's own data
//! FOLDER/socket/         its socket, unless the path is too long for one
//! FOLDER/server.log      messages since the last start; server.log.1 before it
//! FOLDER/moved-to        instead of all but the lock: where the above is
//! ```

use std::ffi::OsString;
use std::fs::{self, DirBuilder, File, OpenOptions, Permissions, TryLockError};
use std::io::{self, Read, Seek, SeekFrom};
use std::os::unix::ffi::{OsStrExt, OsStringExt};
use std::os::unix::fs::{DirBuilderExt, MetadataExt, OpenOptionsExt, PermissionsExt, lchown};
use std::path::{Path, PathBuf};
use std::thread::sleep;
use std::time::{Duration, Instant};

use nix::sys::statvfs::statvfs;
use nix::unistd::Uid;

use super::account::{self, Account};
use super::{POLL, StartError};

const LOCK: &str = "launcher.lock";
const MOVED_TO: &str = "moved-to";
const CLUSTER: &str = "cluster";
const LOG: &str = "server.log";
const PREVIOUS_LOG: &str = "server.log.1";

/// Where root's data go when the server's account can't reach the folder asked for.
const ROOTS_BASE: &str = "/var/lib/wormrota";

/// A process that is just starting a program holds a copy of our lock for a moment.
const LOCK_WITHIN: Duration = Duration::from_millis(500);

/// A test run's databases come to a few hundred megabytes.
const SCRATCH_BYTES: u64 = 1 << 30;

const MEMORY: &str = "/dev/shm";
const TAIL_BYTES: u64 = 4096;
const TAIL_LINES: usize = 12;

/// A claimed folder.
#[derive(Debug)]
pub(super) struct Place {
    folder: PathBuf,
    account: Option<Account>,
    // One for the folder asked for, one for where it points to, if it does.
    _locks: Vec<File>,
}

impl Place {
    pub(super) fn claim(asked: &Path) -> Result<Self, StartError> {
        make_with_parents(asked)?;
        let asked = asked
            .canonicalize()
            .map_err(StartError::system("find", asked))?;
        let mut locks = vec![lock(&asked)?];

        let pointer = asked.join(MOVED_TO);
        let folder = match fs::read(&pointer) {
            Ok(target) => {
                let target = PathBuf::from(OsString::from_vec(target.trim_ascii_end().to_vec()));
                if !target.is_dir() {
                    return Err(StartError::DataGone { pointer, target });
                }
                locks.push(lock(&target)?);
                target
            }
            Err(error) if error.kind() == io::ErrorKind::NotFound => asked.clone(),
            Err(error) => return Err(StartError::system("read", &pointer)(error)),
        };

        let account = account::to_step_down_to(&folder.join(CLUSTER))?;
        let Some(account) = account else {
            allow_owner_only(&folder)?;
            return Ok(Self {
                folder,
                account: None,
                _locks: locks,
            });
        };
        let folder = match hand_over(&folder, &account) {
            Ok(()) => folder,
            Err(error) if folder != asked || folder.join(CLUSTER).exists() => return Err(error),
            Err(error) => {
                let moved = folder_for_roots_data(&asked)?;
                hand_over(&moved, &account)?;
                locks.push(lock(&moved)?);
                fs::write(&pointer, moved.as_os_str().as_bytes())
                    .map_err(StartError::system("write", &pointer))?;
                tracing::warn!(reason = %error, data = %moved.display(), "the data go elsewhere");
                moved
            }
        };
        Ok(Self {
            folder,
            account: Some(account),
            _locks: locks,
        })
    }

    pub(super) fn folder(&self) -> &Path {
        &self.folder
    }

    pub(super) fn account(&self) -> Option<&Account> {
        self.account.as_ref()
    }

    pub(super) fn cluster(&self) -> PathBuf {
        self.folder.join(CLUSTER)
    }

    pub(super) fn log_file(&self) -> PathBuf {
        self.folder.join(LOG)
    }

    /// An empty log; the one before is kept.
    pub(super) fn fresh_log(&self) -> Result<PathBuf, StartError> {
        let log = self.log_file();
        match fs::rename(&log, self.folder.join(PREVIOUS_LOG)) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => {
                return Err(StartError::system("put away", &log)(error));
            }
            _ => {}
        }
        OpenOptions::new()
            .write(true)
            .create_new(true)
            .mode(0o600)
            .open(&log)
            .map_err(StartError::system("make", &log))?;
        Ok(log)
    }

    pub(super) fn log_tail(&self) -> String {
        tail(&self.log_file())
    }
}

/// The last lines of a log, or that it can't be read.
pub(super) fn tail(log: &Path) -> String {
    let read = || -> io::Result<Vec<u8>> {
        let mut file = File::open(log)?;
        let length = file.metadata()?.len();
        file.seek(SeekFrom::Start(length.saturating_sub(TAIL_BYTES)))?;
        let mut bytes = Vec::new();
        file.read_to_end(&mut bytes)?;
        Ok(bytes)
    };
    match read() {
        Ok(bytes) => last_lines(&bytes),
        Err(error) => format!("(it can't be read: {error})"),
    }
}

/// The last lines of what a program said.
pub(super) fn last_lines(bytes: &[u8]) -> String {
    let text = String::from_utf8_lossy(bytes);
    let lines: Vec<&str> = text.trim_end().lines().collect();
    lines[lines.len().saturating_sub(TAIL_LINES)..].join("\n")
}

/// A new folder for a server whose data nobody will miss.
pub(super) fn scratch_folder() -> Result<PathBuf, StartError> {
    let base = if free_bytes(MEMORY).is_some_and(|free| free >= SCRATCH_BYTES) {
        PathBuf::from(MEMORY)
    } else if Uid::effective().is_root() {
        PathBuf::from("/tmp")
    } else {
        std::env::temp_dir()
    };
    new_folder(&base, "wormrota-test")
}

#[allow(clippy::useless_conversion, reason = "u32 on some systems")]
fn free_bytes(folder: &str) -> Option<u64> {
    let system = statvfs(folder).ok()?;
    u64::from(system.blocks_available()).checked_mul(u64::from(system.fragment_size()))
}

/// A new folder in `base` that no other process has, open to its owner only.
pub(super) fn new_folder(base: &Path, name: &str) -> Result<PathBuf, StartError> {
    let process = std::process::id();
    let mut number = 0_u32;
    loop {
        let folder = base.join(format!("{name}-{process}-{number}"));
        match DirBuilder::new().mode(0o700).create(&folder) {
            Ok(()) => return Ok(folder),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists && number < 10_000 => {
                number += 1;
            }
            Err(error) => return Err(StartError::system("make", &folder)(error)),
        }
    }
}

fn make_with_parents(folder: &Path) -> Result<(), StartError> {
    DirBuilder::new()
        .recursive(true)
        .mode(0o755)
        .create(folder)
        .map_err(StartError::system("make", folder))
}

fn lock(folder: &Path) -> Result<File, StartError> {
    let path = folder.join(LOCK);
    let list = |error| StartError::system("look into", folder)(error);
    if !path.try_exists().map_err(list)? && folder.read_dir().map_err(list)?.next().is_some() {
        return Err(StartError::NotOurs {
            folder: folder.to_owned(),
        });
    }
    let file = OpenOptions::new()
        .write(true)
        .create(true)
        .truncate(false)
        .mode(0o600)
        .open(&path)
        .map_err(StartError::system("open", &path))?;
    let gives_up = Instant::now() + LOCK_WITHIN;
    loop {
        match file.try_lock() {
            Ok(()) => return Ok(file),
            Err(TryLockError::WouldBlock) if Instant::now() < gives_up => sleep(POLL),
            Err(TryLockError::WouldBlock) => {
                return Err(StartError::InUse {
                    folder: folder.to_owned(),
                });
            }
            Err(TryLockError::Error(error)) => {
                return Err(StartError::system("lock", &path)(error));
            }
        }
    }
}

/// Makes the folder the account's own, if it can get there.
fn hand_over(folder: &Path, account: &Account) -> Result<(), StartError> {
    if let Some(blocked) = account::first_impassable(folder, account)? {
        return Err(StartError::Unreachable {
            blocked,
            account: account.name.clone(),
        });
    }
    give(folder, account)?;
    allow_owner_only(folder)
}

/// Makes the account the owner.
pub(super) fn give(path: &Path, account: &Account) -> Result<(), StartError> {
    // A link is not followed: others may be able to put one here.
    let is = path
        .symlink_metadata()
        .map_err(StartError::system("find", path))?;
    if (is.uid(), is.gid()) == (account.uid, account.gid) {
        return Ok(());
    }
    lchown(path, Some(account.uid), Some(account.gid))
        .map_err(StartError::system("hand over", path))
}

fn allow_owner_only(folder: &Path) -> Result<(), StartError> {
    fs::set_permissions(folder, Permissions::from_mode(0o700))
        .map_err(StartError::system("close to others", folder))
}

/// A new folder that any account could reach, named after the one asked for.
fn folder_for_roots_data(asked: &Path) -> Result<PathBuf, StartError> {
    let base = Path::new(ROOTS_BASE);
    if !base.is_dir() {
        make_with_parents(base)?;
        // The umask may have made it narrower.
        fs::set_permissions(base, Permissions::from_mode(0o755))
            .map_err(StartError::system("open to others", base))?;
    }
    let mut name: String = asked
        .to_string_lossy()
        .trim_matches('/')
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() { c } else { '-' })
        .collect();
    // A long name would leave no room for the socket's.
    name.truncate(40);
    new_folder(base, &name)
}
