//! Who somebody is at a site. Read on each request, so that a role taken away is gone.

use super::{DeskError, Errand, Noun};
use crate::store::{Conn, members};
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
    /// Whether any of the roles allows the deed.
    #[must_use]
    pub fn may(&self, deed: Deed) -> bool {
        any_may(&self.roles, deed)
    }
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
