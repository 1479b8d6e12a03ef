//! Why settings cannot be used.

/// Why the settings cannot be used. Each is a sentence for whoever starts the service.
#[derive(Debug, thiserror::Error)]
pub enum SettingsError {
    /// A file or the environment names a key that does not exist.
    #[error("unknown setting `{key}` in {origin}; config/default.toml lists every key")]
    UnknownKey {
        /// The dotted key.
        key: String,
        /// Where it was found.
        origin: String,
    },
    /// A value has the wrong type or lies outside what can be meant.
    #[error("setting `{key}` is {value} (from {origin}); expected {expected}")]
    Wrong {
        /// The dotted key.
        key: String,
        /// What was found.
        value: String,
        /// Where it was found.
        origin: String,
        /// What would be right.
        expected: String,
    },
    /// A file cannot be read or is not TOML, or a layer cannot be merged.
    #[error("{0}")]
    Unreadable(String),
    /// The signing keys are missing, malformed or readable by others.
    #[error("signing keys: {0}")]
    SigningKeys(String),
    /// The mail server's password is missing, superfluous or readable by others.
    #[error("password of the mail server: {0}")]
    MailPassword(String),
    /// The key for signing letters is missing, superfluous, unusable or readable by others.
    #[error("key for signing letters: {0}")]
    DkimKey(String),
}
