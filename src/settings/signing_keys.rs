//! The keys that sign access tokens.

use super::{Env, SettingsError, secret_file};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use rand::TryRng;
use std::fmt;
use std::fs;
use std::io::{ErrorKind, Write};
use std::os::unix::fs::OpenOptionsExt;
use std::path::Path;

/// Bytes that a key must have: as many as HMAC-SHA-256 gives out (RFC 7518, section 3.2).
const SHORTEST: usize = 32;

/// One key with the name that tokens carry.
#[derive(Clone, PartialEq, Eq)]
pub struct SigningKey {
    /// The name of the key, the `kid` of a token.
    pub kid: String,
    /// The secret itself.
    pub secret: Vec<u8>,
}

impl fmt::Debug for SigningKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "SigningKey({}, hidden)", self.kid)
    }
}

/// The first key signs; all of them verify, so that keys can be changed without signing
/// everybody out: put the new one in front, and take the old one away when the last token
/// it signed has expired.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SigningKeys {
    /// The key that signs.
    pub first: SigningKey,
    /// Keys that still verify.
    pub older: Vec<SigningKey>,
}

impl SigningKeys {
    /// The variable that brings keys from outside.
    pub const VARIABLE: &str = "WORMROTA_SIGNING_KEYS";

    /// Whether keys are made and kept in the data folder, since none come from outside.
    #[must_use]
    pub fn are_made_here(env: &Env) -> bool {
        env.get(Self::VARIABLE).is_none_or(String::is_empty)
    }

    /// From `WORMROTA_SIGNING_KEYS` (`kid:base64url`, separated by commas), or else from
    /// the file `signing-keys` of the data folder, which is made when it is missing.
    ///
    /// # Errors
    /// [`SettingsError::SigningKeys`] says what is wrong; it never repeats a key.
    pub fn load(env: &Env, data_folder: &Path) -> Result<Self, SettingsError> {
        if let Some(text) = env.get(Self::VARIABLE).filter(|text| !text.is_empty()) {
            return Self::parse(text.split(','), Self::VARIABLE);
        }
        let path = data_folder.join("signing-keys");
        if !path.exists() {
            make(&path)?;
        }
        let text = secret_file::read(&path).map_err(SettingsError::SigningKeys)?;
        let lines = text
            .lines()
            .filter(|line| !line.trim().is_empty() && !line.starts_with('#'));
        Self::parse(lines, &path.display().to_string())
    }

    /// Every key that verifies.
    pub fn all(&self) -> impl Iterator<Item = &SigningKey> {
        std::iter::once(&self.first).chain(&self.older)
    }

    fn parse<'a>(
        entries: impl Iterator<Item = &'a str>,
        origin: &str,
    ) -> Result<Self, SettingsError> {
        let mut keys: Vec<SigningKey> = Vec::new();
        for (index, entry) in entries.enumerate() {
            let key = parse_entry(entry.trim()).ok_or_else(|| {
                SettingsError::SigningKeys(format!(
                    "entry {} of {origin} is not `name:key` with a name of letters, digits and hyphens and a key of at least {SHORTEST} bytes in base64url without padding",
                    index + 1
                ))
            })?;
            if keys.iter().any(|known| known.kid == key.kid) {
                return Err(SettingsError::SigningKeys(format!(
                    "the name `{}` comes twice in {origin}",
                    key.kid
                )));
            }
            keys.push(key);
        }
        let mut keys = keys.into_iter();
        let first = keys
            .next()
            .ok_or_else(|| SettingsError::SigningKeys(format!("{origin} holds no key")))?;
        Ok(Self {
            first,
            older: keys.collect(),
        })
    }
}

fn parse_entry(entry: &str) -> Option<SigningKey> {
    let (kid, secret) = entry.split_once(':')?;
    let sane = (1..=40).contains(&kid.len())
        && kid
            .bytes()
            .all(|byte| byte.is_ascii_alphanumeric() || byte == b'-');
    let secret = URL_SAFE_NO_PAD.decode(secret).ok()?;
    (sane && secret.len() >= SHORTEST).then(|| SigningKey {
        kid: kid.to_owned(),
        secret,
    })
}

/// Makes the file whole or not at all: two copies that start at once agree on one file.
fn make(path: &Path) -> Result<(), SettingsError> {
    let mut random = [0_u8; SHORTEST + 4];
    rand::rngs::SysRng
        .try_fill_bytes(&mut random)
        .map_err(|error| {
            SettingsError::SigningKeys(format!("no randomness from the system: {error}"))
        })?;
    let (name, secret) = random.split_at(4);
    let kid = format!(
        "{:08x}",
        name.iter()
            .fold(0_u32, |all, byte| (all << 8) | u32::from(*byte))
    );
    let folder = path.parent().unwrap_or(Path::new("."));
    fs::create_dir_all(folder).map_err(|error| unusable(folder, &error))?;
    let draft = folder.join(format!("signing-keys.{kid}"));
    let written =
        write_draft(&draft, &kid, secret).and_then(|()| match fs::hard_link(&draft, path) {
            Err(error) if error.kind() != ErrorKind::AlreadyExists => Err(error),
            _ => Ok(()),
        });
    // The draft may never have been written; then there is nothing to remove.
    let _ = fs::remove_file(&draft);
    written.map_err(|error| unusable(path, &error))
}

fn write_draft(draft: &Path, kid: &str, secret: &[u8]) -> std::io::Result<()> {
    let mut file = fs::OpenOptions::new()
        .write(true)
        .create_new(true)
        .mode(0o600)
        .open(draft)?;
    writeln!(
        file,
        "# Signs access tokens. The first line signs, all lines verify."
    )?;
    writeln!(file, "{kid}:{}", URL_SAFE_NO_PAD.encode(secret))?;
    file.sync_all()
}

fn unusable(path: &Path, error: &std::io::Error) -> SettingsError {
    SettingsError::SigningKeys(format!("cannot use {}: {error}", path.display()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::os::unix::fs::{MetadataExt, PermissionsExt};

    const KEY: &str = "AAECAwQFBgcICQoLDA0ODxAREhMUFRYXGBkaGxwdHh8";

    fn from_env(text: &str) -> Result<SigningKeys, SettingsError> {
        let env = Env::from([("WORMROTA_SIGNING_KEYS".to_owned(), text.to_owned())]);
        SigningKeys::load(&env, Path::new("/nonexistent"))
    }

    #[test]
    fn the_first_key_signs_and_all_verify() {
        let keys = from_env(&format!("new:{KEY},old:{KEY}")).unwrap();
        assert_eq!(keys.first.kid, "new");
        let names: Vec<_> = keys.all().map(|key| key.kid.as_str()).collect();
        assert_eq!(names, ["new", "old"]);
    }

    #[test]
    fn malformed_keys_are_refused_without_being_repeated() {
        for text in [
            "nokey",
            "short:AAECAw",
            &format!(":{KEY}"),
            &format!("bad name:{KEY}"),
            &format!("a:{KEY},a:{KEY}"),
            &format!("a:{KEY}="),
            ",",
        ] {
            let said = from_env(text).unwrap_err().to_string();
            assert!(!said.contains(KEY), "{said}");
            assert!(said.starts_with("signing keys: "), "{said}");
        }
    }

    #[test]
    fn a_missing_file_is_made_for_its_owner_only_and_kept() {
        let folder = tempfile::tempdir().unwrap();
        let made = SigningKeys::load(&Env::new(), folder.path()).unwrap();
        let path = folder.path().join("signing-keys");
        assert_eq!(fs::metadata(&path).unwrap().mode() & 0o777, 0o600);
        assert_eq!(SigningKeys::load(&Env::new(), folder.path()).unwrap(), made);
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn a_file_that_others_can_read_is_refused() {
        let folder = tempfile::tempdir().unwrap();
        SigningKeys::load(&Env::new(), folder.path()).unwrap();
        let path = folder.path().join("signing-keys");
        fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
        let said = SigningKeys::load(&Env::new(), folder.path())
            .unwrap_err()
            .to_string();
        assert!(said.contains("chmod 600"), "{said}");
    }

    #[test]
    fn no_secret_is_printed() {
        let keys = from_env(&format!("new:{KEY}")).unwrap();
        assert_eq!(
            format!("{keys:?}"),
            "SigningKeys { first: SigningKey(new, hidden), older: [] }"
        );
    }
}
