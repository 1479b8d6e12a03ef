//! The folder of the server's socket, and its address.

use std::fmt::Write;
use std::fs::{self, DirBuilder};
use std::io;
use std::os::unix::ffi::OsStrExt;
use std::os::unix::fs::DirBuilderExt;
use std::path::{Path, PathBuf};

use super::StartError;
use super::account::Account;
use super::place;

/// Part of the socket's name only; nothing listens on a network.
pub(super) const PORT: u16 = 5432;

/// macOS has 104 bytes for a socket's path, its closing zero included; Linux 108
/// (the manual pages unix(4) and unix(7)). Postgres adds `/.s.PGSQL.5432`.
const LONGEST_FOLDER: usize = 104 - 1 - "/.s.PGSQL.5432".len();

/// Every machine has it, and its name is short.
const SHORT_BASE: &str = "/tmp";

/// A folder that only the server's account can enter (and root).
#[derive(Debug)]
pub(super) struct SocketFolder {
    folder: PathBuf,
    elsewhere: bool,
}

impl SocketFolder {
    /// The caller holds the data folder's lock and knows that no server runs on
    /// it, so that whatever a killed one left in here may go.
    pub(super) fn make(data: &Path, account: Option<&Account>) -> Result<Self, StartError> {
        let within = data.join("socket");
        let elsewhere = !is_usable(&within);
        let folder = if elsewhere {
            place::new_folder(Path::new(SHORT_BASE), "wormrota")?
        } else {
            match fs::remove_dir_all(&within) {
                Err(error) if error.kind() != io::ErrorKind::NotFound => {
                    return Err(StartError::system("clear", &within)(error));
                }
                _ => {}
            }
            DirBuilder::new()
                .mode(0o700)
                .create(&within)
                .map_err(StartError::system("make", &within))?;
            within
        };
        if let Some(account) = account {
            place::give(&folder, account)?;
        }
        Ok(Self { folder, elsewhere })
    }

    pub(super) fn folder(&self) -> &Path {
        &self.folder
    }

    /// The folder, if it isn't within the data folder and so must be cleared away.
    pub(super) fn elsewhere(&self) -> Option<&Path> {
        self.elsewhere.then_some(self.folder.as_path())
    }

    pub(super) fn url(&self, role: &str, database: &str) -> String {
        format!(
            "postgres://{}@/{}?host={}&port={PORT}",
            percent_encoded(role.as_bytes()),
            percent_encoded(database.as_bytes()),
            percent_encoded(self.folder.as_os_str().as_bytes()),
        )
    }
}

/// Short enough, and without the characters that mean something in the server's
/// list of socket folders.
fn is_usable(folder: &Path) -> bool {
    let bytes = folder.as_os_str().as_bytes();
    bytes.len() <= LONGEST_FOLDER
        && bytes
            .iter()
            .all(|b| b.is_ascii_alphanumeric() || b"/._-+".contains(b))
}

fn percent_encoded(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(bytes.len() * 3);
    for &byte in bytes {
        if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
            text.push(char::from(byte));
        } else {
            // Writing to a string can't fail.
            let _ = write!(text, "%{byte:02X}");
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use std::path::{Path, PathBuf};

    use super::{LONGEST_FOLDER, SocketFolder, is_usable};

    #[test]
    fn a_folder_is_usable_up_to_the_longest_socket_path() {
        let longest = format!("/{}", "a".repeat(LONGEST_FOLDER - 1));
        assert!(is_usable(Path::new(&longest)));
        assert!(!is_usable(Path::new(&format!("{longest}a"))));
    }

    #[test]
    fn a_folder_with_a_separator_or_a_quote_is_not_usable() {
        for name in ["/a,b", "/a b", "/a\"b", "/a'b", "/é"] {
            assert!(!is_usable(Path::new(name)), "{name}");
        }
    }

    #[test]
    fn the_address_is_percent_encoded() {
        let sockets = SocketFolder {
            folder: PathBuf::from("/run/w 1"),
            elsewhere: false,
        };
        assert_eq!(
            sockets.url("wormrota", "a/b"),
            "postgres://wormrota@/a%2Fb?host=%2Frun%2Fw%201&port=5432"
        );
    }
}
