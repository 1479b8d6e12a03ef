//! What the terminal says when the demo has begun: accounts to sign in with, and three
//! requests ready to be pasted into a POSIX shell with curl and sed.

use super::{Account, Demo, Example};
use crate::clock;
use crate::desk::offers::{Amount, Item};
use chrono::TimeDelta;
use serde_json::{Value, json};
use std::fmt::Write as _;
use wormrota_domain::living_bin::decision::Outcome;

impl Demo {
    /// The greeting for a service that listens at `base`, such as
    /// `http://127.0.0.1:8080`.
    #[must_use]
    pub fn greeting(&self, base: &str) -> String {
        let mut text = format!(
            "The demo is at {base}; its clock shows {}.\n",
            self.now.format("%Y-%m-%d %H:%M UTC")
        );
        if let Some(loaded) = self.loaded {
            let entries = loaded.entries();
            let _ = writeln!(
                text,
                "Loaded an invented year of {} sites and {} bins: {entries} entries in {} s.",
                loaded.sites,
                loaded.bins,
                seconds(self.loading_took)
            );
        }
        let _ = writeln!(text, "\nPassword of every account: {}", self.password);
        let longest = self
            .accounts
            .iter()
            .map(|account| account.email.len())
            .max();
        for account in &self.accounts {
            let _ = writeln!(
                text,
                "  {:width$}  {}",
                account.email,
                described(account),
                width = longest.unwrap_or(0)
            );
        }
        for example in &self.examples {
            let _ = write!(
                text,
                "\n# {}\n{}\n{}\n",
                title(example),
                self.signing_in(base),
                feeding(base, example)
            );
        }
        if self.examples.len() < 3 {
            text.push_str(
                "\nNo bin would give the other answers today: nobody has fed them for long. \
                 Begin a new demo for all three.\n",
            );
        }
        let _ = writeln!(
            text,
            "\nNobody gets a letter from the demo; those that it writes are at {base}/letters"
        );
        let body = quoted(&json!({"advance_days": 1}).to_string());
        let _ = write!(
            text,
            "\n# Let a day pass.\ncurl -s {base}/v1/demo/clock -H \"Authorization: Bearer \
             $TOKEN\" -H 'Content-Type: application/json' -d {body}; echo\n"
        );
        text
    }

    fn signing_in(&self, base: &str) -> String {
        let (email, password) = self.sign_in();
        let body = quoted(&json!({"email": email, "password": password}).to_string());
        format!(
            "TOKEN=$(curl -s {base}/v1/sessions -H 'Content-Type: application/json' -d {body} \
             | sed 's/.*\"access_token\":\"\\([^\"]*\\)\".*/\\1/')"
        )
    }
}

fn feeding(base: &str, example: &Example) -> String {
    let items: Vec<Value> = example.items.iter().map(item).collect();
    let body = quoted(&json!({ "items": items }).to_string());
    format!(
        "curl -s {base}/v1/sites/{}/bins/{}/feedings -H \"Authorization: Bearer $TOKEN\" \
         -H 'Content-Type: application/json' -H 'Idempotency-Key: {}' -d {body}; echo",
        example.site,
        example.bin,
        clock::fresh_id()
    )
}

fn item(item: &Item) -> Value {
    match &item.amount {
        Amount::Weighed(grams) => json!({"food": item.food, "amount_kg": grams.kg().0}),
        Amount::Filled { measure, quarters } => {
            json!({"food": item.food, "measure": measure, "quarters": quarters})
        }
    }
}

fn title(example: &Example) -> String {
    let offered: Vec<String> = example
        .items
        .iter()
        .map(|item| match &item.amount {
            Amount::Weighed(grams) => format!("{} kg of {}", grams.kg().0, item.food),
            Amount::Filled { measure, quarters } => {
                format!("{quarters}/4 of a {measure} of {}", item.food)
            }
        })
        .collect();
    let offered = offered.join(", ");
    let bin = &example.bin_name;
    match example.outcome {
        Outcome::Accepted => format!("Accepted: {offered} into {bin}."),
        Outcome::AcceptedIf => format!("Accepted on condition: {offered} into {bin}."),
        Outcome::Refused => format!("Refused: {offered} into {bin}."),
    }
}

fn described(account: &Account) -> String {
    let Account {
        name, role, site, ..
    } = account;
    let site = site.as_deref().unwrap_or("all sites");
    format!("{name}, {}, {site}", role.code())
}

/// A word for the shell, whatever is in it.
fn quoted(text: &str) -> String {
    format!("'{}'", text.replace('\'', r"'\''"))
}

/// Seconds with one decimal.
fn seconds(span: TimeDelta) -> String {
    let tenths = span.num_milliseconds() / 100;
    format!("{}.{}", tenths / 10, tenths % 10)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quote_does_not_end_the_word() {
        assert_eq!(quoted("Ann's pail"), r"'Ann'\''s pail'");
    }

    #[test]
    fn seconds_are_told_in_tenths() {
        assert_eq!(seconds(TimeDelta::milliseconds(2_340)), "2.3");
        assert_eq!(seconds(TimeDelta::milliseconds(90)), "0.0");
    }
}
