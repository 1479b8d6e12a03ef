//! Who somebody is at a site. Read on each request, so that a role taken away is gone.

use super::{DeskError, Errand, Noun};
use crate::store::sites::{self, SiteRow};
use crate::store::{Conn, members};
use uuid::Uuid;
use wormrota_domain::access::{Deed, Role, any_may};
use wormrota_domain::ids::{MemberId, SiteId};

/// A caller who belongs to the site.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Membership {
    /// The site.
    pub site: SiteId,
    /// Who they are there.
    pub member: MemberId,
    /// What they are there.
    pub roles: Vec<Role>,
}

impl Membership {
    /// The key of whoever did something, for eyes that may see it: one's own, and anybody's for
    /// who looks after the site. Neighbours do not keep books on each other.
    #[must_use]
    pub fn sees(&self, did: Option<Uuid>) -> Option<MemberId> {
        did.map(MemberId)
            .filter(|did| *did == self.member || self.may(Deed::SeePeopleInFull))
    }

    /// Whether any of the roles allows the deed.
    #[must_use]
    pub fn may(&self, deed: Deed) -> bool {
        any_may(&self.roles, deed)
    }
}

/// Lets the caller in for a change of who belongs to the site and as what, with the site's row
/// locked: roles are read again behind the lock, so that whoever loses one while they wait for
/// it changes nothing any more. A stranger takes no lock.
pub(super) async fn admit_to_change(
    conn: &mut Conn,
    errand: &Errand,
    site: SiteId,
    deed: Deed,
) -> Result<Membership, DeskError> {
    admit(conn, errand, site, deed).await?;
    lock_people(conn, site).await?;
    admit(conn, errand, site, deed).await
}

/// Takes the lock of whoever changes who belongs to a site, and in which role, and gives the
/// site. Taking it twice in one transaction is taking it once.
pub(super) async fn lock_people(conn: &mut Conn, site: SiteId) -> Result<SiteRow, DeskError> {
    sites::lock(conn, site)
        .await?
        .ok_or(DeskError::NotFound(Noun::Site))
}

/// Lets the caller in for a deed: the first step of every use case at a site. A stranger
/// hears that there is no such site, whether there is one or not.
pub async fn admit(
    conn: &mut Conn,
    errand: &Errand,
    site: SiteId,
    deed: Deed,
) -> Result<Membership, DeskError> {
    let account = errand.account;
    let Some((member, roles)) = members::of_account(conn, site, account).await? else {
        tracing::info!(%account, %site, deed = deed.title(), "a stranger was turned away");
        return Err(DeskError::NotFound(Noun::Site));
    };
    let membership = Membership {
        site,
        member,
        roles,
    };
    if membership.may(deed) {
        return Ok(membership);
    }
    tracing::info!(%account, %site, %member, deed = deed.title(), "a role does not allow this");
    Err(DeskError::Forbidden(deed))
}
