//! Finding the server programs of this machine.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::process::Stdio;

use super::StartError;
use super::account::{self, Account};

/// The oldest version that its makers still look after in late 2026, and the
/// oldest that these tests run on.
const OLDEST: u32 = 15;

/// Where packages put a folder for each version: the folder above, what stands
/// before the version in the name, and the way from there to the programs.
const VERSIONED: [(&str, &str, &str); 7] = [
    ("/usr/lib/postgresql", "", "bin"), // Debian, Ubuntu, SUSE
    ("/usr", "pgsql-", "bin"),          // packages of the PostgreSQL project for Fedora, RHEL
    ("/usr/libexec", "postgresql", ""), // Alpine
    ("/opt/homebrew/opt", "postgresql@", "bin"), // Homebrew on Apple processors
    ("/usr/local/opt", "postgresql@", "bin"), // Homebrew on Intel
    ("/Library/PostgreSQL", "", "bin"), // the installer for macOS
    ("/Applications/Postgres.app/Contents/Versions", "", "bin"),
];

/// The programs of one version.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Programs {
    folder: PathBuf,
    major: u32,
}

impl Programs {
    /// The programs for data that major version `made_by` made, or for new data.
    /// `PG_BIN` decides alone when it is set; else PATH, else the newest version
    /// in the usual places.
    pub(super) fn find(
        made_by: Option<u32>,
        account: Option<&Account>,
        data: &Path,
    ) -> Result<Self, StartError> {
        if let Some(folder) = std::env::var_os("PG_BIN").filter(|v| !v.is_empty()) {
            let folder = PathBuf::from(folder);
            if let Err(reason) = Self::in_folder(&folder, account) {
                return Err(StartError::UnusablePgBin { folder, reason });
            }
            return Self::first_fit([folder], made_by, account, data);
        }
        Self::first_fit(usual_places(), made_by, account, data)
    }

    fn first_fit(
        folders: impl IntoIterator<Item = PathBuf>,
        made_by: Option<u32>,
        account: Option<&Account>,
        data: &Path,
    ) -> Result<Self, StartError> {
        let mut others = BTreeSet::new();
        let mut unusable = Vec::new();
        for folder in folders {
            match Self::in_folder(&folder, account) {
                Ok(found) if made_by.is_none_or(|made_by| made_by == found.major) => {
                    return Ok(found);
                }
                Ok(found) => {
                    others.insert(found.major);
                }
                Err(reason) => unusable.push(format!("{} ({reason})", folder.display())),
            }
        }
        match made_by {
            Some(made_by) if !others.is_empty() => Err(StartError::OtherMajor {
                folder: data.to_owned(),
                made_by,
                found: others
                    .iter()
                    .map(u32::to_string)
                    .collect::<Vec<_>>()
                    .join(", "),
            }),
            _ => Err(StartError::NoPrograms {
                oldest: OLDEST,
                unusable,
            }),
        }
    }

    pub(super) fn postgres(&self) -> PathBuf {
        self.folder.join("postgres")
    }

    pub(super) fn initdb(&self) -> PathBuf {
        self.folder.join("initdb")
    }

    fn in_folder(folder: &Path, account: Option<&Account>) -> Result<Self, String> {
        for name in ["initdb", "postgres"] {
            if !folder.join(name).is_file() {
                return Err(format!("there is no {name} in it"));
            }
        }
        let answer = account::command(folder.join("postgres"), account)
            .arg("--version")
            .stdin(Stdio::null())
            .output()
            .map_err(|error| match account {
                Some(account) => format!("{} can't run its programs: {error}", account.name),
                None => format!("its programs don't run: {error}"),
            })?;
        let text = String::from_utf8_lossy(&answer.stdout);
        let major = major_in(&text)
            .ok_or_else(|| format!("its postgres doesn't tell its version: {}", text.trim()))?;
        if major < OLDEST {
            return Err(format!("it is version {major}, older than {OLDEST}"));
        }
        Ok(Self {
            folder: folder.to_owned(),
            major,
        })
    }
}

/// `postgres (PostgreSQL) 17.2 (Debian 17.2-1)` is 17; `18beta1` is 18.
fn major_in(version: &str) -> Option<u32> {
    let number = version.split_whitespace().nth(2)?;
    let digits = number
        .find(|c: char| !c.is_ascii_digit())
        .unwrap_or(number.len());
    number[..digits].parse().ok()
}

fn usual_places() -> Vec<PathBuf> {
    let mut places = Vec::new();
    if let Some(path) = std::env::var_os("PATH") {
        for folder in std::env::split_paths(&path).filter(|folder| folder.is_absolute()) {
            // A link on PATH often stands for a folder that has them all.
            let Ok(real) = folder.join("postgres").canonicalize() else {
                continue;
            };
            let real = real.parent().unwrap_or(&folder);
            if real.join("initdb").is_file() {
                places.push(real.to_owned());
            } else if folder.join("initdb").is_file() {
                places.push(folder);
            }
        }
    }
    let mut versions = Vec::new();
    for (above, before, within) in VERSIONED {
        for entry in Path::new(above).read_dir().into_iter().flatten().flatten() {
            let name = entry.file_name();
            let major = name
                .to_str()
                .and_then(|name| name.strip_prefix(before)?.parse::<u32>().ok());
            let folder = entry.path().join(within);
            if let Some(major) = major
                && folder.join("postgres").is_file()
            {
                versions.push((major, folder));
            }
        }
    }
    versions.sort_by_key(|(major, _)| std::cmp::Reverse(*major));
    for (_, folder) in versions {
        if !places.contains(&folder) {
            places.push(folder);
        }
    }
    places
}

#[cfg(test)]
mod tests {
    use std::fs::{self, Permissions};
    use std::os::unix::fs::PermissionsExt;
    use std::path::{Path, PathBuf};

    use super::{Programs, major_in};

    /// A folder with programs that only tell a version.
    fn programs(base: &Path, version: &str) -> PathBuf {
        let folder = base.join(version);
        fs::create_dir(&folder).unwrap();
        for name in ["initdb", "postgres"] {
            let file = folder.join(name);
            let script = format!("#!/bin/sh\necho 'postgres (PostgreSQL) {version}'\n");
            fs::write(&file, script).unwrap();
            fs::set_permissions(&file, Permissions::from_mode(0o755)).unwrap();
        }
        folder
    }

    #[test]
    fn the_first_usable_version_serves_new_data() {
        let base = tempfile::tempdir().unwrap();
        let folders = ["14.9", "16.1", "17.2"].map(|version| programs(base.path(), version));
        let found = Programs::first_fit(folders, None, None, Path::new("/d")).unwrap();
        assert_eq!(found.postgres(), base.path().join("16.1/postgres"));
    }

    #[test]
    fn data_are_served_by_the_version_that_made_them() {
        let base = tempfile::tempdir().unwrap();
        let folders = ["16.1", "17.2"].map(|version| programs(base.path(), version));
        let found = Programs::first_fit(folders.clone(), Some(17), None, Path::new("/d")).unwrap();
        assert_eq!(found.initdb(), base.path().join("17.2/initdb"));
        let error = Programs::first_fit(folders, Some(15), None, Path::new("/d")).unwrap_err();
        assert_eq!(error.code(), "data_of_other_version");
        assert!(error.to_string().contains("(16, 17)"), "{error}");
    }

    #[test]
    fn without_programs_the_error_says_how_to_get_them_and_what_would_not_do() {
        let base = tempfile::tempdir().unwrap();
        let old = programs(base.path(), "14.9");
        let error = Programs::first_fit([old], None, None, Path::new("/d")).unwrap_err();
        assert_eq!(error.code(), "postgres_programs_missing");
        let text = error.to_string();
        for part in [
            "config/postgres-programs",
            "apt: postgresql",
            "DATABASE_URL",
            "older than 15",
        ] {
            assert!(text.contains(part), "{part} in {text}");
        }
    }

    #[test]
    fn a_version_is_read_with_and_without_the_packagers_remarks() {
        assert_eq!(
            major_in("postgres (PostgreSQL) 15.18 (Debian 15.18-0+deb12u1)\n"),
            Some(15)
        );
        assert_eq!(major_in("postgres (PostgreSQL) 18beta1\n"), Some(18));
        assert_eq!(major_in("postgres (PostgreSQL) 19devel"), Some(19));
        assert_eq!(major_in("postgres"), None);
        assert_eq!(major_in("postgres (PostgreSQL) unknown"), None);
    }
}
