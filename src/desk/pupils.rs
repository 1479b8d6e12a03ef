//! Pupils: pasted in one go, renamed, erased. Nothing is kept of one but the label.

use super::classes::{kept, touch};
use super::duty_at_hand::give_back_of;
use super::fields::Check;
use super::labels::{self, BadLabel, Place, alike, label, pasted};
use super::membership::admit_to_change;
use super::trail::{self, Subject};
use super::{Desk, DeskError, Errand, Noun};
use crate::clock;
use crate::store::classes::{self, PupilRow};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use serde_json::json;
use std::collections::BTreeMap;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{ClassId, PupilId, SiteId};

/// Pupils that a class may have.
pub(super) const MOST_PUPILS: usize = 60;

/// Characters of a pasted text.
const LONGEST_TEXT: usize = 4_000;

/// Adds pupils from a pasted text, all of them or none; says how many.
pub async fn add_pupils(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    class: ClassId,
    text: String,
) -> Result<usize, DeskError> {
    let new = parsed(&text)?;
    desk.write("add pupils", errand, new, move |conn, errand, new| {
        async move {
            let who = admit_to_change(conn, errand, site, Deed::KeepClasses).await?;
            let (row, _) = kept(conn, &who, class, None).await?;
            let there = classes::pupils_of(conn, site, &[class]).await?;
            if there.len() + new.len() > MOST_PUPILS {
                return Err(DeskError::TooMany {
                    what: "pupils in a class",
                });
            }
            let known: Vec<String> = there
                .iter()
                .filter_map(|row| row.label.as_deref())
                .map(alike)
                .collect();
            let mut check = Check::default();
            for (place, _) in new.iter().filter(|(_, new)| known.contains(&alike(new))) {
                check.conflict(
                    "/labels",
                    format!(
                        "must not repeat a label: {place} is in the class already; add an initial"
                    ),
                );
            }
            check.done()?;
            let rows: Vec<PupilRow> = new
                .iter()
                .map(|(_, label)| pupil_row(site, class, label.clone(), errand.now))
                .collect();
            classes::add_pupils(conn, &rows).await?;
            touch(conn, row).await?;
            let detail = json!({ "count": rows.len() });
            let subject = Subject::Class(class.0);
            trail::leave(conn, &who, errand.now, "pupils_added", subject, detail).await?;
            Ok(rows.len())
        }
        .boxed()
    })
    .await
}

/// Calls a pupil something else.
pub async fn rename_pupil(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    class: ClassId,
    pupil: PupilId,
    raw: String,
) -> Result<(), DeskError> {
    let new = label(&raw).map_err(|bad| match bad {
        BadLabel::Form | BadLabel::Long => DeskError::field("/label", bad.detail()),
        BadLabel::Words => DeskError::conflict("/label", bad.detail()),
    })?;
    desk.write("rename a pupil", errand, new, move |conn, errand, new| {
        async move {
            let who = admit_to_change(conn, errand, site, Deed::KeepClasses).await?;
            let (row, _) = kept(conn, &who, class, None).await?;
            let there = classes::pupils_of(conn, site, &[class]).await?;
            let others = there.iter().filter(|row| row.id != pupil.0);
            let mut taken = others.filter_map(|row| row.label.as_deref());
            if taken.any(|other| alike(other) == alike(new)) {
                return Err(DeskError::conflict(
                    "/label",
                    "must not be another pupil's in this class: add an initial",
                ));
            }
            if !classes::rename_pupil(conn, site, class, pupil, new).await? {
                return Err(DeskError::NotFound(Noun::Pupil));
            }
            touch(conn, row).await?;
            let detail = json!({ "class_id": class });
            let subject = Subject::Pupil(pupil.0);
            trail::leave(conn, &who, errand.now, "pupil_renamed", subject, detail).await
        }
        .boxed()
    })
    .await
}

/// Erases a pupil, at once and for good; their places from today on are free.
pub async fn erase_pupil(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    class: ClassId,
    pupil: PupilId,
) -> Result<(), DeskError> {
    desk.write("erase a pupil", errand, (), move |conn, errand, ()| {
        async move {
            let who = admit_to_change(conn, errand, site, Deed::KeepClasses).await?;
            let (row, _) = kept(conn, &who, class, None).await?;
            if !classes::erase_pupil(conn, site, class, pupil, errand.now).await? {
                return Err(DeskError::NotFound(Noun::Pupil));
            }
            give_back_of(conn, site, &[pupil], errand.now).await?;
            touch(conn, row).await?;
            let detail = json!({ "class_id": class });
            let subject = Subject::Pupil(pupil.0);
            trail::leave(conn, &who, errand.now, "pupil_erased", subject, detail).await
        }
        .boxed()
    })
    .await
}

/// The labels of a pasted text, each of them fine and none twice.
fn parsed(text: &str) -> Result<Vec<(Place, String)>, DeskError> {
    let separates = |c: char| matches!(c, '\n' | '\r' | '\t' | ',' | ';');
    let mut check = Check::default();
    if !text.chars().all(|c| separates(c) || labels::may_stand(c)) {
        check.wrong("/labels", BadLabel::Form.detail());
    }
    if text.chars().count() > LONGEST_TEXT {
        check.wrong(
            "/labels",
            format!("must have at most {LONGEST_TEXT} characters"),
        );
    }
    let raw = pasted(text);
    if raw.is_empty() {
        check.wrong("/labels", "must hold at least one label");
    }
    check.done()?;

    let mut check = Check::default();
    let mut seen: BTreeMap<String, Place> = BTreeMap::new();
    let mut found = Vec::new();
    for (place, raw) in raw {
        match label(raw) {
            Err(bad) => check.conflict("/labels", format!("{}: see {place}", bad.detail())),
            Ok(label) => {
                if let Some(first) = seen.get(&alike(&label)) {
                    check.conflict(
                        "/labels",
                        format!("must not repeat a label: {place} is like {first}; add an initial"),
                    );
                } else {
                    seen.insert(alike(&label), place);
                }
                found.push((place, label));
            }
        }
    }
    check.done()?;
    Ok(found)
}

/// A new pupil.
pub(super) fn pupil_row(
    site: SiteId,
    class: ClassId,
    label: String,
    now: DateTime<Utc>,
) -> PupilRow {
    PupilRow {
        site_id: site.0,
        id: clock::fresh_id(),
        class_id: class.0,
        label: Some(label),
        added_at: now,
        left_at: None,
    }
}
