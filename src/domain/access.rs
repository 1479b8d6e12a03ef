//! Who may do what: one table, read by the code and printed into DEVELOPERS.md.
//!
//! A person has roles at a site; one person can have several, and then may do what any of
//! them allows. Two questions are settled before this table is asked: whether somebody is
//! signed in, and whether they belong to the site (a stranger is told that there is no
//! such site).

use serde::{Deserialize, Serialize};

/// What somebody is at a site.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Lives in the building and feeds its bins.
    Resident,
    /// Looks after the bins of a building.
    Caretaker,
    /// Looks after the bins of a school with a class.
    Teacher,
    /// Sets up sites and looks after many of them.
    Educator,
}

/// Something that can be done at a site.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Deed {
    /// Read the site's name, zone, lists and containers.
    SeeSite,
    /// Change the site's name, lists, containers and display.
    ChangeSite,
    /// Read the bins and what they can take.
    SeeBins,
    /// Add a bin to the site.
    AddBin,
    /// Put worms and bedding into a bin and so begin its history.
    StockBin,
    /// Ask whether an offer of food may go in.
    Ask,
    /// Promise an amount for a day.
    Book,
    /// Put food in, if the bin can take it.
    PutIn,
    /// Say what is in the bin already.
    Tell,
    /// Look into a bin and say what one sees.
    Check,
    /// Measure a bed by hand.
    Measure,
    /// Add and stop probes that measure by themselves.
    ManageProbes,
    /// Add bedding, and choose which side is fed.
    TendBed,
    /// Correct an entry that one made oneself.
    CorrectOwnEntry,
    /// Correct anybody's entry.
    CorrectAnyEntry,
    /// Read the forecast of a bin.
    SeeForecast,
    /// Read and tick off what a caretaker has to know.
    SeeNotices,
    /// Read what became of letters to members, not what they said.
    SeeLetters,
    /// Read who belongs to the site, as far as the site lets residents see each other.
    SeePeople,
    /// Read everybody's flat and address, and who waits to be let in.
    SeePeopleInFull,
    /// Change one's own name, language, phone number and what one shares.
    ChangeOwnDetails,
    /// Change anybody's name, flat, language and address.
    ChangePeople,
    /// Invite somebody by e-mail, or many by a list.
    InvitePeople,
    /// Let in those who came by a joining sheet.
    LetPeopleIn,
    /// Make and replace what is printed: joining sheets, slips, the codes of lids.
    PrintCodes,
    /// Give and take roles, within [`GRANTS`].
    ChangeRoles,
    /// Take somebody's membership away.
    RemovePeople,
    /// End one's own membership.
    Leave,
    /// Read a class that one teaches or helps with: which one that is stands beside the class,
    /// not here. Educators read them all.
    SeeClasses,
    /// Make classes, and keep those that one teaches or helps with.
    KeepClasses,
    /// Read turns, and who holds which place as far as the site lets residents see each other.
    SeeTurns,
    /// Make and change patterns, closures and single turns.
    KeepTurns,
    /// Take a free place oneself, and give it back.
    TakePlace,
    /// Give places to others, move, keep and trade them.
    AssignPlaces,
    /// Say what oneself cannot, likes, and when one is away.
    ChangeOwnLimits,
    /// Say it for anybody, and who is experienced, trained, or not to be alone.
    ChangeLimits,
    /// See and say which two do not share a turn. Not even an educator sees it.
    KeepApart,
    /// Draft rotas, compare them and put them up.
    DraftRota,
    /// Read why one's own turns are what they are, and others' counts.
    SeeReasons,
    /// Read everybody's reasons, those that come of keeping two apart among them.
    SeeAllReasons,
    /// Read who changed what about people, rota and limits.
    ReadAudit,
}

const EVERYBODY: &[Role] = &Role::ALL;
/// The roles that look after a site.
pub const KEEPERS: &[Role] = &[Role::Caretaker, Role::Teacher, Role::Educator];
const EDUCATORS: &[Role] = &[Role::Educator];
const MANAGERS: &[Role] = &[Role::Caretaker, Role::Educator];
/// Those of them who are there every day: they know the people of the house, not only its bins,
/// and hear at once of what needs looking after.
pub const HOUSE: &[Role] = &[Role::Caretaker, Role::Teacher];
const SCHOOL: &[Role] = &[Role::Teacher, Role::Educator];

/// The table. A deed that is missing here is a failing test, and allowed to nobody.
pub const TABLE: &[(Deed, &[Role])] = &[
    (Deed::SeeSite, EVERYBODY),
    (Deed::ChangeSite, KEEPERS),
    (Deed::SeeBins, EVERYBODY),
    (Deed::AddBin, EDUCATORS),
    (Deed::StockBin, KEEPERS),
    (Deed::Ask, EVERYBODY),
    (Deed::Book, EVERYBODY),
    (Deed::PutIn, EVERYBODY),
    (Deed::Tell, EVERYBODY),
    (Deed::Check, EVERYBODY),
    (Deed::Measure, EVERYBODY),
    (Deed::ManageProbes, KEEPERS),
    (Deed::TendBed, EVERYBODY),
    (Deed::CorrectOwnEntry, EVERYBODY),
    (Deed::CorrectAnyEntry, KEEPERS),
    (Deed::SeeForecast, EVERYBODY),
    (Deed::SeeNotices, KEEPERS),
    (Deed::SeeLetters, KEEPERS),
    (Deed::SeePeople, EVERYBODY),
    (Deed::SeePeopleInFull, KEEPERS),
    (Deed::ChangeOwnDetails, EVERYBODY),
    (Deed::ChangePeople, KEEPERS),
    (Deed::InvitePeople, KEEPERS),
    (Deed::LetPeopleIn, KEEPERS),
    (Deed::PrintCodes, KEEPERS),
    (Deed::ChangeRoles, MANAGERS),
    (Deed::RemovePeople, MANAGERS),
    (Deed::Leave, EVERYBODY),
    (Deed::SeeClasses, EVERYBODY),
    (Deed::KeepClasses, SCHOOL),
    (Deed::SeeTurns, EVERYBODY),
    (Deed::KeepTurns, KEEPERS),
    (Deed::TakePlace, EVERYBODY),
    (Deed::AssignPlaces, KEEPERS),
    (Deed::ChangeOwnLimits, EVERYBODY),
    (Deed::ChangeLimits, KEEPERS),
    (Deed::KeepApart, HOUSE),
    (Deed::DraftRota, KEEPERS),
    (Deed::SeeReasons, EVERYBODY),
    (Deed::SeeAllReasons, HOUSE),
    (Deed::ReadAudit, EDUCATORS),
];

/// Which roles somebody may hand out and take away: nobody makes others mightier than
/// themselves.
pub const GRANTS: &[(Role, &[Role])] = &[
    (Role::Resident, &[]),
    (
        Role::Caretaker,
        &[Role::Resident, Role::Caretaker, Role::Teacher],
    ),
    (Role::Teacher, &[Role::Resident, Role::Teacher]),
    (Role::Educator, EVERYBODY),
];

/// Whether somebody in this role may do the deed.
#[must_use]
pub fn may(role: Role, deed: Deed) -> bool {
    TABLE
        .iter()
        .any(|(listed, roles)| *listed == deed && roles.contains(&role))
}

/// Whether any of somebody's roles allows the deed.
#[must_use]
pub fn any_may(roles: &[Role], deed: Deed) -> bool {
    roles.iter().any(|role| may(*role, deed))
}

/// Whether somebody with these roles may hand out or take away a role.
#[must_use]
pub fn may_grant(own: &[Role], role: Role) -> bool {
    GRANTS
        .iter()
        .any(|(holder, roles)| own.contains(holder) && roles.contains(&role))
}

/// Whether somebody with these roles may change or remove somebody with those: every one of
/// them must be theirs to take away.
#[must_use]
pub fn may_manage(own: &[Role], of_other: &[Role]) -> bool {
    of_other.iter().all(|role| may_grant(own, *role))
}

impl Role {
    /// Every role, in the order of the table's columns.
    pub const ALL: [Self; 4] = [
        Self::Resident,
        Self::Caretaker,
        Self::Teacher,
        Self::Educator,
    ];

    /// The word that stands in the database and in the API.
    #[must_use]
    pub const fn code(self) -> &'static str {
        match self {
            Self::Resident => "resident",
            Self::Caretaker => "caretaker",
            Self::Teacher => "teacher",
            Self::Educator => "educator",
        }
    }

    /// The role that a word stands for, if any.
    #[must_use]
    pub fn from_code(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|role| role.code() == code)
    }
}

impl Deed {
    /// Every deed, in the order of the table's rows.
    pub const ALL: [Self; 41] = [
        Self::SeeSite,
        Self::ChangeSite,
        Self::SeeBins,
        Self::AddBin,
        Self::StockBin,
        Self::Ask,
        Self::Book,
        Self::PutIn,
        Self::Tell,
        Self::Check,
        Self::Measure,
        Self::ManageProbes,
        Self::TendBed,
        Self::CorrectOwnEntry,
        Self::CorrectAnyEntry,
        Self::SeeForecast,
        Self::SeeNotices,
        Self::SeeLetters,
        Self::SeePeople,
        Self::SeePeopleInFull,
        Self::ChangeOwnDetails,
        Self::ChangePeople,
        Self::InvitePeople,
        Self::LetPeopleIn,
        Self::PrintCodes,
        Self::ChangeRoles,
        Self::RemovePeople,
        Self::Leave,
        Self::SeeClasses,
        Self::KeepClasses,
        Self::SeeTurns,
        Self::KeepTurns,
        Self::TakePlace,
        Self::AssignPlaces,
        Self::ChangeOwnLimits,
        Self::ChangeLimits,
        Self::KeepApart,
        Self::DraftRota,
        Self::SeeReasons,
        Self::SeeAllReasons,
        Self::ReadAudit,
    ];

    /// What the deed is called in the printed table.
    #[must_use]
    pub const fn title(self) -> &'static str {
        match self {
            Self::SeeSite => "see the site",
            Self::ChangeSite => "change the site",
            Self::SeeBins => "see bins and their room",
            Self::AddBin => "add a bin",
            Self::StockBin => "stock a bin",
            Self::Ask => "ask before feeding",
            Self::Book => "book room for a day",
            Self::PutIn => "put food in",
            Self::Tell => "tell what is in already",
            Self::Check => "look into a bin",
            Self::Measure => "measure a bed",
            Self::ManageProbes => "manage probes",
            Self::TendBed => "tend the bedding",
            Self::CorrectOwnEntry => "correct an own entry",
            Self::CorrectAnyEntry => "correct anybody's entry",
            Self::SeeForecast => "see a forecast",
            Self::SeeNotices => "see and tick off notices",
            Self::SeeLetters => "see what became of letters",
            Self::SeePeople => "see who belongs to the site, as it allows",
            Self::SeePeopleInFull => "see everybody's flat and address",
            Self::ChangeOwnDetails => "change one's own details",
            Self::ChangePeople => "change anybody's details",
            Self::InvitePeople => "invite and import people",
            Self::LetPeopleIn => "let newcomers in",
            Self::PrintCodes => "print joining sheets, slips and lid codes",
            Self::ChangeRoles => "give and take roles",
            Self::RemovePeople => "remove a member",
            Self::Leave => "leave the site",
            Self::SeeClasses => "see a class that one teaches or helps with",
            Self::KeepClasses => "keep classes and their pupils",
            Self::SeeTurns => "see turns and the rota",
            Self::KeepTurns => "keep patterns, closures and turns",
            Self::TakePlace => "take a place and give it back",
            Self::AssignPlaces => "assign, move, keep and trade places",
            Self::ChangeOwnLimits => "say one's own wishes, limits and absences",
            Self::ChangeLimits => "change anybody's wishes, limits and absences",
            Self::KeepApart => "keep two apart",
            Self::DraftRota => "draft a rota and put it up",
            Self::SeeReasons => "see one's own reasons",
            Self::SeeAllReasons => "see everybody's reasons",
            Self::ReadAudit => "read who changed what",
        }
    }
}

/// The table as Markdown, as DEVELOPERS.md shows it.
#[must_use]
pub fn as_markdown() -> String {
    let line = |first: &str, cells: [&str; Role::ALL.len()]| {
        format!("| {first} | {} |\n", cells.join(" | "))
    };
    let mut text = line("deed", Role::ALL.map(Role::code));
    text += &line("---", Role::ALL.map(|_| "---"));
    for deed in Deed::ALL {
        let answers = Role::ALL.map(|role| if may(role, deed) { "yes" } else { "no" });
        text += &line(deed.title(), answers);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_deed_stands_in_the_table_exactly_once() {
        let listed: Vec<Deed> = TABLE.iter().map(|(deed, _)| *deed).collect();
        assert_eq!(listed, Deed::ALL);
    }

    #[test]
    fn the_printed_table_is_this_one() {
        let expected = "\
| deed | resident | caretaker | teacher | educator |
| --- | --- | --- | --- | --- |
| see the site | yes | yes | yes | yes |
| change the site | no | yes | yes | yes |
| see bins and their room | yes | yes | yes | yes |
| add a bin | no | no | no | yes |
| stock a bin | no | yes | yes | yes |
| ask before feeding | yes | yes | yes | yes |
| book room for a day | yes | yes | yes | yes |
| put food in | yes | yes | yes | yes |
| tell what is in already | yes | yes | yes | yes |
| look into a bin | yes | yes | yes | yes |
| measure a bed | yes | yes | yes | yes |
| manage probes | no | yes | yes | yes |
| tend the bedding | yes | yes | yes | yes |
| correct an own entry | yes | yes | yes | yes |
| correct anybody's entry | no | yes | yes | yes |
| see a forecast | yes | yes | yes | yes |
| see and tick off notices | no | yes | yes | yes |
| see what became of letters | no | yes | yes | yes |
| see who belongs to the site, as it allows | yes | yes | yes | yes |
| see everybody's flat and address | no | yes | yes | yes |
| change one's own details | yes | yes | yes | yes |
| change anybody's details | no | yes | yes | yes |
| invite and import people | no | yes | yes | yes |
| let newcomers in | no | yes | yes | yes |
| print joining sheets, slips and lid codes | no | yes | yes | yes |
| give and take roles | no | yes | no | yes |
| remove a member | no | yes | no | yes |
| leave the site | yes | yes | yes | yes |
| see a class that one teaches or helps with | yes | yes | yes | yes |
| keep classes and their pupils | no | no | yes | yes |
| see turns and the rota | yes | yes | yes | yes |
| keep patterns, closures and turns | no | yes | yes | yes |
| take a place and give it back | yes | yes | yes | yes |
| assign, move, keep and trade places | no | yes | yes | yes |
| say one's own wishes, limits and absences | yes | yes | yes | yes |
| change anybody's wishes, limits and absences | no | yes | yes | yes |
| keep two apart | no | yes | yes | no |
| draft a rota and put it up | no | yes | yes | yes |
| see one's own reasons | yes | yes | yes | yes |
| see everybody's reasons | no | yes | yes | no |
| read who changed what | no | no | no | yes |
";
        assert_eq!(as_markdown(), expected);
    }

    #[test]
    fn several_roles_allow_what_any_of_them_allows() {
        assert!(any_may(&[Role::Resident, Role::Educator], Deed::AddBin));
        assert!(!any_may(&[Role::Resident, Role::Teacher], Deed::AddBin));
        assert!(!any_may(&[], Deed::SeeSite));
    }

    #[test]
    fn nobody_hands_out_a_role_above_their_own() {
        let granted = |own: Role| -> Vec<&str> {
            Role::ALL
                .into_iter()
                .filter(|role| may_grant(&[own], *role))
                .map(Role::code)
                .collect()
        };
        assert!(granted(Role::Resident).is_empty());
        assert_eq!(
            granted(Role::Caretaker),
            ["resident", "caretaker", "teacher"]
        );
        assert_eq!(granted(Role::Teacher), ["resident", "teacher"]);
        assert_eq!(granted(Role::Educator).len(), Role::ALL.len());
        assert!(may_manage(&[Role::Caretaker], &[Role::Resident]));
        assert!(!may_manage(
            &[Role::Caretaker],
            &[Role::Resident, Role::Educator]
        ));
    }

    #[test]
    fn role_words_go_there_and_back() {
        for role in Role::ALL {
            assert_eq!(Role::from_code(role.code()), Some(role));
        }
        assert_eq!(Role::from_code("owner"), None);
    }
}
