//! A line of a list of people.

use super::list::COLUMNS;
use crate::desk::fields::{self, Check};
use crate::desk::labels;
use csv::StringRecord;
use std::collections::BTreeMap;
use wormrota_domain::access::Role;
use wormrota_domain::site::Language;

/// A line of the list that can be read. Its fields are checked; whether they are possible
/// here is not.
#[derive(Clone, PartialEq, Eq)]
pub(super) struct Line {
    /// The number in the file; the header is line 1.
    pub number: usize,
    /// The name; of a pupil, the label.
    pub name: String,
    /// The address in lower case, for somebody who is to be invited.
    pub email: Option<String>,
    /// The flat, where there are flats.
    pub flat: Option<String>,
    /// What they are to be.
    pub to_be: ToBe,
    /// The language that they are written to in, if not the site's.
    pub language: Option<Language>,
    /// The class of a pupil or of a teacher.
    pub class: Option<String>,
}

/// What somebody on a list is to be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum ToBe {
    /// A member in these roles.
    Member(Vec<Role>),
    /// A pupil.
    Pupil,
}

impl Line {
    /// A pointer to a cell of this line.
    pub(super) fn at(&self, column: &str) -> String {
        cell(self.number, column)
    }
}

pub(super) fn cell(line: usize, column: &str) -> String {
    format!("/lines/{line}/{column}")
}

pub(super) fn read_line(
    record: &StringRecord,
    number: usize,
    columns: &[usize],
    emails: &mut BTreeMap<String, usize>,
    check: &mut Check,
) -> Option<Line> {
    let before = check.count();
    if record.len() != columns.len() {
        check.wrong(
            format!("/lines/{number}"),
            format!("must have as many cells as the header ({})", columns.len()),
        );
        return None;
    }
    let mut cells = [""; COLUMNS.len()];
    for (raw, column) in record.iter().zip(columns) {
        if is_formula(raw) {
            let detail = "must not begin like a formula (= + - @ or a control character)";
            check.wrong(cell(number, COLUMNS[*column]), detail);
        }
        cells[*column] = raw.trim();
    }
    if check.count() > before {
        return None;
    }
    let [name, email, flat, role, language, class] = cells;
    let given = |text: &'static str, value: &str| (!value.is_empty()).then(|| cell(number, text));
    let to_be = read_roles(role, number, check);
    let mut line = Line {
        number,
        name: String::new(),
        email: None,
        flat: None,
        to_be: to_be.clone()?,
        language: None,
        class: given("class", class).map(|pointer| check.name(&pointer, class, 60)),
    };
    if line.to_be == ToBe::Pupil {
        match labels::label(name) {
            Ok(label) => line.name = label,
            Err(bad) => check.wrong(line.at("name"), bad.detail()),
        }
        for (column, value) in [("email", email), ("flat", flat), ("language", language)] {
            if let Some(pointer) = given(column, value) {
                check.wrong(
                    pointer,
                    "must be empty: nothing is kept of a pupil but the label",
                );
            }
        }
        if line.class.is_none() {
            check.wrong(line.at("class"), "must name the class of a pupil");
        }
        return (check.count() == before).then_some(line);
    }
    line.name = check.name(&line.at("name"), name, 100);
    if let Some(pointer) = given("email", email) {
        line.email = fields::email(email);
        match &line.email {
            None => check.wrong(pointer, "must be an e-mail address"),
            Some(email) => {
                let first = *emails.entry(email.clone()).or_insert(number);
                if first != number {
                    let detail = format!("must not be the address of line {first} too");
                    check.wrong(pointer, detail);
                }
            }
        }
    }
    line.flat = given("flat", flat).map(|pointer| check.name(&pointer, flat, 30));
    if let Some(pointer) = given("language", language) {
        line.language = Language::from_code(&language.to_lowercase());
        if line.language.is_none() {
            check.wrong(pointer, "must be en or es, or empty for the site's");
        }
    }
    let teaches = matches!(&line.to_be, ToBe::Member(roles) if roles.contains(&Role::Teacher));
    if line.class.is_some() && !teaches {
        check.wrong(
            line.at("class"),
            "must be empty but for pupils and teachers",
        );
    }
    (check.count() == before).then_some(line)
}

fn read_roles(text: &str, number: usize, check: &mut Check) -> Option<ToBe> {
    let words: Vec<String> = text
        .split(|c: char| c == '+' || c.is_whitespace())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .collect();
    if words.iter().any(|word| word == "pupil") {
        if words.len() > 1 {
            check.wrong(cell(number, "role"), "must be pupil alone, or other roles");
            return None;
        }
        return Some(ToBe::Pupil);
    }
    let roles: Option<Vec<Role>> = words.iter().map(|word| Role::from_code(word)).collect();
    match roles {
        Some(mut roles) if !roles.is_empty() => {
            roles.sort_unstable();
            roles.dedup();
            Some(ToBe::Member(roles))
        }
        _ => {
            let detail =
                "must be resident, caretaker, teacher, educator (several joined by +), or pupil";
            check.wrong(cell(number, "role"), detail);
            None
        }
    }
}

/// Whether a spreadsheet that opens this cell again would take it for a formula.
fn is_formula(raw: &str) -> bool {
    raw.starts_with(['\t', '\r']) || raw.trim_start().starts_with(['=', '+', '-', '@'])
}
