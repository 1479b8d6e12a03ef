//! The house keeps its order: a module uses only what stands to its left.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "helpers of tests are tests too"
)]

use std::fs;
use std::path::{Path, PathBuf};

/// The service's modules from left to right; those on one line are equals that do not
/// know each other, unless named in `AMONG_EQUALS`.
const SERVICE: [&[&str]; 8] = [
    &["settings", "clock", "telemetry", "private_postgres"],
    &["store"],
    &["desk"],
    &["work"],
    &["wording", "html", "icalendar"],
    &["api", "letters"],
    &["demo"],
    &["cli"],
];

/// The domain's modules from left to right.
const DOMAIN: [&[&str]; 12] = [
    &["coded"],
    &["units", "ids", "calendar", "site"],
    &["phrase"],
    &["food"],
    &["speech"],
    &["living_bin"],
    &["closure"],
    &["rota"],
    &["turns"],
    &["cover"],
    &["letters"],
    &["access"],
];

/// What equals may know of each other, with the reason.
const AMONG_EQUALS: [(&str, &str); 3] = [
    // A filter that cannot be read must stop the start as any other wrong setting does.
    ("settings", "telemetry"),
    // Which form log lines have is a setting.
    ("telemetry", "settings"),
    // The demo shows the letters that lie in their folder.
    ("api", "letters"),
];

/// Layers that a module leaves out although they stand to its left.
const NOT_USED: [(&str, &str); 9] = [
    ("turns", "food"),
    ("turns", "living_bin"),
    ("turns", "rota"),
    ("wording", "store"),
    ("wording", "desk"),
    ("wording", "work"),
    ("icalendar", "store"),
    ("icalendar", "desk"),
    ("icalendar", "work"),
];

fn rust_files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            found.extend(rust_files(&path));
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            found.push(path);
        }
    }
    found
}

/// The module that a file of a package belongs to; none for the package's own roots.
fn module_of(root: &Path, file: &Path) -> Option<String> {
    let first = file.strip_prefix(root).unwrap().components().next()?;
    let name = first
        .as_os_str()
        .to_str()?
        .trim_end_matches(".rs")
        .to_owned();
    (!["lib", "main"].contains(&name.as_str())).then_some(name)
}

/// Every `crate::module` that the code of a file names, comments left out.
fn used(text: &str) -> Vec<String> {
    let mut found = Vec::new();
    for line in text.lines() {
        let code = line.split("//").next().unwrap();
        for (at, _) in code.match_indices("crate::") {
            let before = code[..at].chars().next_back();
            if before.is_some_and(|c| c.is_alphanumeric() || c == '_' || c == '$') {
                continue;
            }
            let rest = &code[at + "crate::".len()..];
            let named: String = rest
                .chars()
                .take_while(|c| c.is_alphanumeric() || *c == '_')
                .collect();
            // `use crate::{a, b}` would hide names from this test.
            assert!(!named.is_empty(), "write one `use crate::` a line: {line}");
            found.push(named);
        }
    }
    found
}

fn check(root: &Path, layers: &[&[&str]], skip: Option<&str>) -> usize {
    let layer = |module: &str| {
        layers
            .iter()
            .position(|layer| layer.contains(&module))
            .unwrap_or_else(|| panic!("{module} stands in no layer of tests/house.rs"))
    };
    let mut uses = 0;
    for file in rust_files(root) {
        let Some(module) = module_of(root, &file) else {
            continue;
        };
        if skip == Some(module.as_str()) {
            continue;
        }
        let own = layer(&module);
        for other in used(&fs::read_to_string(&file).unwrap()) {
            if other == module {
                continue;
            }
            uses += 1;
            let pair = (module.as_str(), other.as_str());
            let fine = layer(&other) < own || AMONG_EQUALS.contains(&pair);
            assert!(
                fine,
                "{} uses {other}, which does not stand to its left",
                file.display()
            );
            assert!(!NOT_USED.contains(&pair), "{} uses {other}", file.display());
        }
    }
    uses
}

#[test]
fn modules_of_the_service_use_only_what_stands_to_their_left() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    assert!(check(&root, &SERVICE, Some("domain")) > 30);
}

#[test]
fn modules_of_the_domain_use_only_what_stands_to_their_left() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/domain");
    assert!(check(&root, &DOMAIN, None) > 10);
}

#[test]
fn only_the_store_knows_diesel() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    for file in rust_files(&root) {
        if file.starts_with(root.join("store")) {
            continue;
        }
        let text = fs::read_to_string(&file).unwrap();
        for line in text
            .lines()
            .filter(|line| !line.trim_start().starts_with("//"))
        {
            assert!(
                !line.contains("use diesel")
                    && !line.contains("diesel::")
                    && !line.contains("diesel_async::"),
                "{}: {line}",
                file.display()
            );
        }
    }
}
