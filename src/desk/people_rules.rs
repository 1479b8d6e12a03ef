//! What must hold of the people of a site as a whole: somebody who can sign in looks after
//! it.

use super::{DeskError, Noun};
use crate::store::{Conn, classes, members, sites};
use wormrota_domain::access::{Deed, KEEPERS, Role, any_may};
use wormrota_domain::ids::{MemberId, SiteId};

/// Insists that a site does not lose its last caretaker or educator (nor a school its last
/// teacher, nor a class its only one) when somebody has only `roles_after` left.
/// Who counts can sign in. Where somebody has to take over, the successor gets the roles at
/// once; says which. The caller holds the site's lock.
///
/// # Errors
/// [`DeskError::LastKeeper`] or [`DeskError::LastTeacher`] without a successor; [`DeskError::Conflicting`] for one who is
/// no other member that can sign in.
pub(super) async fn insist_on_successor(
    conn: &mut Conn,
    site: SiteId,
    leaving: MemberId,
    roles_after: &[Role],
    successor: Option<MemberId>,
) -> Result<Vec<Role>, DeskError> {
    let is_school = sites::by_id(conn, site)
        .await?
        .ok_or(DeskError::NotFound(Noun::Site))?
        .is_school;
    let people = members::who_can_sign_in(conn, site).await?;
    let mut missing = missing_without(&people, leaving, roles_after, is_school);
    let may_keep_classes = |roles: &[Role]| any_may(roles, Deed::KeepClasses);
    let orphaned = if may_keep_classes(roles_after) {
        Vec::new()
    } else {
        classes::taught_only_by(conn, site, leaving).await?
    };
    if missing.is_empty() && orphaned.is_empty() {
        return Ok(missing);
    }
    let Some(successor) = successor else {
        return Err(if missing.is_empty() {
            DeskError::LastTeacher
        } else {
            DeskError::LastKeeper {
                roles: missing,
                site,
            }
        });
    };
    let found = people
        .into_iter()
        .find(|(member, _)| *member == successor && *member != leaving);
    let Some((_, mut roles)) = found else {
        return Err(DeskError::conflict(
            "/successor_id",
            "must be another member of the site who can sign in",
        ));
    };
    roles.extend(&missing);
    if !orphaned.is_empty() && !may_keep_classes(&roles) {
        missing.push(Role::Teacher);
        roles.push(Role::Teacher);
    }
    roles.sort_unstable();
    roles.dedup();
    members::replace_roles(conn, site, successor, &roles).await?;
    members::touch(conn, site, successor).await?;
    classes::make_teacher_of(conn, site, &orphaned, successor).await?;
    Ok(missing)
}

/// The roles that nobody would fill any more. Whoever cannot sign in leaves no gap.
fn missing_without(
    people: &[(MemberId, Vec<Role>)],
    leaving: MemberId,
    after: &[Role],
    is_school: bool,
) -> Vec<Role> {
    let Some((_, before)) = people.iter().find(|(member, _)| *member == leaving) else {
        return Vec::new();
    };
    let others: Vec<Role> = people
        .iter()
        .filter(|(member, _)| *member != leaving)
        .flat_map(|(_, roles)| roles.iter().copied())
        .collect();
    let wanted: &[Role] = if is_school {
        &[Role::Caretaker, Role::Teacher, Role::Educator]
    } else {
        &[Role::Caretaker, Role::Educator]
    };
    let missing: Vec<Role> = wanted
        .iter()
        .copied()
        .filter(|role| before.contains(role) && !after.contains(role) && !others.contains(role))
        .collect();
    let keeps = |roles: &[Role]| roles.iter().any(|role| KEEPERS.contains(role));
    if !missing.is_empty() || !keeps(before) || keeps(after) || keeps(&others) {
        return missing;
    }
    // Only a building's lone teacher is left here.
    vec![Role::Teacher]
}

#[cfg(test)]
mod tests {
    use super::*;
    use Role::{Caretaker, Educator, Resident, Teacher};
    use uuid::Uuid;

    fn missing(roles: &[&[Role]], after: &[Role], is_school: bool) -> Vec<Role> {
        let people: Vec<_> = (1_u128..)
            .zip(roles)
            .map(|(n, roles)| (MemberId(Uuid::from_u128(n)), roles.to_vec()))
            .collect();
        missing_without(&people, people[0].0, after, is_school)
    }

    #[test]
    fn the_last_caretaker_is_missed_even_beside_an_educator() {
        assert_eq!(
            missing(&[&[Caretaker], &[Educator]], &[], false),
            [Caretaker]
        );
        assert_eq!(missing(&[&[Caretaker], &[Caretaker]], &[], false), []);
        assert_eq!(missing(&[&[Resident], &[Caretaker]], &[], false), []);
        assert_eq!(missing(&[&[Caretaker, Resident]], &[Caretaker], false), []);
    }

    #[test]
    fn a_school_misses_its_last_teacher_and_a_building_does_not() {
        let people: [&[Role]; 2] = [&[Teacher, Caretaker], &[Caretaker]];
        assert_eq!(missing(&people, &[], true), [Teacher]);
        assert_eq!(missing(&people, &[], false), []);
        assert_eq!(
            missing(&[&[Teacher, Caretaker], &[Educator]], &[Resident], true),
            [Caretaker, Teacher]
        );
    }

    #[test]
    fn whoever_looks_after_a_site_alone_is_missed() {
        assert_eq!(missing(&[&[Educator]], &[], false), [Educator]);
        assert_eq!(missing(&[&[Educator], &[Resident]], &[], true), [Educator]);
        assert_eq!(missing(&[&[Teacher]], &[Resident], false), [Teacher]);
        assert_eq!(missing(&[&[Educator], &[Teacher]], &[], false), [Educator]);
        assert_eq!(missing(&[&[Educator], &[Educator]], &[], false), []);
        assert_eq!(missing(&[&[Teacher], &[Educator]], &[], false), []);
    }

    #[test]
    fn nobody_is_missed_who_cannot_sign_in() {
        let stranger = MemberId(Uuid::from_u128(99));
        assert_eq!(missing_without(&[], stranger, &[], true), []);
    }
}
