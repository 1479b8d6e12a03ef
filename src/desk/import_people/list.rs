//! A list of people as a spreadsheet saves it: CSV (RFC 4180) in UTF-8, with commas or
//! semicolons, and a header line.

use super::line::{Line, read_line};
use super::line_counter::LineCounter;
use crate::desk::FieldError;
use crate::desk::fields::Check;
use csv::{ReaderBuilder, StringRecord};
use std::collections::BTreeMap;

/// Errors that are told one by one; of more than these only the number.
pub(super) const MOST_ERRORS: usize = 100;

/// The columns that a list may have, in any order. The first and the fourth must be there.
pub(super) const COLUMNS: [&str; 6] = ["name", "email", "flat", "role", "language", "class"];

/// A list as far as it can be read, and what is wrong with the rest.
#[derive(Clone, Default)]
pub(super) struct List {
    /// The lines without faults.
    pub lines: Vec<Line>,
    /// What is wrong with the others.
    pub check: Check,
}

/// Errors by line, cut short, with their number.
pub(super) fn cut(mut errors: Vec<FieldError>) -> (Vec<FieldError>, usize) {
    let line = |error: &FieldError| -> usize {
        let part = error.pointer.split('/').nth(2);
        part.and_then(|number| number.parse().ok()).unwrap_or(0)
    };
    let total = errors.len();
    errors.sort_by_key(line);
    errors.truncate(MOST_ERRORS);
    (errors, total)
}

/// Reads a list; of one with more than `most_lines` lines besides the header, nothing.
pub(super) fn read(bytes: &[u8], most_lines: usize) -> List {
    let mut list = List::default();
    match text_of(bytes) {
        Err(detail) => list.check.wrong("", detail),
        Ok(text) => read_text(text, most_lines, &mut list),
    }
    list
}

/// The text, without a byte order mark.
fn text_of(bytes: &[u8]) -> Result<&str, &'static str> {
    let utf16 = bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]);
    if utf16 || bytes.contains(&0) {
        return Err("must be UTF-8, and this looks like UTF-16: save the table as \"CSV UTF-8\"");
    }
    let text =
        std::str::from_utf8(bytes).map_err(|_| "must be UTF-8: save the table as \"CSV UTF-8\"")?;
    Ok(text.trim_start_matches('\u{FEFF}'))
}

fn read_text(text: &str, most_lines: usize, list: &mut List) {
    let header = text.lines().next().unwrap_or_default();
    let semicolons = header.contains(';') && !header.contains(',');
    let mut reader = ReaderBuilder::new()
        .delimiter(if semicolons { b';' } else { b',' })
        .has_headers(false)
        .flexible(true)
        .from_reader(text.as_bytes());
    let mut columns: Option<Vec<usize>> = None;
    let mut lines = LineCounter::of(text);
    let mut emails: BTreeMap<String, usize> = BTreeMap::new();
    let mut read = 0_usize;
    for record in reader.records() {
        let Ok(record) = record else {
            list.check.wrong("", "must be CSV (RFC 4180)");
            return;
        };
        let start = record.position().map_or(0, csv::Position::byte);
        let number = lines.of_record_at(usize::try_from(start).unwrap_or(usize::MAX));
        let Some(columns) = &columns else {
            columns = columns_of(&record, number, &mut list.check);
            if columns.is_none() {
                return;
            }
            continue;
        };
        // Spreadsheets save lines that somebody emptied.
        if record.iter().all(|cell| cell.trim().is_empty()) {
            continue;
        }
        read += 1;
        if read > most_lines {
            *list = List::default();
            let detail = format!("must have at most {most_lines} lines: send it in parts");
            list.check.wrong("/lines", detail);
            return;
        }
        if let Some(line) = read_line(&record, number, columns, &mut emails, &mut list.check) {
            list.lines.push(line);
        }
    }
    if columns.is_none() || read == 0 {
        list.check
            .wrong("/lines", "must have a header line and at least one more");
    }
}

/// Which column of [`COLUMNS`] stands in each place of the header.
fn columns_of(header: &StringRecord, number: usize, check: &mut Check) -> Option<Vec<usize>> {
    let pointer = format!("/lines/{number}");
    let mut found = Vec::new();
    for (place, name) in header.iter().enumerate() {
        let name = name.trim().to_lowercase();
        let place = place + 1;
        match COLUMNS.iter().position(|column| *column == name) {
            None => {
                check.wrong(
                    &pointer,
                    format!(
                        "must name only columns out of {}: the one in place {place} is none of them",
                        COLUMNS.join(", ")
                    ),
                );
                return None;
            }
            Some(column) if found.contains(&column) => {
                let twice = COLUMNS[column];
                check.wrong(&pointer, format!("must name the column {twice} once"));
                return None;
            }
            Some(column) => found.push(column),
        }
    }
    for needed in ["name", "role"] {
        if !found.iter().any(|column| COLUMNS[*column] == needed) {
            check.wrong(&pointer, format!("must name the column {needed}"));
            return None;
        }
    }
    Some(found)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::desk::import_people::line::{ToBe, cell};
    use wormrota_domain::access::Role;

    fn wrong(text: &str) -> Vec<String> {
        let list = read(text.as_bytes(), 10);
        list.check
            .into_errors()
            .into_iter()
            .map(|error| error.pointer)
            .collect()
    }

    #[test]
    fn columns_come_in_any_order_with_commas_or_semicolons() {
        let mark = "\u{FEFF}";
        for text in [
            "name,email,role\nAda,Ada@Example.org,resident+caretaker\n".to_owned(),
            format!("{mark}Role;Name;Email\r\ncaretaker resident;Ada;ada@example.org\r\n"),
            "email,role,name\n\n,,\n\"ada@example.org\",caretaker + resident,\" Ada \"".to_owned(),
        ] {
            let list = read(text.as_bytes(), 10);
            assert_eq!(list.check.count(), 0, "{text:?}");
            let [line] = &list.lines[..] else {
                panic!("one line is wanted: {text:?}");
            };
            assert_eq!((line.name.as_str(), line.flat.as_deref()), ("Ada", None));
            assert_eq!(line.email.as_deref(), Some("ada@example.org"));
            let roles = vec![Role::Resident, Role::Caretaker];
            assert_eq!(line.to_be, ToBe::Member(roles));
        }
    }

    #[test]
    fn a_line_has_the_number_that_an_editor_shows() {
        for end in ["\n", "\r\n", "\r"] {
            let text = [
                "name,role",
                "",
                "\"A",
                "B\",resident",
                "Bo,nobody",
                "Cy,resident",
            ];
            let pointers = wrong(&text.join(end));
            assert_eq!(pointers, ["/lines/3/name", "/lines/5/role"], "{end:?}");
        }
    }

    #[test]
    fn what_is_no_list_is_refused_whole() {
        let utf16: Vec<u8> = "name,role"
            .encode_utf16()
            .flat_map(u16::to_le_bytes)
            .collect();
        let marked = [&[0xFF, 0xFE], utf16.as_slice()].concat();
        for (bytes, word) in [
            (utf16.as_slice(), "UTF-16"),
            (&marked, "UTF-16"),
            (b"name,role\nJos\xe9,resident", "UTF-8"),
        ] {
            let errors = read(bytes, 10).check.into_errors();
            assert_eq!(errors[0].pointer, "");
            assert!(errors[0].detail.contains(word), "{}", errors[0].detail);
        }
        let long = format!("name,role\n{}", "Ada,resident\n".repeat(11));
        assert_eq!(wrong(&long), ["/lines"]);
        for text in ["", "\n\n", "name,role\n", "name,role\n,\n"] {
            assert_eq!(wrong(text), ["/lines"], "{text:?}");
        }
        for header in ["name,role,shoe size", "name,name,role", "name", "role"] {
            assert_eq!(wrong(&format!("{header}\nx\n")), ["/lines/1"], "{header}");
        }
    }

    #[test]
    fn a_bad_cell_is_named_by_line_and_column() {
        let name = "x".repeat(10_000);
        for (line, column) in [
            (format!("{name},,,resident,,"), "name"),
            (",a@b.example,,resident,,".to_owned(), "name"),
            ("A\u{7}da,,,resident,,".to_owned(), "name"),
            ("=1+1,,,resident,,".to_owned(), "name"),
            ("\" @SUM(1)\",,,resident,,".to_owned(), "name"),
            ("Ada,ada,,resident,,".to_owned(), "email"),
            (
                "Ada,\"ada@b.example\nBcc: x@y.example\",,resident,,".to_owned(),
                "email",
            ),
            ("Ada,+ada@b.example,,resident,,".to_owned(), "email"),
            ("Ada,,-3,resident,,".to_owned(), "flat"),
            ("Ada,,3,king,,".to_owned(), "role"),
            ("Ada,,3,,,".to_owned(), "role"),
            ("Ada,,3,resident,fr,".to_owned(), "language"),
            ("Ada,,3,resident,,3b".to_owned(), "class"),
            ("Ada,,,pupil,,".to_owned(), "class"),
            ("Ada,,,pupil+resident,,3b".to_owned(), "role"),
            ("Ada 7,,,pupil,,3b".to_owned(), "name"),
            ("Ada,ada@b.example,,pupil,,3b".to_owned(), "email"),
        ] {
            let text = format!("name,email,flat,role,language,class\n{line}\n");
            assert_eq!(wrong(&text), [format!("/lines/2/{column}")], "{line}");
        }
        let short = "name,role\nAda\nBo,resident,x\n";
        assert_eq!(wrong(short), ["/lines/2", "/lines/3"]);
        let twice = "name,email,role\nA,a@b.example,resident\nB,A@B.example,resident\n";
        assert_eq!(wrong(twice), ["/lines/3/email"]);
    }

    #[test]
    fn of_many_errors_the_first_are_told_and_all_are_counted() {
        let errors = (0..150)
            .rev()
            .map(|n| FieldError::new(cell(n, "name"), "must"));
        let (told, total) = cut(errors.collect());
        assert_eq!((told.len(), total), (MOST_ERRORS, 150));
        assert_eq!(told[0].pointer, "/lines/0/name");
    }
}
