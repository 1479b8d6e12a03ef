//! What keepers have left for long, for the deputy.

use super::DueAt;
use crate::desk::DeskError;
use crate::desk::letters::{NEWCOMER_WAITS, of_newcomer, of_troubles};
use crate::desk::notices::{TROUBLE_STANDS, cause};
use crate::store::Conn;
use crate::store::letters::LetterRow;
use crate::store::members::{self, Which};
use crate::store::notices::{self, NoticeRow};
use std::collections::BTreeMap;
use wormrota_domain::ids::MemberId;

/// Rows read at once; what is above waits until some of them are answered.
const MOST: i64 = 200;

/// Letters to the deputy about newcomers and notices that nobody has answered.
pub(super) async fn due(conn: &mut Conn, at: &DueAt) -> Result<Vec<LetterRow>, DeskError> {
    let Some(deputy) = at.site.deputy else {
        return Ok(Vec::new());
    };
    let (site, left) = (at.site.id, at.left_since);
    let mut owed = Vec::new();
    let waiting = members::people(conn, site, Which::Waiting(Some(left)), None, MOST).await?;
    for person in waiting {
        let until = person
            .member
            .waiting_since
            .map(|since| since + NEWCOMER_WAITS);
        let Some(until) = until.filter(|until| *until > at.by.now) else {
            continue;
        };
        let newcomer = MemberId(person.member.id);
        let too_late_at = at.by.on_the_wall(until);
        owed.push(of_newcomer(site, deputy, newcomer, too_late_at, at.by.wall));
    }
    let mut moments: BTreeMap<String, Vec<NoticeRow>> = BTreeMap::new();
    for notice in notices::page(conn, site, Some(left), None, MOST).await? {
        moments.entry(cause(&notice)).or_default().push(notice);
    }
    for notices in moments.values() {
        let put_up = notices.iter().map(|notice| notice.created_at).max();
        let until = put_up.map(|at| at + TROUBLE_STANDS);
        if let Some(until) = until.filter(|until| *until > at.by.now) {
            let too_late_at = at.by.on_the_wall(until);
            owed.extend(of_troubles(site, deputy, notices, too_late_at, at.by.wall));
        }
    }
    Ok(owed)
}
