//! A building with a bin.

use super::{App, Person, id_of};
use chrono::TimeDelta;
use serde_json::{Value, json};
use uuid::Uuid;
use wormrota_domain::access::Role;

/// A site with one bin that takes full meals, and two of its people.
pub(crate) struct Court {
    pub(crate) educator: Person,
    pub(crate) resident: Person,
    pub(crate) site: Uuid,
    pub(crate) bin: Uuid,
}

impl Court {
    /// The address of the site, or of something in it.
    pub(crate) fn at(&self, rest: &str) -> String {
        format!("/v1/sites/{}{rest}", self.site)
    }

    /// The address of the bin, or of something in it.
    pub(crate) fn bin_at(&self, rest: &str) -> String {
        self.at(&format!("/bins/{}{rest}", self.bin))
    }
}

impl App {
    /// Opens an ordinary building and gives its key.
    pub(crate) async fn site(&self, educator: &Person) -> Uuid {
        let answer = self.post(educator, "/v1/sites", &new_site()).await;
        id_of(&answer.ok(201))
    }

    /// Adds an ordinary bin and gives its key.
    pub(crate) async fn bin(&self, educator: &Person, site: Uuid) -> Uuid {
        let mut new = new_bin();
        new["name"] = format!("Bin {}", Uuid::now_v7().simple()).into();
        let answer = self
            .post(educator, &format!("/v1/sites/{site}/bins"), &new)
            .await;
        id_of(&answer.ok(201))
    }

    /// Adds a bin that took its worms five weeks ago, old enough for full meals, and got a
    /// small one yesterday; gives its key. (Hungry worms would eat more for being fed, and
    /// then room would not fall gram for gram.)
    pub(crate) async fn stocked_bin(&self, keeper: &Person, site: Uuid) -> Uuid {
        let bin = self.bin(keeper, site).await;
        let now = self.now().await;
        let path = format!("/v1/sites/{site}/bins/{bin}");
        let stocking = json!({
            "worms_kg": 0.8, "bedding_kg": 1.5, "stocked_at": now - TimeDelta::days(35),
        });
        self.post(keeper, &format!("{path}/stockings"), &stocking)
            .await
            .ok(201);
        let mut meal = weighed("usual-mix", 0.15);
        meal["fed_at"] = json!(now - TimeDelta::days(1));
        self.post(keeper, &format!("{path}/feedings/told"), &meal)
            .await
            .ok(201);
        bin
    }

    /// An ordinary building with a bin that takes full meals.
    pub(crate) async fn court(&self) -> Court {
        let educator = self.educator().await;
        let site = self.site(&educator).await;
        Court {
            bin: self.stocked_bin(&educator, site).await,
            resident: self.member(site, Role::Resident).await,
            educator,
            site,
        }
    }

    /// What a bin can take now, in grams.
    pub(crate) async fn room_g(&self, court: &Court) -> i64 {
        let room = self.get(&court.resident, &court.bin_at("/room")).await;
        grams(&room.ok(200)["room_kg"])
    }
}

/// Grams of an amount in kilograms.
#[track_caller]
pub(crate) fn grams(kg: &Value) -> i64 {
    let grams = kg.as_f64().unwrap_or_else(|| panic!("no amount: {kg}")) * 1000.0;
    #[expect(clippy::cast_possible_truncation, reason = "amounts are whole grams")]
    let whole = grams.round() as i64;
    whole
}

/// An offer of one food by weight.
pub(crate) fn weighed(food: &str, kg: f64) -> Value {
    json!({ "items": [{ "food": food, "amount_kg": kg }] })
}

/// An ordinary building.
pub(crate) fn new_site() -> Value {
    json!({
        "name": "Elm Court",
        "zone": "America/Chicago",
        "units": "us",
        "language": "en",
        "paper": "letter",
        "my_name": "Ada",
    })
}

/// An ordinary bin.
pub(crate) fn new_bin() -> Value {
    json!({
        "name": "Stairwell bin",
        "spot": "indoors",
        "vessel": "trays",
        "surface_m2": 0.1625,
        "trays": [{ "volume_l": 18.9 }, { "volume_l": 18.9 }],
    })
}
