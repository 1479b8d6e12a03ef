//! Links from one answer to the next request.

use super::{document, operations};
use std::collections::BTreeSet;

#[tokio::test]
async fn links_lead_from_what_was_made_to_what_can_be_done_with_it() {
    let document = document().await;
    let all = operations(&document);
    let mut led_to = BTreeSet::new();
    for (method, path, operation) in &all {
        for response in operation["responses"].as_object().unwrap().values() {
            let Some(links) = response["links"].as_object() else {
                continue;
            };
            for link in links.values() {
                let id = link["operationId"].as_str().unwrap();
                let (_, target, wanted) = all
                    .iter()
                    .find(|(_, _, operation)| operation["operationId"] == id)
                    .unwrap_or_else(|| panic!("{method} {path} leads nowhere: {id}"));
                let given = link["parameters"].as_object().unwrap();
                let named = |name: &str| {
                    let parameters = wanted["parameters"].as_array().unwrap();
                    parameters.iter().any(|parameter| parameter["name"] == name)
                };
                assert!(given.keys().all(|name| named(name)), "{id}: {given:?}");
                // What the path of the target needs the link has, or the answer's own path.
                for part in target.split('/').filter_map(|part| part.strip_prefix('{')) {
                    let name = part.trim_end_matches('}');
                    assert!(given.contains_key(name), "{method} {path} to {id}: {name}");
                }
                led_to.insert(id.to_owned());
            }
        }
    }
    for (method, path, operation) in &all {
        let id = operation["operationId"].as_str().unwrap();
        // To the first site nothing leads but signing in, which needs no key of anything.
        if path.contains('{') && !path.starts_with("/problems/") {
            assert!(led_to.contains(id), "nothing leads to {method} {path}");
        }
    }
}
