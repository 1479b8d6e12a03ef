//! What README.md and DEVELOPERS.md say is so: their tables are the program's, their
//! requests are requests that the API takes, and what they point at is there.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    reason = "helpers of tests are tests too"
)]

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};
use wormrota::api::{openapi, problem};
use wormrota_domain::access;

const BOTH: [&str; 2] = ["README.md", "DEVELOPERS.md"];

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn text_of(path: impl AsRef<Path>) -> String {
    let path = root().join(path);
    fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

#[track_caller]
fn assert_holds(file: &str, block: &str) {
    assert!(
        text_of(file).contains(&format!("\n\n{block}\n")),
        "{file} should hold this block:\n\n{block}"
    );
}

#[test]
fn the_table_of_problems_is_the_programs() {
    assert_holds("README.md", &problem::as_markdown());
}

#[test]
fn the_table_of_who_may_do_what_is_the_programs() {
    assert_holds("DEVELOPERS.md", &access::as_markdown());
}

/// Targets of links within the repository, without what follows a `#`.
fn links(text: &str) -> Vec<&str> {
    text.split("](")
        .skip(1)
        .map(|rest| rest.split([')', '#']).next().unwrap())
        .filter(|target| !target.is_empty() && !target.contains("://"))
        .collect()
}

#[test]
fn what_is_linked_is_there() {
    for file in BOTH {
        let text = text_of(file);
        let links = links(&text);
        assert!(links.len() >= 5, "{file}: {links:?}");
        for target in links {
            assert!(root().join(target).exists(), "{file} links to {target}");
        }
    }
}

#[test]
fn tests_that_are_named_are_there() {
    let mut named = 0;
    for file in BOTH {
        let text = text_of(file);
        for link in text.split('[').skip(1) {
            let Some((name, rest)) = link.split_once("](") else {
                continue;
            };
            let target = rest.split(')').next().unwrap();
            // A test's name is a sentence; a module's is shorter.
            let is_sentence = name.matches('_').count() >= 2 && !name.contains([' ', '.', '`']);
            if is_sentence && target.contains(".rs") {
                let code = text_of(target);
                let there = code.contains(&format!("fn {name}("));
                assert!(there, "{file} names {name}, which is not in {target}");
                named += 1;
            }
        }
    }
    assert!(named >= 25, "{named}");
}

/// A request as it stands in a document.
struct Request<'a> {
    line: &'a str,
    method: &'static str,
    path: &'a str,
    body: Option<Value>,
}

impl<'a> Request<'a> {
    fn read(line: &'a str) -> Self {
        let (_, rest) = line.split_once("$BASE").unwrap();
        let path = rest.split([' ', '"', '?', ';', ')']).next().unwrap();
        let body = line.split_once(" -d ").map(|(_, rest)| body(rest));
        let method = match line.split_once(" -X ") {
            Some((_, rest)) => match rest.split(' ').next().unwrap() {
                "POST" => "post",
                "PATCH" => "patch",
                "PUT" => "put",
                "DELETE" => "delete",
                other => panic!("{other}: {line}"),
            },
            None if body.is_some() || line.contains(" --data-binary ") => "post",
            None => "get",
        };
        Self {
            line,
            method,
            path,
            body,
        }
    }
}

/// The JSON of a quoted word of the shell.
fn body(rest: &str) -> Value {
    let word = if let Some(rest) = rest.strip_prefix('\'') {
        rest.split('\'').next().unwrap().to_owned()
    } else {
        let rest = rest.strip_prefix('"').unwrap().replace("\\\"", "\0");
        rest.split('"').next().unwrap().replace('\0', "\"")
    };
    serde_json::from_str(&word).unwrap_or_else(|error| panic!("{word}: {error}"))
}

/// Requests of a document; the `curl` of a line that stores what it answers counts too.
fn requests(text: &str) -> Vec<Request<'_>> {
    let mut in_shell = false;
    let mut found = Vec::new();
    for line in text.lines() {
        if line.starts_with("```") {
            in_shell = line == "```sh";
        } else if in_shell && line.contains("curl ") {
            found.push(Request::read(line));
        }
    }
    found
}

/// Whether a path of a request, with variables of the shell in it, is this one of the API.
fn is_path(asked: &str, served: &str) -> bool {
    let (mut asked, mut served) = (asked.split('/'), served.split('/'));
    loop {
        match (asked.next(), served.next()) {
            (None, None) => return true,
            (Some(a), Some(s)) if a == s || (a.starts_with('$') && s.starts_with('{')) => {}
            _ => return false,
        }
    }
}

fn resolved<'a>(document: &'a Value, schema: &'a Value) -> &'a Value {
    match schema["$ref"].as_str() {
        Some(target) => document.pointer(&target[1..]).unwrap(),
        None => schema,
    }
}

/// The fields of a body are those of the schema, all the way down.
fn check_fields(document: &Value, schema: &Value, value: &Value, line: &str) {
    let schema = resolved(document, schema);
    match value {
        Value::Array(items) => {
            for item in items {
                check_fields(document, &schema["items"], item, line);
            }
        }
        // The fields stand in the first part; the others say what must go together.
        Value::Object(_) if schema["allOf"].is_array() => {
            check_fields(document, &schema["allOf"][0], value, line);
        }
        Value::Object(members) if schema["properties"].is_object() => {
            for (name, member) in members {
                let property = &schema["properties"][name];
                assert!(!property.is_null(), "there is no field {name}: {line}");
                check_fields(document, property, member, line);
            }
            for required in schema["required"].as_array().into_iter().flatten() {
                let name = required.as_str().unwrap();
                assert!(members.contains_key(name), "{name} is missing: {line}");
            }
        }
        Value::Object(_) => panic!("no object is wanted there: {line}"),
        _ => {}
    }
}

#[test]
fn every_request_in_the_readme_is_one_that_the_api_takes() {
    let document = serde_json::to_value(openapi::document(true)).unwrap();
    let readme = text_of("README.md");
    let requests = requests(&readme);
    assert!(requests.len() >= 20, "{}", requests.len());
    for Request {
        line,
        method,
        path,
        body,
    } in requests
    {
        let paths = document["paths"].as_object().unwrap();
        let (_, item) = paths
            .iter()
            .find(|(served, _)| is_path(path, served))
            .unwrap_or_else(|| panic!("{path} is not served: {line}"));
        let operation = &item[method];
        assert!(operation.is_object(), "{path} takes no {method}: {line}");
        let wants_token = operation["security"] != serde_json::json!([]);
        assert_eq!(line.contains("-H \"$AUTH\""), wants_token, "{line}");
        assert_eq!(line.contains("-H \"$JSON\""), body.is_some(), "{line}");
        if let Some(body) = body {
            let schema = &operation["requestBody"]["content"]["application/json"]["schema"];
            check_fields(&document, schema, &body, line);
        }
    }
}

#[test]
fn the_ten_requests_are_ten() {
    let readme = text_of("README.md");
    let counted: Vec<u8> = readme
        .lines()
        .filter_map(|line| line.strip_prefix("**")?.split_once(". ")?.0.parse().ok())
        .collect();
    assert_eq!(counted, (1..=10).collect::<Vec<_>>());
}

#[test]
fn accounts_and_their_password_are_the_demos() {
    let (readme, data) = (text_of("README.md"), text_of("demo-data/sites.toml"));
    let accounts: BTreeSet<&str> = readme
        .split(['`', '"'])
        .filter(|word| word.contains('@') && word.ends_with(".example"))
        .collect();
    assert!(accounts.len() >= 5, "{accounts:?}");
    for account in accounts {
        assert!(
            data.contains(&format!("email = \"{account}\"")),
            "{account}"
        );
    }
    let (_, rest) = data.split_once("\npassword = \"").unwrap();
    let password = rest.split('"').next().unwrap();
    assert!(readme.contains(&format!("the password `{password}`")));
    assert!(readme.contains(&format!("\"password\": \"{password}\"")));
}

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

/// A test: where it stands and what it is called.
type Test = (String, String);

/// The numbers that a doc comment names: "Check value 3, …" or "Check values 19 and 20: …".
fn numbers(doc: &str) -> Vec<u32> {
    let lower = doc.to_lowercase();
    let Some((_, rest)) = lower.split_once("check value") else {
        return Vec::new();
    };
    let before = rest
        .trim_start_matches('s')
        .split([',', ':'])
        .next()
        .unwrap();
    let numbers = before.split(" and ").map(|one| one.trim().parse());
    numbers
        .collect::<Result<_, _>>()
        .unwrap_or_else(|error| panic!("{error}:{doc}"))
}

/// Every test of the domain, and which check values it names.
fn tests_of_the_domain() -> BTreeMap<Test, Vec<u32>> {
    let mut found = BTreeMap::new();
    for file in rust_files(&root().join("src/domain")) {
        let short = file.strip_prefix(root()).unwrap().display().to_string();
        let (mut doc, mut is_test) = (String::new(), false);
        for line in text_of(&file).lines().map(str::trim_start) {
            if let Some(comment) = line.strip_prefix("///") {
                doc.push_str(comment);
            } else if line.starts_with("#[") {
                is_test |= line == "#[test]";
            } else {
                if let (true, Some(rest)) = (is_test, line.strip_prefix("fn ")) {
                    let name = rest.split('(').next().unwrap().to_owned();
                    found.insert((short.clone(), name), numbers(&doc));
                }
                (doc, is_test) = (String::new(), false);
            }
        }
    }
    found
}

/// The rows of the table of check values: numbers, and the test.
fn table_of_check_values() -> Vec<(Vec<u32>, Test)> {
    let page = text_of("DEVELOPERS.md");
    let (_, section) = page.split_once("\n## Check values\n").unwrap();
    let (section, _) = section.split_once("\n## ").unwrap();
    let rows = section
        .lines()
        .filter(|line| line.starts_with("| "))
        .skip(2);
    rows.map(|row| {
        let cells: Vec<&str> = row.trim_matches('|').split(" | ").map(str::trim).collect();
        let [number, what, origin, test] = cells[..] else {
            panic!("four cells are wanted: {row}");
        };
        assert!(!what.is_empty() && !origin.is_empty(), "{row}");
        let numbers = match number {
            "–" => Vec::new(),
            some => some.split(", ").map(|one| one.parse().unwrap()).collect(),
        };
        let (name, file) = test.trim_matches(['[', ')']).split_once("](").unwrap();
        (numbers, (file.to_owned(), name.to_owned()))
    })
    .collect()
}

#[test]
fn every_check_value_has_the_test_that_the_table_names() {
    let tests = tests_of_the_domain();
    let table = table_of_check_values();
    for (numbers, test) in &table {
        let named = tests
            .get(test)
            .unwrap_or_else(|| panic!("there is no test {test:?}"));
        assert_eq!(named, numbers, "{test:?}");
    }
    let listed: BTreeSet<&Test> = table.iter().map(|(_, test)| test).collect();
    for (test, numbers) in &tests {
        assert!(
            numbers.is_empty() || listed.contains(test),
            "the table lacks {numbers:?}, tested by {test:?}"
        );
    }
    let mut counted: Vec<u32> = table.into_iter().flat_map(|(numbers, _)| numbers).collect();
    let before = counted.len();
    counted.sort_unstable();
    counted.dedup();
    assert_eq!(counted.len(), before, "a number comes twice");
    assert!(before >= 25, "{before}");
}
