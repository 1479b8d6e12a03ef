//! How letters are written, and to which mail server they are handed.

use super::dkim::Dkim;
use super::{Env, Rule, SettingsError, secret_file};
use lettre::message::Mailbox;
use serde::Deserialize;
use std::fmt;
use std::net::IpAddr;
use std::path::Path;

/// How letters are written and sent.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Letters {
    /// Where the service is reached from outside.
    pub public_url: String,
    /// From whom letters come, as it stands in their `From`.
    pub from: String,
    /// Whom those who answer a letter write to, as it stands in `Reply-To`; without one they
    /// write to whom it came from.
    pub reply_to: String,
    /// Days that a letter lies in its folder.
    pub kept_days: u32,
    /// Letters that one address gets in an hour; 0 sets no limit.
    pub to_one_address_per_hour: u32,
    /// The mail server.
    pub smtp: MailServer,
    /// How they are signed.
    pub dkim: Dkim,
}

/// The mail server that letters are handed to.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MailServer {
    /// Its name; without one letters go into the folder.
    pub host: String,
    /// Its port.
    pub port: u16,
    /// As whom the service signs in; without one it does not.
    pub user: String,
    /// With what; only from the environment, or from a file of its own.
    #[serde(skip)]
    pub password: Option<Password>,
    /// How the connection is encrypted.
    pub tls: Tls,
    /// Seconds to wait for each answer.
    pub timeout_s: u32,
    /// Letters on their way at once from this copy.
    pub connections: u32,
}

/// How a connection to a mail server is encrypted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Tls {
    /// It begins in the clear and must go over to TLS before anything is said (RFC 3207).
    StartTls,
    /// TLS from the first byte (RFC 8314).
    Tls,
    /// In the clear: only to this machine.
    Off,
}

/// The password for the mail server: it never prints itself.
#[derive(Clone, PartialEq, Eq)]
pub struct Password(String);

impl fmt::Debug for Password {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Password(hidden)")
    }
}

impl From<String> for Password {
    fn from(password: String) -> Self {
        Self(password)
    }
}

impl Password {
    /// The variable that brings it from outside.
    pub const VARIABLE: &str = "WORMROTA_SMTP_PASSWORD";
    /// The file of the data folder that holds it otherwise.
    pub const FILE: &str = "smtp-password";

    /// The password itself, for signing in.
    #[must_use]
    pub fn reveal(&self) -> &str {
        &self.0
    }

    /// From the environment, or else from the file, if there is one.
    pub(super) fn load(env: &Env, data_folder: &Path) -> Result<Option<Self>, SettingsError> {
        if let Some(text) = env.get(Self::VARIABLE).filter(|text| !text.is_empty()) {
            return Ok(Some(Self(text.clone())));
        }
        let path = data_folder.join(Self::FILE);
        if !path.exists() {
            return Ok(None);
        }
        let text = secret_file::read(&path).map_err(SettingsError::MailPassword)?;
        Ok(Some(Self(text.trim_end_matches(['\r', '\n']).to_owned())))
    }
}

impl Letters {
    /// Where the service is reached unless a setting says otherwise.
    pub const USUAL_URL: &str = "http://127.0.0.1:8080";
}

impl MailServer {
    /// Whether there is one.
    #[must_use]
    pub fn is_named(&self) -> bool {
        !self.host.is_empty()
    }

    /// Whether it runs on this machine.
    fn is_here(&self) -> bool {
        let address: Result<IpAddr, _> = self.host.parse();
        self.host == "localhost" || address.is_ok_and(|address| address.is_loopback())
    }

    /// A user needs a password, and the other way round.
    pub(super) fn check(&self) -> Result<(), SettingsError> {
        let said = match (self.user.is_empty(), &self.password) {
            (false, None) => format!(
                "`letters.smtp.user` needs one: set {}, or write it into the file {} of the data folder, with mode 0600",
                Password::VARIABLE,
                Password::FILE
            ),
            (true, Some(_)) if self.is_named() => {
                "there is one, but no `letters.smtp.user`".to_owned()
            }
            _ => return Ok(()),
        };
        Err(SettingsError::MailPassword(said))
    }
}

impl Letters {
    /// From whom letters come.
    ///
    /// # Errors
    /// When `letters.from` is no address.
    pub fn sender(&self) -> Result<Mailbox, SettingsError> {
        mailbox("letters.from", &self.from)
    }

    /// Whom those who answer a letter write to, if it is not whom it came from.
    ///
    /// # Errors
    /// When `letters.reply_to` is no address.
    pub fn answered_to(&self) -> Result<Option<Mailbox>, SettingsError> {
        if self.reply_to.is_empty() {
            return Ok(None);
        }
        mailbox("letters.reply_to", &self.reply_to).map(Some)
    }

    /// Where the service is reached from outside, without a slash at the end.
    #[must_use]
    pub fn outside(&self) -> &str {
        self.public_url.trim_end_matches('/')
    }

    /// The rules that types cannot hold.
    pub(super) fn rules(&self) -> impl Iterator<Item = Rule> {
        let (url, smtp) = (&self.public_url, &self.smtp);
        let from = self.sender().ok();
        let domain = from.as_ref().map_or("", |from| from.email.domain());
        let dkim = self.dkim.rules(domain);
        [
            (
                "letters.public_url",
                (url.starts_with("http://") || url.starts_with("https://"))
                    && url
                        .chars()
                        .all(|c| c.is_ascii_graphic() && !"'\"\\".contains(c)),
                "an address that begins with http:// or https://",
            ),
            (
                "letters.kept_days",
                (1..=366).contains(&self.kept_days),
                "1 to 366 days",
            ),
            (
                "letters.from",
                from.is_some(),
                "a name and an address, such as Worm bins <bins@example.org>",
            ),
            (
                "letters.reply_to",
                self.answered_to().is_ok(),
                "a name and an address, or nothing",
            ),
            (
                "letters.smtp.host",
                smtp.host.parse::<IpAddr>().is_ok()
                    || smtp
                        .host
                        .chars()
                        .all(|c| c.is_ascii_alphanumeric() || ".-".contains(c)),
                "the name or address of a mail server without its port, or nothing",
            ),
            ("letters.smtp.port", smtp.port > 0, "1 to 65535"),
            (
                "letters.smtp.tls",
                smtp.tls != Tls::Off || !smtp.is_named() || smtp.is_here(),
                "starttls or tls: only a mail server on this machine gets letters in the clear",
            ),
            (
                "letters.smtp.timeout_s",
                (1..=60).contains(&smtp.timeout_s),
                "1 to 60 seconds",
            ),
            (
                "letters.smtp.connections",
                (1..=32).contains(&smtp.connections),
                "1 to 32 letters at once",
            ),
        ]
        .into_iter()
        .chain(dkim)
    }
}

fn mailbox(key: &str, value: &str) -> Result<Mailbox, SettingsError> {
    value.parse().map_err(|_| SettingsError::Wrong {
        key: key.to_owned(),
        value: format!("`{value}`"),
        origin: "the settings".to_owned(),
        expected: "a name and an address".to_owned(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::Settings;
    use std::fs;
    use std::os::unix::fs::PermissionsExt;

    fn load(pairs: &[(&str, &str)]) -> Result<Settings, SettingsError> {
        let pairs = pairs.iter();
        let env = pairs.map(|(key, value)| ((*key).to_owned(), (*value).to_owned()));
        Settings::load(&env.collect())
    }

    /// Protects people from links that lead to another demo on the same machine: the demo puts
    /// its own address in the place of this one.
    #[test]
    fn the_usual_address_is_that_of_the_settings() {
        assert_eq!(load(&[]).unwrap().letters.public_url, Letters::USUAL_URL);
    }

    /// Protects whoever answers a letter from an address that nobody reads.
    #[test]
    fn answers_go_where_the_settings_say_or_back() {
        const REPLY_TO: &str = "WORMROTA__LETTERS__REPLY_TO";
        assert_eq!(load(&[]).unwrap().letters.answered_to().unwrap(), None);
        let named = load(&[(REPLY_TO, "Ada <ada@example.org>")]).unwrap();
        let to = named.letters.answered_to().unwrap().unwrap();
        assert_eq!(to.to_string(), "Ada <ada@example.org>");
        for wrong in ["Ada", "ada@example.org\nBcc: eve@example.org"] {
            let said = load(&[(REPLY_TO, wrong)]).unwrap_err().to_string();
            assert!(said.contains("letters.reply_to"), "{said}");
        }
    }

    const HOST: &str = "WORMROTA__LETTERS__SMTP__HOST";
    const TLS: &str = "WORMROTA__LETTERS__SMTP__TLS";
    const USER: &str = "WORMROTA__LETTERS__SMTP__USER";

    /// Protects links that sign in from being read on the way.
    #[test]
    fn letters_go_in_the_clear_only_to_this_machine() {
        assert_eq!(load(&[]).unwrap().letters.smtp.tls, Tls::StartTls);
        for here in ["localhost", "127.0.0.1", "::1"] {
            assert!(load(&[(HOST, here), (TLS, "off")]).is_ok(), "{here}");
        }
        for away in ["mail.example.org", "10.0.0.1", "localhost.example.org"] {
            let said = load(&[(HOST, away), (TLS, "off")]).unwrap_err().to_string();
            assert!(said.contains("letters.smtp.tls"), "{said}");
            assert!(load(&[(HOST, away), (TLS, "starttls")]).is_ok(), "{away}");
        }
    }

    /// Protects the password from logs, and from a file that others can read.
    #[test]
    fn the_password_comes_from_outside_or_a_file_and_is_never_printed() {
        let named = [(HOST, "mail.example.org"), (USER, "bins")];
        let said = load(&named).unwrap_err().to_string();
        assert!(said.contains(Password::VARIABLE), "{said}");

        let mut given = named.to_vec();
        given.push((Password::VARIABLE, "heron-password"));
        let settings = load(&given).unwrap();
        assert!(!format!("{settings:?}").contains("heron"));
        let password = settings.letters.smtp.password.unwrap();
        assert_eq!(password.reveal(), "heron-password");

        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(Password::FILE);
        fs::write(&path, "egret-password\n").unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
        let mut kept = named.to_vec();
        kept.push(("WORMROTA__DATA_FOLDER", folder.path().to_str().unwrap()));
        let said = load(&kept).unwrap_err().to_string();
        assert!(
            said.contains("chmod 600") && !said.contains("egret"),
            "{said}"
        );
        fs::set_permissions(&path, fs::Permissions::from_mode(0o600)).unwrap();
        let password = load(&kept).unwrap().letters.smtp.password.unwrap();
        assert_eq!(password.reveal(), "egret-password");

        let without_user = [(HOST, "mail.example.org"), (Password::VARIABLE, "x")];
        let said = load(&without_user).unwrap_err().to_string();
        assert!(said.contains("letters.smtp.user"), "{said}");
    }
}
