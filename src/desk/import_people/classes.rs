//! The classes that a list of people speaks of.

use super::line::{Line, ToBe};
use super::list::List;
use crate::desk::DeskError;
use crate::desk::classes::sees_all;
use crate::desk::fields::Check;
use crate::desk::keep_class::MOST_CLASSES;
use crate::desk::labels::alike;
use crate::desk::membership::Membership;
use crate::desk::pupils::MOST_PUPILS;
use crate::store::Conn;
use crate::store::classes::{self, ClassAdultRow, ClassRow, PupilRow};
use std::collections::BTreeMap;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::ClassId;

/// A class with the lines that speak of it.
pub(super) struct Group<'a> {
    pub name: &'a str,
    /// The class that goes on under this name, if there is one.
    pub there: Option<ClassRow>,
    pub pupils: Vec<&'a Line>,
}

/// The classes of a list, by name without case, each of them the caller's to keep.
pub(super) async fn group<'a>(
    conn: &mut Conn,
    who: &Membership,
    list: &'a List,
    check: &mut Check,
) -> Result<BTreeMap<String, Group<'a>>, DeskError> {
    let mut groups: BTreeMap<String, Group<'a>> = BTreeMap::new();
    let mut first: BTreeMap<String, &Line> = BTreeMap::new();
    for line in &list.lines {
        let Some(class) = &line.class else { continue };
        let key = class.to_lowercase();
        first.entry(key.clone()).or_insert(line);
        let group = groups.entry(key).or_insert_with(|| Group {
            name: class,
            there: None,
            pupils: Vec::new(),
        });
        if line.to_be == ToBe::Pupil {
            group.pupils.push(line);
        }
    }
    if groups.is_empty() {
        return Ok(groups);
    }
    if !who.may(Deed::KeepClasses) {
        for line in list.lines.iter().filter(|line| line.class.is_some()) {
            let detail = "must be empty: only teachers and educators keep classes";
            check.wrong(line.at("class"), detail);
        }
        return Ok(groups);
    }
    let limit = i64::try_from(MOST_CLASSES).unwrap_or(i64::MAX);
    let going_on = classes::going_on(conn, who.site, None, None, limit).await?;
    let already = going_on.len();
    for row in going_on {
        if let Some(group) = groups.get_mut(&row.name.to_lowercase()) {
            group.there = Some(row);
        }
    }
    let there: Vec<ClassId> = groups
        .values()
        .filter_map(|group| group.there.as_ref().map(|row| ClassId(row.id)))
        .collect();
    let adults = classes::adults_of(conn, who.site, &there).await?;
    let pupils = classes::pupils_of(conn, who.site, &there).await?;
    let mut new = 0;
    for (key, group) in &groups {
        let id = group.there.as_ref().map(|row| row.id);
        new += usize::from(id.is_none());
        let own = |row: &ClassAdultRow| Some(row.class_id) == id && row.member_id == who.member.0;
        if id.is_some() && !sees_all(who) && !adults.iter().any(own) {
            let detail = "must not be a class that somebody else keeps";
            check.wrong(first[key].at("class"), detail);
            continue;
        }
        let known = pupils.iter().filter(|row| Some(row.class_id) == id);
        check_pupils(group, known, check);
    }
    if already + new > MOST_CLASSES {
        return Err(DeskError::TooMany { what: "classes" });
    }
    Ok(groups)
}

/// No label comes twice in a class, and a class is not too large.
fn check_pupils<'a>(
    group: &Group<'_>,
    known: impl Iterator<Item = &'a PupilRow>,
    check: &mut Check,
) {
    let mut seen: BTreeMap<String, Option<usize>> = known
        .filter_map(|row| row.label.as_deref())
        .map(|label| (alike(label), None))
        .collect();
    if seen.len() + group.pupils.len() > MOST_PUPILS
        && let Some(last) = group.pupils.last()
    {
        let detail = format!("must have at most {MOST_PUPILS} pupils");
        check.wrong(last.at("class"), detail);
    }
    for line in &group.pupils {
        match seen.get(&alike(&line.name)) {
            Some(Some(first)) => check.wrong(
                line.at("name"),
                format!("must not repeat line {first} in one class: add an initial"),
            ),
            Some(None) => check.wrong(
                line.at("name"),
                "must not repeat a pupil who is in the class already: add an initial",
            ),
            None => {
                seen.insert(alike(&line.name), Some(line.number));
            }
        }
    }
}
