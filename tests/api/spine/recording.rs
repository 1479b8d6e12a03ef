//! A bin in which a history is recorded.

use super::history::{Chapter, History, Step, What};
use crate::frame::Person;
use chrono::{DateTime, Utc};
use diesel::sql_types::{Jsonb, Text, Timestamptz};
use diesel::{QueryableByName, sql_query};
use diesel_async::RunQueryDsl;
use futures_util::FutureExt;
use serde_json::Value;
use std::collections::BTreeMap;
use wormrota::desk::add_bin::{NewBin, add_bin};
use wormrota::desk::check_bin::{Look, check_bin};
use wormrota::desk::measure::measure_by_hand;
use wormrota::desk::offers::{Amount, Item};
use wormrota::desk::put_in::put_in;
use wormrota::desk::stock_bin::{Stocking, stock_bin};
use wormrota::desk::take_back::take_back;
use wormrota::desk::tell::{Telling, tell};
use wormrota::desk::tend_bed::{add_bedding, feed_side, take_out};
use wormrota::desk::{Desk, Errand};
use wormrota::store::StoreError;
use wormrota_domain::ids::{BinId, EventId, SiteId};
use wormrota_domain::living_bin::event::{Dated, Event, replay};
use wormrota_domain::living_bin::habitat::Habitat;
use wormrota_domain::living_bin::reading::Value as Measured;
use wormrota_domain::site::Vessel;
use wormrota_domain::units::Grams;

/// A bin that a history is recorded in.
pub(super) struct Recording<'a> {
    pub(super) desk: &'a Desk,
    pub(super) teller: &'a Person,
    pub(super) site: SiteId,
    pub(super) bin: BinId,
    /// The entry of each chapter that has one.
    pub(super) entries: BTreeMap<usize, EventId>,
    /// Every decision as it was first written.
    pub(super) decisions: BTreeMap<String, String>,
}

#[derive(QueryableByName)]
pub(super) struct Decided {
    #[diesel(sql_type = Text)]
    pub(super) id: String,
    #[diesel(sql_type = Text)]
    pub(super) row: String,
}

#[derive(Debug, Clone, QueryableByName)]
pub(super) struct Reckoned {
    #[diesel(sql_type = Timestamptz)]
    pub(super) occurred_at: DateTime<Utc>,
    #[diesel(sql_type = Jsonb)]
    pub(super) json: Value,
}

impl<'a> Recording<'a> {
    pub(super) async fn begin(
        desk: &'a Desk,
        teller: &'a Person,
        site: SiteId,
        of: &History,
    ) -> Self {
        let errand = |now| Errand {
            account: teller.account,
            now,
            ticket: None,
        };
        let new = NewBin {
            name: format!("Bin {}", uuid::Uuid::now_v7().simple()),
            spot: of.spot,
            vessel: Vessel::Trays,
            surface_cm2: of.surface_cm2,
            tray_volumes_ml: vec![20_000, 20_000],
        };
        let bin = add_bin(desk, errand(of.stocked_at), site, new)
            .await
            .unwrap();
        let stocking = Stocking {
            stocked_at: None,
            worms: of.worms,
            bedding: Grams(1_600),
        };
        stock_bin(desk, errand(of.stocked_at), site, bin, stocking)
            .await
            .unwrap();
        Self {
            desk,
            teller,
            site,
            bin,
            entries: BTreeMap::new(),
            decisions: BTreeMap::new(),
        }
    }

    pub(super) fn errand(&self, now: DateTime<Utc>) -> Errand {
        Errand {
            account: self.teller.account,
            now,
            ticket: None,
        }
    }

    /// Takes one step. Gives back what a feeding that was asked for came to: nothing if it
    /// was refused.
    pub(super) async fn take(
        &mut self,
        history: &History,
        step: Step,
        now: DateTime<Utc>,
    ) -> Option<What> {
        let allowed = match step {
            Step::Tell(i) => self.tell(i, &history.chapters[i], now).await,
            Step::TakeBack(i) => {
                // What was refused never was an entry.
                if let Some(entry) = self.entries.remove(&i) {
                    take_back(self.desk, self.errand(now), self.site, self.bin, entry)
                        .await
                        .unwrap();
                }
                None
            }
        };
        self.insist_that_decisions_stand().await;
        allowed
    }

    pub(super) async fn tell(
        &mut self,
        i: usize,
        chapter: &Chapter,
        now: DateTime<Utc>,
    ) -> Option<What> {
        let (desk, errand, site, bin) = (self.desk, self.errand(now), self.site, self.bin);
        let entry = match chapter.what.clone() {
            What::Told { items, bedding } => {
                let telling = Telling {
                    fed_at: Some(chapter.at),
                    items,
                    bedding,
                };
                tell(desk, errand, site, bin, telling)
                    .await
                    .unwrap()
                    .feeding
            }
            What::PutIn { items } => {
                let answer = put_in(desk, errand, site, bin, items).await.unwrap();
                let entry = answer.feeding?;
                self.entries.insert(i, entry);
                return Some(self.what_went_in(entry).await);
            }
            What::Seen(check, by_visitor) => {
                let look = Look {
                    check,
                    checked_at: Some(chapter.at),
                    by_visitor,
                };
                check_bin(desk, errand, site, bin, look).await.unwrap().id
            }
            What::Measured(quantity, value) => {
                let value = Measured {
                    at: chapter.at,
                    quantity,
                    value,
                };
                let taken = measure_by_hand(desk, errand, site, bin, vec![value])
                    .await
                    .unwrap();
                assert_eq!(taken.entries.len(), 1);
                self.entry_at(chapter.at).await
            }
            What::Bedded(dry) => add_bedding(desk, errand, site, bin, dry).await.unwrap(),
            What::TakenOut(amount) => take_out(desk, errand, site, bin, amount).await.unwrap(),
            What::Sided(share) => feed_side(desk, errand, site, bin, share).await.unwrap(),
        };
        self.entries.insert(i, entry);
        None
    }

    /// What an allowed feeding put in, to be told of another bin.
    pub(super) async fn what_went_in(&self, entry: EventId) -> What {
        let query = format!(
            "SELECT occurred_at, payload AS json FROM bin_events WHERE id = '{}'",
            entry.0
        );
        let found: Vec<Reckoned> = self.find(query).await;
        let event: Event = serde_json::from_value(found[0].json.clone()).unwrap();
        let Event::Fed { lines, bedding, .. } = event else {
            panic!("no feeding: {event:?}");
        };
        let items = lines.into_iter().map(|line| Item {
            food: line.food,
            amount: Amount::Weighed(line.amount),
        });
        What::Told {
            items: items.collect(),
            bedding,
        }
    }

    pub(super) async fn entry_at(&self, at: DateTime<Utc>) -> EventId {
        let query = format!(
            "SELECT id::text, '' AS row FROM bin_events WHERE bin_id = '{}' AND occurred_at = '{}'",
            self.bin.0,
            at.to_rfc3339()
        );
        let found: Vec<Decided> = self.find(query).await;
        assert_eq!(found.len(), 1);
        EventId(found[0].id.parse().unwrap())
    }

    pub(super) async fn insist_that_decisions_stand(&mut self) {
        let query = format!(
            "SELECT id::text, d::text AS row FROM decisions AS d WHERE bin_id = '{}'",
            self.bin.0
        );
        let found: Vec<Decided> = self.find(query).await;
        let now: BTreeMap<String, String> = found
            .into_iter()
            .map(|decided| (decided.id, decided.row))
            .collect();
        for (id, row) in &self.decisions {
            assert_eq!(now.get(id), Some(row), "a decision has changed");
        }
        self.decisions = now;
    }

    /// The last state at each instant.
    pub(super) async fn states(&self) -> Vec<Reckoned> {
        self.find(format!(
            "SELECT DISTINCT ON (occurred_at) occurred_at, state AS json FROM bin_states
             WHERE bin_id = '{}' ORDER BY occurred_at, seq DESC",
            self.bin.0
        ))
        .await
    }

    pub(super) async fn head(&self) -> Value {
        let query = format!(
            "SELECT s.occurred_at, s.state AS json FROM bins AS b
             JOIN bin_states AS s ON s.site_id = b.site_id AND s.event_id = b.head_event
             WHERE b.id = '{}'",
            self.bin.0
        );
        let found: Vec<Reckoned> = self.find(query).await;
        found[0].json.clone()
    }

    /// The states at each instant as the domain reckons them in one go, from every entry
    /// that counts in the order in which things happened.
    pub(super) async fn reckoned_anew(&self, habitat: &Habitat) -> Vec<Reckoned> {
        let query = format!(
            "SELECT occurred_at, payload AS json FROM bin_events AS e WHERE bin_id = '{}'
             AND NOT EXISTS (SELECT FROM bin_events AS c WHERE c.supersedes = e.id)
             ORDER BY occurred_at, seq",
            self.bin.0
        );
        let found: Vec<Reckoned> = self.find(query).await;
        let dated: Vec<Dated> = found
            .iter()
            .map(|found| Dated {
                at: found.occurred_at,
                event: serde_json::from_value(found.json.clone()).unwrap(),
            })
            .collect();
        let states = replay(habitat, None, &dated);
        let mut last: BTreeMap<DateTime<Utc>, Value> = BTreeMap::new();
        for (dated, state) in dated.iter().zip(states) {
            last.insert(dated.at, serde_json::to_value(state.unwrap()).unwrap());
        }
        last.into_iter()
            .map(|(occurred_at, json)| Reckoned { occurred_at, json })
            .collect()
    }

    pub(super) async fn find<T>(&self, query: String) -> Vec<T>
    where
        T: QueryableByName<diesel::pg::Pg> + Send + 'static,
    {
        self.desk
            .store()
            .read("look", query, |conn, query| {
                async move { Ok::<_, StoreError>(sql_query(query.as_str()).load(conn).await?) }
                    .boxed()
            })
            .await
            .unwrap()
    }
}
