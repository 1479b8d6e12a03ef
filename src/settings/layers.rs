//! The layers of the settings, and what is said about a value in one of them.

use super::{Env, SettingsError};
use config::{Config, Environment, File, FileFormat, Map, Value, ValueKind};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// The table whose keys only the domain knows: it refuses those it does not.
const OPEN_TABLE: &str = "living_bin.";

/// Builds one layer.
pub(super) fn read(
    builder: config::ConfigBuilder<config::builder::DefaultState>,
) -> Result<Config, SettingsError> {
    builder
        .build()
        .map_err(|error| SettingsError::Unreadable(format!("cannot read the settings: {error}")))
}

pub(super) fn env_layer(env: &Env) -> Environment {
    Environment::with_prefix("WORMROTA")
        .prefix_separator("__")
        .separator("__")
        .try_parsing(true)
        .source(Some(
            env.iter().map(|(k, v)| (k.clone(), v.clone())).collect(),
        ))
}

/// The file named by `WORMROTA_CONFIG`, which must exist, or the data folder's, which may.
pub(super) fn file_layer(
    env: &Env,
    defaults: &Config,
    environment: &Config,
) -> Result<Option<Config>, SettingsError> {
    let path = if let Some(named) = env.get("WORMROTA_CONFIG").filter(|path| !path.is_empty()) {
        PathBuf::from(named)
    } else {
        let folder = environment
            .get_string("data_folder")
            .or_else(|_| defaults.get_string("data_folder"))
            .map_err(|error| wrong_type(defaults, error))?;
        let path = Path::new(&folder).join("wormrota.toml");
        if !path.exists() {
            return Ok(None);
        }
        path
    };
    Config::builder()
        .add_source(File::from(path.as_path()).format(FileFormat::Toml))
        .build()
        .map(Some)
        .map_err(|error| {
            SettingsError::Unreadable(format!(
                "cannot read the settings file {}: {error}",
                path.display()
            ))
        })
}

/// Dotted keys and their values, tables taken apart.
pub(super) fn flatten(config: &Config) -> Vec<(String, Value)> {
    let mut found = Vec::new();
    if let ValueKind::Table(table) = &config.cache.kind {
        flatten_table("", table, &mut found);
    }
    found
}

fn flatten_table(prefix: &str, table: &Map<String, Value>, found: &mut Vec<(String, Value)>) {
    for (name, value) in table {
        let key = if prefix.is_empty() {
            name.clone()
        } else {
            format!("{prefix}.{name}")
        };
        match &value.kind {
            ValueKind::Table(inner) => flatten_table(&key, inner, found),
            _ => found.push((key, value.clone())),
        }
    }
}

pub(super) fn refuse_unknown_keys(
    layer: &Config,
    known: &BTreeMap<String, Value>,
) -> Result<(), SettingsError> {
    for (key, value) in flatten(layer) {
        if !known.contains_key(&key) && !key.starts_with(OPEN_TABLE) {
            return Err(SettingsError::UnknownKey {
                key,
                origin: origin(value.origin()),
            });
        }
    }
    Ok(())
}

/// Where a value came from, in words.
fn origin(from: Option<&str>) -> String {
    match from {
        None => "the defaults".to_owned(),
        Some("the environment") => "the environment".to_owned(),
        Some(path) => format!("the file {path}"),
    }
}

pub(super) fn wrong(merged: &Config, key: &str, expected: &str) -> SettingsError {
    let value = flatten(merged)
        .into_iter()
        .find(|(found, _)| found == key)
        .map(|(_, value)| value);
    SettingsError::Wrong {
        key: key.to_owned(),
        value: value
            .as_ref()
            .map_or_else(|| "missing".to_owned(), |value| format!("`{value}`")),
        origin: origin(value.as_ref().and_then(Value::origin)),
        expected: expected.to_owned(),
    }
}

/// Turns the configuration crate's errors into ours: it knows the key, we know the rest.
pub(super) fn wrong_type(merged: &Config, error: config::ConfigError) -> SettingsError {
    let (key, expected) = match error {
        config::ConfigError::Type {
            key: Some(key),
            expected,
            ..
        } => (key, expected.to_owned()),
        config::ConfigError::At {
            key: Some(key),
            error,
            ..
        } => (key, error.to_string()),
        other => return SettingsError::Unreadable(format!("cannot use the settings: {other}")),
    };
    let expected = match key.as_str() {
        "server.address" => "an address with a port, such as 127.0.0.1:8080",
        "log.format" => "text or json",
        "server.trusted_proxies" => "addresses such as 10.0.0.7 or 10.0.0.0/8, with commas",
        _ => &expected,
    };
    wrong(merged, &key, expected)
}
