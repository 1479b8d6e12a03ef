//! Months that go by in a test: a site, people who hold its turns, and a clock that is moved on.

use crate::frame::{App, Court, Person};
use crate::place_ground::{Neighbour, crowd_of};
use crate::post_office::PostOffice;
use chrono::{DateTime, Datelike, Days, NaiveDate, TimeDelta, Utc};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use uuid::Uuid;
use wormrota::clock;
use wormrota::desk::cover::answer_call::answer_call;
use wormrota::desk::draft_rota::{NewRota, Thoroughness, draft_rota};
use wormrota::desk::due::owe_due;
use wormrota::desk::give_place_back::give_place_back;
use wormrota::desk::offers::{Amount, Item};
use wormrota::desk::put_up_rota::put_up_rota;
use wormrota::desk::take_place::{Taking, take_place};
use wormrota::desk::tell::{Telling, tell};
use wormrota::desk::tell_absence::{NewAbsence, tell_absence};
use wormrota::desk::{DeskError, Errand};
use wormrota::work::drafting::draft_all;
use wormrota_domain::ids::{BinId, CallId, MemberId, PlaceId, SiteId, TurnId};
use wormrota_domain::units::Grams;

/// Noon in Chicago on a Monday.
const START: &str = "2026-06-01T17:00:00Z";

/// A site, its people, and the turns that they hold over time.
pub(crate) struct Place {
    pub(crate) name: &'static str,
    pub(crate) court: Court,
    pub(crate) people: Vec<Neighbour>,
    /// Places of turns with their day, and who of the people held them from when until when.
    pub(crate) held: Vec<Holding>,
    /// Calls whose askings somebody has answered.
    answered: BTreeSet<(Uuid, Uuid)>,
}

#[derive(Debug, Clone, Copy)]
pub(crate) struct Holding {
    pub(crate) turn: Uuid,
    pub(crate) place: Uuid,
    pub(crate) day: NaiveDate,
    pub(crate) who: usize,
    pub(crate) from: DateTime<Utc>,
    pub(crate) until: Option<DateTime<Utc>>,
}

/// Numbers that look random and are the same in every run.
pub(crate) struct Numbers(pub(crate) u64);

impl Numbers {
    /// One below `most`.
    pub(crate) fn below(&mut self, most: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap() % most
    }
}

/// Time that goes by without anybody waiting for it.
pub(crate) struct Months {
    pub(crate) post: PostOffice,
    /// What the machine's clock showed at [`START`].
    pub(crate) wall: DateTime<Utc>,
    pub(crate) start: DateTime<Utc>,
}

impl Months {
    pub(crate) async fn begin() -> Self {
        let post = PostOffice::with(|letters| letters.to_one_address_per_hour = 0).await;
        let start: DateTime<Utc> = START.parse().unwrap();
        post.app.set_clock(START).await;
        let ahead = post
            .app
            .rows("SELECT offset_seconds AS s FROM demo_clock")
            .await;
        let ahead = TimeDelta::seconds(ahead[0]["s"].as_i64().unwrap());
        let wall = start - ahead;
        Self { post, wall, start }
    }

    pub(crate) const fn app(&self) -> &App {
        &self.post.app
    }

    /// What the machine's clock shows at an instant of the sites.
    pub(crate) fn on_the_wall(&self, at: DateTime<Utc>) -> DateTime<Utc> {
        self.wall + (at - self.start)
    }

    /// Looks for what is due, and sends it.
    pub(crate) async fn look(&self, at: DateTime<Utc>) {
        let wall = self.on_the_wall(at);
        owe_due(&self.app().desk, wall).await.unwrap();
        self.post.send_at(wall).await;
    }

    /// What people did owed its letters while the machine's clock stood at the start: they are
    /// moved to when it happened.
    pub(crate) async fn carry(&self, at: DateTime<Utc>) {
        let by = self.on_the_wall(at) - clock::wall();
        let hour = self.wall + TimeDelta::hours(1);
        let seconds = by.num_seconds();
        self.app()
            .sql(&format!(
                "UPDATE letters SET created_at = created_at + interval '{seconds} s',
                     due_at = due_at + interval '{seconds} s',
                     too_late_at = too_late_at + interval '{seconds} s',
                     links_until = links_until + interval '{seconds} s'
                 WHERE created_at < '{hour}' AND kind <> 'turn_coming' AND state = 'owed'"
            ))
            .await;
    }

    /// A site with people who can be written to, and turns with free places.
    pub(crate) async fn place(
        &self,
        name: &'static str,
        people: usize,
        (weekdays, seats): (&[u32], u8),
        days: u64,
    ) -> Place {
        let app = self.app();
        let court = app.court().await;
        let people = crowd_of(app, court.site, people).await;
        let mut sql = String::new();
        for (number, one) in people.iter().enumerate() {
            let (id, account) = (one.id, one.who.account);
            let address = format!("{name}{number}@elm.example");
            write!(
                sql,
                "UPDATE accounts SET email_lower = '{address}' WHERE id = '{account}';
                 UPDATE member_names SET name = 'Neighbour {number}' WHERE member_id = '{id}';"
            )
            .unwrap();
        }
        let second = app.stocked_bin(&court.educator, court.site).await;
        let first: NaiveDate = self.start.date_naive();
        for day in (0..days).map(|n| first + Days::new(n)) {
            if !weekdays.contains(&day.weekday().number_from_monday()) {
                continue;
            }
            for bin in [court.bin, second] {
                let turn = Uuid::now_v7();
                let (site, since) = (court.site, self.start);
                write!(
                    sql,
                    "INSERT INTO turns (site_id, id, bin_id, on_date, duty, effort, off_pattern,
                         created_at, revision)
                     VALUES ('{site}', '{turn}', '{bin}', '{day}', 'feeding', 1, false, '{since}', 1);"
                )
                .unwrap();
                // Keys in their order: what is planned and asked goes by them, the same in every run.
                for seat in 1..=seats {
                    let place = Uuid::now_v7();
                    write!(
                        sql,
                        "INSERT INTO places (site_id, id, turn_id, seat, kept)
                         VALUES ('{site}', '{place}', '{turn}', {seat}, false);"
                    )
                    .unwrap();
                }
            }
        }
        let (site, own) = (court.site, app.member_id(&court.resident, court.site).await);
        write!(
            sql,
            "INSERT INTO member_limits (site_id, member_id, cannot_weekdays, likes_weekdays,
                 rather_not_weekdays, rest_days, only_trained_bins, experienced, not_alone,
                 revision, share)
             VALUES ('{site}', '{own}', '{{}}', '{{}}', '{{}}', 0, false, false, false, 1, 'none');"
        )
        .unwrap();
        app.sql(&sql).await;
        Place {
            name,
            court,
            people,
            held: Vec::new(),
            answered: BTreeSet::new(),
        }
    }

    /// Puts a rota of some days up.
    pub(crate) async fn deal(
        &self,
        place: &mut Place,
        days: (NaiveDate, NaiveDate),
        at: DateTime<Utc>,
    ) {
        let (site, desk) = (SiteId(place.court.site), &self.app().desk);
        let new = NewRota {
            first_day: days.0,
            last_day: days.1,
            replan_from: None,
            thoroughness: Thoroughness::Quick,
            seed: Some(1),
        };
        let errand = || errand(&place.court.educator, at);
        let rota = draft_rota(desk, errand(), site, new).await.unwrap();
        draft_all(desk).await.unwrap();
        put_up_rota(desk, errand(), site, rota).await.unwrap();
        self.note(place, at).await;
    }

    /// Notes who holds what, as of an instant before which nothing is known to have changed.
    pub(crate) async fn note(&self, place: &mut Place, at: DateTime<Utc>) {
        let (site, today) = (place.court.site, at.date_naive());
        let query = format!(
            "SELECT turns.id AS turn, places.id AS place, on_date, member_id FROM turns
             JOIN places ON turn_id = turns.id
             WHERE turns.site_id = '{site}' AND on_date > '{today}' AND member_id IS NOT NULL
             ORDER BY on_date, places.id"
        );
        let mut holders = BTreeMap::new();
        for row in self.app().rows(&query).await {
            let key = |name: &str| -> Uuid { row[name].as_str().unwrap().parse().unwrap() };
            let day: NaiveDate = row["on_date"].as_str().unwrap().parse().unwrap();
            let member = key("member_id");
            let who = place.people.iter().position(|one| one.id == member);
            holders.insert(key("place"), (key("turn"), day, who.unwrap()));
        }
        let open = place.held.iter_mut().filter(|held| held.until.is_none());
        for held in open.filter(|held| held.day > today) {
            match holders.get(&held.place) {
                Some((_, _, who)) if *who == held.who => {
                    holders.remove(&held.place);
                }
                _ => held.until = Some(at),
            }
        }
        let holding = |(place, (turn, day, who))| Holding {
            turn,
            place,
            day,
            who,
            from: at,
            until: None,
        };
        place.held.extend(holders.into_iter().map(holding));
    }

    /// Those who hold today's turns feed and say so, nine times out of ten.
    pub(crate) async fn feed(&self, place: &Place, numbers: &mut Numbers, at: DateTime<Utc>) {
        let today = at.date_naive();
        let turns = (place.held.iter())
            .filter(|held| held.day == today && held.until.is_none() && numbers.below(10) > 0);
        for held in turns {
            let query = format!("SELECT bin_id FROM turns WHERE id = '{}'", held.turn);
            let rows = self.app().rows(&query).await;
            let bin: Uuid = rows[0]["bin_id"].as_str().unwrap().parse().unwrap();
            let telling = Telling {
                fed_at: None,
                items: vec![Item {
                    food: "apple-core".to_owned(),
                    amount: Amount::Weighed(Grams(100)),
                }],
                bedding: Grams(50),
            };
            let errand = errand(&place.people[held.who].who, at);
            let site = SiteId(place.court.site);
            tell(&self.app().desk, errand, site, BinId(bin), telling)
                .await
                .unwrap();
        }
    }

    /// Somebody takes a free place of the coming two weeks, and somebody gives one back.
    pub(crate) async fn change_minds(
        &self,
        place: &mut Place,
        numbers: &mut Numbers,
        at: DateTime<Utc>,
    ) {
        let (site, desk) = (SiteId(place.court.site), &self.app().desk);
        let (today, last) = (at.date_naive(), at.date_naive() + Days::new(14));
        let query = format!(
            "SELECT turns.id AS turn, on_date FROM turns JOIN places ON turn_id = turns.id
             WHERE turns.site_id = '{site}' AND on_date BETWEEN '{today}' AND '{last}'
                 AND member_id IS NULL ORDER BY on_date, turns.id"
        );
        let free = self.app().rows(&query).await;
        if !free.is_empty() {
            let who = numbers.below(place.people.len());
            let row = &free[numbers.below(free.len())];
            let turn: Uuid = row["turn"].as_str().unwrap().parse().unwrap();
            let taking = Taking {
                member: None,
                amount: None,
                kept: None,
                overrule: false,
            };
            let errand = errand(&place.people[who].who, at);
            match take_place(desk, errand, site, TurnId(turn), taking).await {
                // Theirs already, or too soon after another of theirs, or in their absence.
                Ok(_) | Err(DeskError::HeldAlready | DeskError::RulesBroken(_)) => {}
                other => panic!("{other:?}"),
            }
        }
        self.note(place, at).await;
        let open: Vec<usize> = (0..place.held.len())
            .filter(|n| {
                let held = &place.held[*n];
                held.until.is_none() && held.day > today && held.day <= last
            })
            .collect();
        if let Some(n) = open.get(numbers.below(open.len().max(1))) {
            let held = place.held[*n];
            let errand = errand(&place.people[held.who].who, at);
            give_place_back(desk, errand, site, TurnId(held.turn), PlaceId(held.place))
                .await
                .unwrap();
        }
        self.note(place, at).await;
    }

    /// Somebody says that they are away for a week, from two weeks ahead at most on.
    pub(crate) async fn go_away(
        &self,
        place: &mut Place,
        numbers: &mut Numbers,
        at: DateTime<Utc>,
    ) {
        let first_day = at.date_naive() + Days::new(2 + numbers.below(12) as u64);
        let away = &place.people[numbers.below(place.people.len())];
        let absence = NewAbsence {
            first_day,
            last_day: Some(first_day + Days::new(6)),
            excused: None,
        };
        let (site, desk) = (SiteId(place.court.site), &self.app().desk);
        match tell_absence(
            desk,
            errand(&away.who, at),
            site,
            MemberId(away.id),
            absence,
        )
        .await
        {
            // Away then already.
            Ok(_) | Err(DeskError::Conflicting(_)) => {}
            other => panic!("{other:?}"),
        }
        self.note(place, at).await;
    }

    /// Of those who are asked to come in somebody's stead, one in three says yes, one in three no,
    /// and the others nothing.
    pub(crate) async fn answer_calls(
        &self,
        place: &mut Place,
        numbers: &mut Numbers,
        at: DateTime<Utc>,
    ) {
        let site = place.court.site;
        let query = format!(
            "SELECT call_id, member_id FROM call_answers
             JOIN calls ON calls.site_id = call_answers.site_id AND calls.id = call_id
             WHERE calls.site_id = '{site}' AND call_answers.state = 'asked'
                 AND closed_at IS NULL AND turn_at > '{at}'
             ORDER BY asked_at, call_id, member_id"
        );
        for row in self.app().rows(&query).await {
            let key = |name: &str| -> Uuid { row[name].as_str().unwrap().parse().unwrap() };
            let asked = (key("call_id"), key("member_id"));
            if !place.answered.insert(asked) {
                continue;
            }
            let (call, member) = asked;
            let said = numbers.below(3);
            let Some(who) = place.people.iter().find(|one| one.id == member) else {
                continue;
            };
            if said == 2 {
                continue;
            }
            let (desk, errand) = (&self.app().desk, errand(&who.who, at));
            match answer_call(desk, errand, SiteId(site), CallId(call), said == 0).await {
                // Somebody was quicker, or they hold too much by now.
                Ok(_)
                | Err(
                    DeskError::NoFreePlace
                    | DeskError::HeldAlready
                    | DeskError::EndedAlready
                    | DeskError::RulesBroken(_),
                ) => {}
                other => panic!("{other:?}"),
            }
        }
        self.note(place, at).await;
    }
}

fn errand(who: &Person, now: DateTime<Utc>) -> Errand {
    Errand {
        account: who.account,
        now,
        ticket: None,
    }
}
