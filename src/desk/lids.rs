//! The code on a bin's lid: whoever stands before it learns what it can take.

use super::at_hand::{BinAtHand, Hold, SiteAtHand};
use super::credentials::CodeFor;
use super::membership::admit_to_change;
use super::sites::{Words, words};
use super::trail::{self, Subject};
use super::{Desk, DeskError, Errand, Noun};
use crate::clock;
use crate::store::bins;
use crate::store::codes::{self, CodeRow};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use serde_json::json;
use std::fmt;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BinId, CodeId, SiteId};
use wormrota_domain::living_bin::outlook::{Outlook, Room};

const KIND: &str = CodeFor::Lid.code();

/// A code that was just made for a lid. Its `Debug` output hides it.
#[derive(Clone, PartialEq, Eq)]
pub struct LidCode {
    /// The key within the site.
    pub id: CodeId,
    /// The code, which is kept nowhere.
    pub code: String,
    /// What the bin is called.
    pub bin_name: String,
}

impl fmt::Debug for LidCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "LidCode({})", self.id)
    }
}

/// Makes a code for a bin's lid; the one it had dies at once.
pub async fn print_lid_code(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: BinId,
) -> Result<LidCode, DeskError> {
    let code = desk.credentials().codes.fresh(CodeFor::Lid);
    let id = CodeId(clock::fresh_id());
    let mac = code.mac;
    let bin_name = desk
        .store()
        .transact("print a lid's code", errand, move |conn, errand| {
            async move {
                let who = admit_to_change(conn, errand, site, Deed::PrintCodes).await?;
                let found = bins::lock(conn, site, bin).await?;
                let found = found.ok_or(DeskError::NotFound(Noun::Bin))?;
                let wall = clock::wall();
                codes::revoke_lid(conn, site, bin, wall).await?;
                let row = CodeRow {
                    site_id: site.0,
                    id: id.0,
                    kind: KIND.to_owned(),
                    code_mac: mac.to_vec(),
                    member_id: None,
                    bin_id: Some(bin.0),
                    made_by: who.member.0,
                    created_at: wall,
                    expires_at: None,
                    most_uses: None,
                    uses: 0,
                    revoked_at: None,
                };
                codes::insert(conn, &row).await?;
                let detail = json!({ "bin": bin });
                let subject = Subject::Code(id.0);
                trail::leave(conn, &who, errand.now, "lid_code_made", subject, detail).await?;
                Ok::<_, DeskError>(found.name)
            }
            .boxed()
        })
        .await?;
    Ok(LidCode {
        id,
        code: code.text,
        bin_name,
    })
}

/// What stands on a bin's page.
#[derive(Debug, Clone, PartialEq)]
pub struct LidPage {
    /// The moment.
    pub at: DateTime<Utc>,
    /// The bin.
    pub bin: BinId,
    /// What it can take.
    pub room: Room,
    /// Nobody measured its bed lately.
    pub temperature_assumed: bool,
    /// What sentences about the site are made with.
    pub words: Words,
}

/// The page of a bin, for anybody with the code of its lid.
///
/// # Errors
/// [`DeskError::NotFound`] for every code that does not work; [`DeskError::NotStocked`].
pub async fn see_lid(desk: &Desk, code: &str) -> Result<LidPage, DeskError> {
    let macs = desk.credentials().codes.macs(CodeFor::Lid, code);
    let now = desk.now().await?;
    let model = desk.model();
    desk.store()
        .read("see a lid's page", macs, move |conn, macs| {
            let model = model.clone();
            async move {
                let row = codes::by_mac(conn, KIND, macs)
                    .await?
                    .filter(|row| row.revoked_at.is_none());
                let found = row.and_then(|row| Some((SiteId(row.site_id), BinId(row.bin_id?))));
                let (id, bin) = found.ok_or(DeskError::NotFound(Noun::Lid))?;
                let site = SiteAtHand::load(conn, id).await?;
                let bin = BinAtHand::load(conn, &model, &site, bin, now, Hold::Look).await?;
                let bookings = bin.kept_bookings(&site, None);
                Ok(LidPage {
                    at: bin.now,
                    bin: bin.id,
                    room: Outlook::cautious(&bin.habitat, &bin.state).room(&bookings),
                    temperature_assumed: bin
                        .habitat
                        .bed_temperature(bin.state.reading, bin.now)
                        .assumed,
                    words: words(conn, id).await?,
                })
            }
            .boxed()
        })
        .await
}
