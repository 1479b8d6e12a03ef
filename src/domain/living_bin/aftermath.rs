//! "It is in already": what a feeding that nobody asked about means for the bin.
//!
//! It is always recorded, whatever it is; honest reporting is never punished. The answer
//! says what to do now.

use super::habitat::Habitat;
use super::mix::{Supplement, supplement};
use super::outlook::{Booking, Outlook};
use super::state::BinState;
use crate::coded::coded;
use crate::food::{Class, Offer, SiteFoodList};
use crate::units::Grams;
use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

/// What came of a feeding that was told afterwards.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Aftermath {
    /// What went in.
    pub recorded: Grams,
    /// What the bin could have taken just before.
    pub room_before: Grams,
    /// By how much it is over its limit now.
    pub over_by: Grams,
    /// What to do now, in this order.
    pub deeds: Vec<Deed>,
    /// What whoever keeps the bin should hear of.
    pub troubles: Vec<Trouble>,
}

coded! {
    /// What whoever keeps a bin should hear of.
    Trouble {
        /// Somebody fed more than it can take.
        OverLimit = "over_limit",
        /// Something went in that never does.
        NeverFood = "never_food",
        /// Its bed is too hot.
        TooHot = "too_hot",
        /// It rests after a sign of overfeeding.
        Rests = "bin_rests",
        /// Somebody saw rodents, liquid, or worms that want out.
        TroubleSeen = "trouble_seen",
        /// Its bed is too cold for worms to eat.
        TooCold = "too_cold",
        /// Its worms have had nothing to eat for long.
        Hungry = "hungry",
        /// Its bed dries out.
        DryingOut = "drying_out",
        /// Its bed is soaked.
        TooWet = "too_wet",
        /// Hardly a worm is left.
        NoWorms = "no_worms",
    }
}

/// Something to do after a feeding that was told.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "code", rename_all = "snake_case")]
pub enum Deed {
    /// Take these out again, with gloves, as far as they can still be found.
    TakeOutFoods {
        /// Keys in the catalogue.
        foods: Vec<String>,
    },
    /// Take so much of it out again.
    TakeOutAmount {
        /// How much.
        amount: Grams,
    },
    /// Mix in dry bedding.
    AddBedding {
        /// Dry mass.
        dry: Grams,
    },
    /// Wet the bedding.
    AddWater {
        /// Millilitres.
        millilitres: i64,
    },
    /// Put nothing more in before this moment.
    FeedNothingUntil {
        /// When a handful fits again; `None` if not within the days looked at.
        at: Option<DateTime<Utc>>,
    },
    /// Bury what lies open and cover it with bedding.
    Cover,
    /// The bed is too hot: spread the food, shade the bin, damp paper and ice on top.
    Cool,
    /// Say what was taken out, so that the bin is not reckoned with it.
    SayWhenOut,
}

/// What a bin needs to know to answer a feeding that was told.
#[derive(Debug, Clone, Copy)]
pub struct Told<'a> {
    /// The bin and its surroundings.
    pub habitat: &'a Habitat,
    /// Its state just before the food went in.
    pub before: &'a BinState,
    /// Its state now, with the food and all that came after it.
    pub now: &'a BinState,
    /// Bookings to be kept, in order of time.
    pub bookings: &'a [Booking],
    /// What went in.
    pub offer: &'a Offer,
    /// Dry bedding that went in with it.
    pub bedding: Grams,
    /// What the site keeps out.
    pub list: &'a SiteFoodList,
    /// Later moments to look at for one at which a handful fits again, rising.
    pub moments: &'a [DateTime<Utc>],
}

impl Told<'_> {
    /// What to do now.
    #[must_use]
    pub fn aftermath(&self) -> Aftermath {
        let (habitat, s) = (self.habitat, &self.habitat.settings);
        let room_before = Outlook::cautious(habitat, self.before)
            .room(self.bookings)
            .amount;
        let recorded = self.offer.total();
        let over_by = recorded.less(room_before);

        let lines = self.offer.lines().iter();
        let never = lines.filter(|l| self.list.class_of(l.item).class == Class::Never);
        let foods: Vec<String> = never.clone().map(|l| l.item.key.to_owned()).collect();
        let of_never: Grams = never.map(|l| l.amount).sum();
        let too_hot = self.now.vitals.too_hot;
        let mut deeds = Vec::new();
        let troubles = [
            (over_by > Grams::ZERO).then_some(Trouble::OverLimit),
            (!foods.is_empty()).then_some(Trouble::NeverFood),
            too_hot.then_some(Trouble::TooHot),
        ];
        let foods_were_fine = foods.is_empty();
        if !foods_were_fine {
            deeds.push(Deed::TakeOutFoods { foods });
        }
        let error = Grams::rounded_up(self.offer.uncertainty());
        let rest_over = over_by.less(of_never);
        if rest_over > error {
            deeds.push(Deed::TakeOutAmount { amount: rest_over });
        }
        if too_hot {
            deeds.push(Deed::Cool);
        } else {
            deeds.push(Deed::Cover);
        }
        deeds.extend(self.bedding_for_what_stays(recorded.less(of_never).less(rest_over)));
        if rest_over > error || !foods_were_fine {
            deeds.push(Deed::SayWhenOut);
        }
        if over_by > Grams::ZERO {
            let outlook = Outlook::cautious(habitat, self.now);
            let handful = Grams::rounded_down(crate::units::Kg(s.handful_kg));
            let at = outlook.first_fit(self.bookings, handful, self.moments);
            deeds.push(Deed::FeedNothingUntil { at });
        }
        Aftermath {
            recorded,
            room_before,
            over_by,
            deeds,
            troubles: troubles.into_iter().flatten().collect(),
        }
    }

    /// Bedding for what is not to be taken out again. Water only where nothing is too much:
    /// an overfull bin is wet enough.
    fn bedding_for_what_stays(&self, stays: Grams) -> Vec<Deed> {
        let recorded = self.offer.total();
        let share = if recorded > Grams::ZERO {
            stays.kg().0 / recorded.kg().0
        } else {
            0.0
        };
        let mut bedded = self.before.clone();
        bedded.bedding += self.bedding.kg();
        let meal = self.offer.composition().scaled(share);
        let Supplement { dry, millilitres } = supplement(self.habitat, &bedded, &meal);
        let mut deeds = Vec::new();
        if dry > Grams::ZERO {
            deeds.push(Deed::AddBedding { dry });
        }
        if millilitres > 0 && stays == recorded {
            deeds.push(Deed::AddWater { millilitres });
        }
        deeds
    }
}
