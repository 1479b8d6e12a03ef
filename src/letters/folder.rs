//! The folder that letters lie in: only its owner can look into it.

use super::opened::Opened;
use chrono::{DateTime, TimeDelta, Utc};
use std::fs::{self, DirBuilder, OpenOptions};
use std::io::{self, Write};
use std::os::unix::fs::{DirBuilderExt, OpenOptionsExt};
use std::path::{Path, PathBuf};
use std::time::SystemTime;
use uuid::Uuid;

/// A letter that lies in the folder.
#[derive(Debug)]
pub struct Lying {
    /// Its key.
    pub id: Uuid,
    /// When it was written.
    pub written_at: DateTime<Utc>,
    /// What it says.
    pub letter: Opened,
}

/// A folder for letters.
#[derive(Debug, Clone)]
pub struct LetterFolder {
    path: PathBuf,
    kept: TimeDelta,
}

impl LetterFolder {
    /// The folder `letters` in the data folder. It is made when the first letter is written.
    pub(super) fn within(data_folder: &Path, kept_days: u32) -> Self {
        Self {
            path: data_folder.join("letters"),
            kept: TimeDelta::days(i64::from(kept_days)),
        }
    }

    /// Deletes letters that have lain for as long as they are kept; says how many. They hold
    /// names and addresses, which erasing an account cannot reach here.
    pub(super) async fn forget_old(&self, now: DateTime<Utc>) -> io::Result<usize> {
        let (folder, before) = (self.path.clone(), SystemTime::from(now - self.kept));
        tokio::task::spawn_blocking(move || forget_now(&folder, before))
            .await
            .map_err(io::Error::other)?
    }

    /// The letters that were written last, the newest first: after `skipped` of them, at most
    /// so many.
    ///
    /// # Errors
    /// When the folder or a letter in it cannot be read.
    pub async fn newest(&self, skipped: usize, most: usize) -> io::Result<Vec<Lying>> {
        let folder = self.path.clone();
        tokio::task::spawn_blocking(move || newest_now(&folder, skipped, most))
            .await
            .map_err(io::Error::other)?
    }

    /// The letter with a key, if it lies here.
    ///
    /// # Errors
    /// When it cannot be read.
    pub async fn read(&self, id: Uuid) -> io::Result<Option<Lying>> {
        let folder = self.path.clone();
        tokio::task::spawn_blocking(move || read_now(&folder, id))
            .await
            .map_err(io::Error::other)?
    }

    /// Puts a letter under its key, in one step: whoever looks finds all of it or
    /// nothing.
    pub(super) async fn put(&self, id: Uuid, message: Vec<u8>) -> io::Result<()> {
        let folder = self.path.clone();
        tokio::task::spawn_blocking(move || put_now(&folder, id, &message))
            .await
            .map_err(io::Error::other)?
    }
}

fn newest_now(folder: &Path, skipped: usize, most: usize) -> io::Result<Vec<Lying>> {
    let entries = match fs::read_dir(folder) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
        entries => entries?,
    };
    let mut found = Vec::new();
    for entry in entries {
        let entry = entry?;
        let name = entry.file_name();
        let id = name.to_str().and_then(|name| name.strip_suffix(".eml"));
        if let Some(id) = id.and_then(|id| id.parse::<Uuid>().ok()) {
            found.push((entry.metadata()?.modified()?, id));
        }
    }
    found.sort_unstable_by(|one, other| other.cmp(one));
    let mut letters = Vec::new();
    for (_, id) in found.into_iter().skip(skipped).take(most) {
        // It may have been deleted meanwhile.
        letters.extend(read_now(folder, id)?);
    }
    Ok(letters)
}

fn read_now(folder: &Path, id: Uuid) -> io::Result<Option<Lying>> {
    let path = folder.join(format!("{id}.eml"));
    let read = fs::metadata(&path)
        .and_then(|metadata| metadata.modified())
        .and_then(|written| Ok((written, fs::read(&path)?)));
    match read {
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(error),
        Ok((written, bytes)) => {
            let letter = Opened::read(&bytes);
            Ok(letter.map(|letter| Lying {
                id,
                written_at: written.into(),
                letter,
            }))
        }
    }
}

fn forget_now(folder: &Path, before: SystemTime) -> io::Result<usize> {
    let entries = match fs::read_dir(folder) {
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(0),
        entries => entries?,
    };
    let mut forgotten = 0;
    for entry in entries {
        let entry = entry?;
        if entry.metadata()?.modified()? < before {
            fs::remove_file(entry.path())?;
            forgotten += 1;
        }
    }
    Ok(forgotten)
}

fn put_now(folder: &Path, id: Uuid, message: &[u8]) -> io::Result<()> {
    DirBuilder::new()
        .recursive(true)
        .mode(0o700)
        .create(folder)?;
    // A name of its own: two copies may write the same letter at once.
    let half = folder.join(format!(".{id}.{}", Uuid::now_v7().simple()));
    let written = OpenOptions::new()
        .write(true)
        .create_new(true)
        .mode(0o600)
        .open(&half)
        .and_then(|mut file| {
            file.write_all(message)?;
            file.sync_all()
        })
        .and_then(|()| fs::rename(&half, folder.join(format!("{id}.eml"))));
    if written.is_err() {
        // Nothing more can be done about a leftover than to say what went wrong first.
        let _ = fs::remove_file(&half);
    }
    written
}
