//! The probes of a bin, each with a key of its own.

use super::fields::Check;
use super::membership::admit;
use super::{Desk, DeskError, Errand, Noun};
use crate::clock;
use crate::store::readings::{self, ProbeRow};
use chrono::{DateTime, Utc};
use futures_util::FutureExt;
use wormrota_domain::access::Deed;
use wormrota_domain::ids::{BinId, ProbeId, SiteId};

/// The most probes on one bin.
const MOST_PROBES: usize = 20;

/// A probe of a bin.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Probe {
    /// The probe.
    pub id: ProbeId,
    /// What people call it.
    pub name: String,
    /// When it was added.
    pub created_at: DateTime<Utc>,
    /// When its key stopped working.
    pub revoked_at: Option<DateTime<Utc>>,
}

/// Adds a probe to a bin. `key_hash` is the SHA-256 of the key that it will use.
pub async fn add_probe(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: BinId,
    name: &str,
    key_hash: [u8; 32],
) -> Result<ProbeId, DeskError> {
    let mut check = Check::default();
    let name = check.name("/name", name, 60);
    check.done()?;
    // Not under an idempotency key: the key is shown once, and a second answer could not
    // show it again.
    desk.store()
        .transact(
            "add a probe",
            (errand, name),
            move |conn, (errand, name)| {
                async move {
                    admit(conn, errand, site, Deed::ManageProbes).await?;
                    super::bins::load(conn, site, bin).await?;
                    if readings::probes_of_bin(conn, site, bin).await?.len() >= MOST_PROBES {
                        return Err(DeskError::TooMany {
                            what: "probes on this bin",
                        });
                    }
                    let row = ProbeRow {
                        site_id: site.0,
                        id: clock::fresh_id(),
                        bin_id: bin.0,
                        name: name.clone(),
                        key_hash: key_hash.to_vec(),
                        created_at: errand.now,
                        revoked_at: None,
                    };
                    readings::insert_probe(conn, &row).await?;
                    Ok(ProbeId(row.id))
                }
                .boxed()
            },
        )
        .await
}

/// The probes of a bin.
pub async fn list_probes(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: BinId,
) -> Result<Vec<Probe>, DeskError> {
    desk.store()
        .read("list probes", errand, move |conn, errand| {
            async move {
                admit(conn, errand, site, Deed::ManageProbes).await?;
                super::bins::load(conn, site, bin).await?;
                let rows = readings::probes_of_bin(conn, site, bin).await?;
                let probe = |row: ProbeRow| Probe {
                    id: ProbeId(row.id),
                    name: row.name,
                    created_at: row.created_at,
                    revoked_at: row.revoked_at,
                };
                Ok(rows.into_iter().map(probe).collect())
            }
            .boxed()
        })
        .await
}

/// Stops a probe's key.
pub async fn revoke_probe(
    desk: &Desk,
    errand: Errand,
    site: SiteId,
    bin: BinId,
    probe: ProbeId,
) -> Result<(), DeskError> {
    desk.store()
        .transact("stop a probe", errand, move |conn, errand| {
            async move {
                admit(conn, errand, site, Deed::ManageProbes).await?;
                if readings::revoke_probe(conn, site, bin, probe, errand.now).await? {
                    Ok(())
                } else {
                    Err(DeskError::NotFound(Noun::Probe))
                }
            }
            .boxed()
        })
        .await
}
