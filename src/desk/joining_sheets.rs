//! Joining sheets: a printed code that puts newcomers on a waiting list.

use super::credentials::{CodeFor, FreshCode};
use super::fields::Check;
use super::membership::{admit, admit_to_change};
use super::trail::{self, Subject};
use super::{Desk, DeskError, Errand, Noun, Page};
use crate::clock;
use crate::store::Conn;
use crate::store::codes::{self, CodeRow};
use chrono::{DateTime, TimeDelta, Utc};
use futures_util::FutureExt;
use serde_json::json;
use std::fmt;
use uuid::Uuid;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{CodeId, MemberId, SiteId};

/// Days that a sheet may be good for.
pub const LONGEST_DAYS: u32 = 90;
/// How many may use a sheet.
pub const MOST_USES: u32 = 500;

const KIND: &str = CodeFor::Joining.code();

/// A sheet to be printed.
#[derive(Debug, Clone, Copy)]
pub struct NewSheet {
    /// Days that it is good for.
    pub expires_in_days: u32,
    /// How many may use it.
    pub most_uses: u32,
}

/// What has become of a sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SheetState {
    /// Its code works.
    Open,
    /// Its time is over.
    Expired,
    /// As many have used it as may.
    UsedUp,
    /// It was taken back, or another took its place.
    Revoked,
}

/// A sheet, without its code.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sheet {
    /// The key within the site.
    pub id: CodeId,
    /// Who printed it.
    pub made_by: MemberId,
    /// When.
    pub created_at: DateTime<Utc>,
    /// Until when its code works.
    pub expires_at: DateTime<Utc>,
    /// How many may use it.
    pub most_uses: i32,
    /// How many did.
    pub uses: i32,
    /// What has become of it.
    pub state: SheetState,
}

/// A sheet that was just made. Its `Debug` output hides the code.
#[derive(Clone, PartialEq, Eq)]
pub struct PrintedSheet {
    /// The sheet.
    pub sheet: Sheet,
    /// Its code, which is kept nowhere; none when a request was repeated.
    pub code: Option<String>,
}

impl fmt::Debug for PrintedSheet {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "PrintedSheet({:?})", self.sheet)
    }
}

/// Makes a sheet.
pub async fn print_sheet(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    new: NewSheet,
) -> Result<PrintedSheet, DeskError> {
    let mut check = Check::default();
    if !(1..=LONGEST_DAYS).contains(&new.expires_in_days) {
        check.wrong(
            "/expires_in_days",
            format!("must be 1 to {LONGEST_DAYS} days"),
        );
    }
    if !(1..=MOST_USES).contains(&new.most_uses) {
        check.wrong("/most_uses", format!("must be 1 to {MOST_USES}"));
    }
    check.done()?;
    let code = desk.credentials().codes.fresh(CodeFor::Joining);
    let fresh = CodeId(clock::fresh_id());
    let mac = code.mac;
    let made = desk
        .write(
            "print a joining sheet",
            errand.clone(),
            (),
            move |conn, errand, ()| {
                async move {
                    let who = admit_to_change(conn, errand, site, Deed::PrintCodes).await?;
                    let wall = clock::wall();
                    let row = CodeRow {
                        site_id: site.0,
                        id: fresh.0,
                        kind: KIND.to_owned(),
                        code_mac: mac.to_vec(),
                        member_id: None,
                        bin_id: None,
                        made_by: who.member.0,
                        created_at: wall,
                        expires_at: Some(wall + TimeDelta::days(new.expires_in_days.into())),
                        most_uses: i32::try_from(new.most_uses).ok(),
                        uses: 0,
                        revoked_at: None,
                    };
                    codes::insert(conn, &row).await?;
                    let detail = json!({ "days": new.expires_in_days, "most_uses": new.most_uses });
                    let subject = Subject::Code(fresh.0);
                    trail::leave(
                        conn,
                        &who,
                        errand.now,
                        "joining_sheet_made",
                        subject,
                        detail,
                    )
                    .await?;
                    Ok(fresh)
                }
                .boxed()
            },
        )
        .await?;
    // A repetition made no sheet: nobody knows the code of the first one.
    let code = (made == fresh).then_some(code);
    with_code(desk, errand, site, made, code).await
}

/// Puts a new code in the place of a lost one, which dies at once. Until when it works and
/// how many may still use it stay as they were.
///
/// # Errors
/// [`DeskError::EndedAlready`] when the old code does not work any more.
pub async fn replace_sheet(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    id: CodeId,
) -> Result<PrintedSheet, DeskError> {
    let code = desk.credentials().codes.fresh(CodeFor::Joining);
    let fresh = CodeId(clock::fresh_id());
    let mac = code.mac;
    let made = desk
        .write(
            "replace a joining sheet",
            errand.clone(),
            (),
            move |conn, errand, ()| {
                async move {
                    let who = admit_to_change(conn, errand, site, Deed::PrintCodes).await?;
                    let old = working(conn, site, id).await?;
                    let wall = clock::wall();
                    codes::revoke(conn, site, id, wall).await?;
                    let row = CodeRow {
                        id: fresh.0,
                        code_mac: mac.to_vec(),
                        made_by: who.member.0,
                        created_at: wall,
                        revoked_at: None,
                        ..old
                    };
                    codes::insert(conn, &row).await?;
                    let detail = json!({ "instead_of": id });
                    let subject = Subject::Code(fresh.0);
                    trail::leave(
                        conn,
                        &who,
                        errand.now,
                        "joining_sheet_replaced",
                        subject,
                        detail,
                    )
                    .await?;
                    Ok(fresh)
                }
                .boxed()
            },
        )
        .await?;
    let code = (made == fresh).then_some(code);
    with_code(desk, errand, site, made, code).await
}

/// Takes a sheet back: its code dies at once.
///
/// # Errors
/// [`DeskError::EndedAlready`] when it does not work any more.
pub async fn take_back_sheet(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    id: CodeId,
) -> Result<(), DeskError> {
    desk.write(
        "take a joining sheet back",
        errand,
        (),
        move |conn, errand, ()| {
            async move {
                let who = admit_to_change(conn, errand, site, Deed::PrintCodes).await?;
                working(conn, site, id).await?;
                codes::revoke(conn, site, id, clock::wall()).await?;
                let subject = Subject::Code(id.0);
                trail::leave(
                    conn,
                    &who,
                    errand.now,
                    "joining_sheet_taken_back",
                    subject,
                    json!({}),
                )
                .await
            }
            .boxed()
        },
    )
    .await
}

/// Sheets of a site, newest first, without their codes.
pub async fn list_sheets(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    before: Option<Uuid>,
    limit: u16,
) -> Result<Page<Sheet>, DeskError> {
    desk.store()
        .read("list joining sheets", errand, move |conn, errand| {
            async move {
                admit(conn, errand, site, Deed::PrintCodes).await?;
                let rows = codes::joining_page(conn, site, before, i64::from(limit) + 1).await?;
                let wall = clock::wall();
                let sheets = rows
                    .into_iter()
                    .map(|row| sheet(&row, wall))
                    .collect::<Result<_, _>>()?;
                Ok(Page::cut(sheets, limit))
            }
            .boxed()
        })
        .await
}

async fn with_code(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    id: CodeId,
    code: Option<FreshCode>,
) -> Result<PrintedSheet, DeskError> {
    let sheet = desk
        .store()
        .read("see a joining sheet", errand, move |conn, errand| {
            async move {
                admit(conn, errand, site, Deed::PrintCodes).await?;
                let row = codes::by_id(conn, site, KIND, id).await?;
                let row = row.ok_or(DeskError::NotFound(Noun::JoiningSheet))?;
                sheet(&row, clock::wall())
            }
            .boxed()
        })
        .await?;
    Ok(PrintedSheet {
        sheet,
        code: code.map(|code| code.text),
    })
}

/// A sheet whose code works, with its row locked.
async fn working(conn: &mut Conn, site: SiteId, id: CodeId) -> Result<CodeRow, DeskError> {
    let row = codes::lock(conn, site, KIND, id)
        .await?
        .ok_or(DeskError::NotFound(Noun::JoiningSheet))?;
    match sheet(&row, clock::wall())?.state {
        SheetState::Open => Ok(row),
        _ => Err(DeskError::EndedAlready),
    }
}

fn sheet(row: &CodeRow, wall: DateTime<Utc>) -> Result<Sheet, DeskError> {
    let (Some(expires_at), Some(most_uses)) = (row.expires_at, row.most_uses) else {
        return Err(DeskError::broken("a joining code without bounds"));
    };
    let state = if row.revoked_at.is_some() {
        SheetState::Revoked
    } else if row.uses >= most_uses {
        SheetState::UsedUp
    } else if expires_at <= wall {
        SheetState::Expired
    } else {
        SheetState::Open
    };
    Ok(Sheet {
        id: CodeId(row.id),
        made_by: MemberId(row.made_by),
        created_at: row.created_at,
        expires_at,
        most_uses,
        uses: row.uses,
        state,
    })
}
