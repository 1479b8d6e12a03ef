//! Bringing a mix into balance: how much dry bedding, how much water.
//!
//! The formulas are those of the Cornell Waste Management Institute (Richard and Trautmann,
//! 1996). Food balanced for carbon alone comes out near 60 % water, too dry for worms, and
//! food balanced for water alone too rich in nitrogen: so both are looked at, and water is
//! added in the end.

use super::bedding::Bedding;
use super::composition::Composition;
use crate::units::{Fraction, Grams, Kg, Litres};
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// Moisture of a sample that was weighed wet and again dried: (wet - dry) / wet.
///
/// Nothing unless the sample weighs something and dried to no more than it was.
#[must_use]
pub fn sample_moisture(wet: Kg, dry: Kg) -> Option<Fraction> {
    (wet.0 > 0.0 && dry.0 >= 0.0 && dry.0 <= wet.0).then(|| Fraction((wet.0 - dry.0) / wet.0))
}

/// How much of `other` brings `mix` down (or up) to the moisture `goal`.
///
/// Q2 = Q1 (G - M1) / (M2 - G). `other` may be any amount: only its make-up counts. Zero if
/// the mix is there already; nothing if no amount gets it there.
#[must_use]
pub fn mass_for_moisture(mix: &Composition, other: &Composition, goal: Fraction) -> Option<Kg> {
    let missing = mix.mass.0 * goal.0 - mix.water.0;
    let each = other.moisture().0 - goal.0;
    amount(missing, each)
}

/// How much of `other` brings `mix` to the carbon to nitrogen ratio `goal`.
///
/// Q2 = Q1 N1 (R - C1/N1) (100 - M1) / [N2 (C2/N2 - R) (100 - M2)]. `other` may be any
/// amount: only its make-up counts. Zero if the mix is there already; nothing if no amount
/// gets it there.
#[must_use]
pub fn mass_for_carbon(mix: &Composition, other: &Composition, goal: f64) -> Option<Kg> {
    let one = other.scaled(1.0 / other.mass.0);
    let missing = mix.nitrogen.0 * goal - mix.carbon.0;
    let each = one.carbon.0 - one.nitrogen.0 * goal;
    amount(missing, each)
}

/// `missing / each`, where only an amount that is not negative makes sense.
fn amount(missing: f64, each: f64) -> Option<Kg> {
    if missing == 0.0 {
        return Some(Kg(0.0));
    }
    let mass = missing / each;
    (mass.is_finite() && mass >= 0.0).then_some(Kg(mass))
}

/// Water that brings a mix up to the moisture `goal`: w = Q (G - M) / (100 - G).
///
/// Zero if it is as wet already. The goal must be below 1.
#[must_use]
pub fn water_to_add(mix: &Composition, goal: Fraction) -> Kg {
    Kg((mix.mass.0 * goal.0 - mix.water.0) / (1.0 - goal.0)).max(Kg(0.0))
}

/// What a mix of food and bedding should come to.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "RawTarget", into = "RawTarget")]
pub struct MixTarget {
    carbon_to_nitrogen: f64,
    moisture_goal: Fraction,
    moisture_limit: Fraction,
}

impl MixTarget {
    /// A target that every bedding can reach.
    ///
    /// Carbon to nitrogen from 15 to 40 (workable for worms, from memory). The moisture goal
    /// lies from 0.60 to the limit, and the limit at most at 0.90: the bed's limits in
    /// Earthworm Ecology, Table 18.3.
    pub fn new(
        carbon_to_nitrogen: f64,
        moisture_goal: Fraction,
        moisture_limit: Fraction,
    ) -> Result<Self, MixTargetError> {
        if !(15.0..=40.0).contains(&carbon_to_nitrogen) {
            return Err(MixTargetError::Carbon(carbon_to_nitrogen));
        }
        if !(0.60..=0.90).contains(&moisture_limit.0) {
            return Err(MixTargetError::Limit(moisture_limit));
        }
        if !(0.60..=moisture_limit.0).contains(&moisture_goal.0) {
            return Err(MixTargetError::Goal(moisture_goal, moisture_limit));
        }
        Ok(Self {
            carbon_to_nitrogen,
            moisture_goal,
            moisture_limit,
        })
    }

    /// The least carbon to nitrogen ratio.
    #[must_use]
    pub const fn carbon_to_nitrogen(&self) -> f64 {
        self.carbon_to_nitrogen
    }

    /// The moisture that water is added up to.
    #[must_use]
    pub const fn moisture_goal(&self) -> Fraction {
        self.moisture_goal
    }

    /// The moisture above which bedding is added.
    #[must_use]
    pub const fn moisture_limit(&self) -> Fraction {
        self.moisture_limit
    }
}

impl Default for MixTarget {
    /// Carbon to nitrogen 25 (worms like 25 to 30, from memory), moisture 80 % and at most
    /// 85 % (growth is best from 70 to 85 %: Kaplan 1980).
    fn default() -> Self {
        Self {
            carbon_to_nitrogen: 25.0,
            moisture_goal: Fraction(0.80),
            moisture_limit: Fraction(0.85),
        }
    }
}

/// A target as settings hold it, before it is looked at.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct RawTarget {
    carbon_to_nitrogen: f64,
    moisture_goal: Fraction,
    moisture_limit: Fraction,
}

impl TryFrom<RawTarget> for MixTarget {
    type Error = MixTargetError;
    fn try_from(raw: RawTarget) -> Result<Self, Self::Error> {
        Self::new(
            raw.carbon_to_nitrogen,
            raw.moisture_goal,
            raw.moisture_limit,
        )
    }
}

impl From<MixTarget> for RawTarget {
    fn from(target: MixTarget) -> Self {
        Self {
            carbon_to_nitrogen: target.carbon_to_nitrogen,
            moisture_goal: target.moisture_goal,
            moisture_limit: target.moisture_limit,
        }
    }
}

/// Why a target was not taken.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum MixTargetError {
    /// Outside what worms bear.
    #[error("the carbon to nitrogen target is 15 to 40, not {0}")]
    Carbon(f64),
    /// Outside what worms bear.
    #[error("the moisture limit is 0.60 to 0.90, not {got}", got = .0.0)]
    Limit(Fraction),
    /// Too dry, or above the limit.
    #[error("the moisture goal is 0.60 to the limit of {limit}, not {got}", got = .0.0, limit = .1.0)]
    Goal(Fraction, Fraction),
}

impl MixTargetError {
    /// The stable code.
    #[must_use]
    pub const fn code(&self) -> &'static str {
        match self {
            Self::Carbon(_) => "mix_carbon_to_nitrogen",
            Self::Limit(_) => "mix_moisture_limit",
            Self::Goal(..) => "mix_moisture_goal",
        }
    }
}

/// Bedding and water to add, and what the mix comes to.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct BeddingAdvice {
    /// Bedding as it comes from the pile, before it is wetted; rounded up.
    pub dry: Grams,
    /// The room that the bedding takes, loose.
    pub volume: Litres,
    /// Water in millilitres, rounded down (a millilitre is taken as a gram).
    pub water_ml: i64,
    /// The mix with bedding and water.
    pub mix: Composition,
    /// Moisture of that mix.
    pub moisture: Fraction,
    /// Its carbon to nitrogen ratio; nothing if it holds no nitrogen.
    pub carbon_to_nitrogen: Option<f64>,
}

/// The least of a bedding that brings a mix to the target, then the water that it needs.
///
/// Bedding until the carbon to nitrogen ratio is at the target and the moisture not above the
/// limit; then water up to the moisture goal. The result is never wetter than the limit and
/// never poorer in carbon than the target. Every known bedding has carbon enough for that;
/// one that hadn't would be left out of the carbon side.
#[must_use]
pub fn bedding_for(mix: &Composition, bedding: &Bedding, target: &MixTarget) -> BeddingAdvice {
    let one = bedding.composition(Kg(1.0));
    let poor = mix
        .carbon_to_nitrogen()
        .is_some_and(|ratio| ratio < target.carbon_to_nitrogen);
    let for_carbon = poor
        .then(|| mass_for_carbon(mix, &one, target.carbon_to_nitrogen))
        .flatten();
    let wet = mix.moisture().0 > target.moisture_limit.0;
    let for_moisture = wet
        .then(|| mass_for_moisture(mix, &one, target.moisture_limit))
        .flatten();
    let least = for_carbon
        .unwrap_or_default()
        .max(for_moisture.unwrap_or_default());

    let dry = Grams::rounded_up(least);
    let bedded = *mix + bedding.composition(dry.kg());
    let water = Grams::rounded_down(water_to_add(&bedded, target.moisture_goal));
    let mix = bedded + Composition::of_water(water.kg());
    BeddingAdvice {
        dry,
        volume: bedding.volume(dry.kg()),
        water_ml: water.0,
        mix,
        moisture: mix.moisture(),
        carbon_to_nitrogen: mix.carbon_to_nitrogen(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::{beddings, catalogue, find, find_bedding};
    use super::*;
    use proptest::prelude::*;

    fn food(key: &str, kg: f64) -> Composition {
        find(key).unwrap().composition(Kg(kg))
    }

    fn newspaper() -> &'static Bedding {
        find_bedding("shredded-newspaper").unwrap()
    }

    #[test]
    fn a_mix_in_balance_needs_nothing() {
        let advice = bedding_for(&food("usual-mix", 1.0), newspaper(), &MixTarget::default());
        let again = bedding_for(&advice.mix, newspaper(), &MixTarget::default());
        assert_eq!((again.dry, again.water_ml), (Grams::ZERO, 0), "{again:?}");
    }

    #[test]
    fn nothing_needs_nothing() {
        let advice = bedding_for(&Composition::default(), newspaper(), &MixTarget::default());
        assert_eq!((advice.dry, advice.water_ml), (Grams::ZERO, 0));
        assert_eq!(advice.carbon_to_nitrogen, None);
    }

    #[test]
    fn grit_alone_asks_for_water_but_not_for_carbon() {
        let advice = bedding_for(&food("eggshell", 0.1), newspaper(), &MixTarget::default());
        assert_eq!(advice.dry, Grams::ZERO);
        assert!(advice.water_ml > 0);
    }

    #[test]
    fn wet_food_rich_in_carbon_gets_bedding_for_the_water_alone() {
        let apples = food("apple", 2.0);
        assert!(apples.carbon_to_nitrogen().unwrap() > 25.0);
        let advice = bedding_for(&apples, newspaper(), &MixTarget::default());
        let for_moisture =
            mass_for_moisture(&apples, &newspaper().composition(Kg(1.0)), Fraction(0.85)).unwrap();
        assert_eq!(advice.dry, Grams::rounded_up(for_moisture));
        assert_eq!(advice.water_ml, 0);
    }

    #[test]
    fn an_impossible_goal_has_no_amount() {
        let wet = food("lettuce", 1.0);
        let wetter = Composition::of_water(Kg(1.0));
        assert_eq!(mass_for_moisture(&wet, &wetter, Fraction(0.8)), None);
        let poor = food("meat", 1.0);
        assert_eq!(mass_for_carbon(&wet, &poor, 25.0), None);
        assert_eq!(mass_for_carbon(&wet, &Composition::default(), 25.0), None);
    }

    #[test]
    fn a_sample_that_gained_weight_in_drying_is_no_sample() {
        assert_eq!(sample_moisture(Kg(1.0), Kg(1.1)), None);
        assert_eq!(sample_moisture(Kg(0.0), Kg(0.0)), None);
        assert_eq!(sample_moisture(Kg(1.0), Kg(f64::NAN)), None);
    }

    #[test]
    fn a_target_out_of_range_is_named() {
        let new = |c, g, l| MixTarget::new(c, Fraction(g), Fraction(l)).map_err(|e| e.code());
        assert_eq!(new(25.0, 0.80, 0.85), Ok(MixTarget::default()));
        for carbon in [14.9, 40.1, f64::NAN] {
            assert_eq!(new(carbon, 0.8, 0.85), Err("mix_carbon_to_nitrogen"));
        }
        assert_eq!(new(25.0, 0.8, 0.95), Err("mix_moisture_limit"));
        assert_eq!(new(25.0, 0.86, 0.85), Err("mix_moisture_goal"));
        assert_eq!(new(25.0, 0.5, 0.85), Err("mix_moisture_goal"));
    }

    #[test]
    fn a_target_from_settings_passes_the_same_door() {
        let text = serde_json::to_string(&MixTarget::default()).unwrap();
        assert_eq!(
            serde_json::from_str::<MixTarget>(&text).unwrap(),
            MixTarget::default()
        );
        let wrong = text.replace("25.0", "250.0");
        let error = serde_json::from_str::<MixTarget>(&wrong).unwrap_err();
        assert!(error.to_string().contains("15 to 40"), "{error}");
    }

    /// The promise of [`bedding_for`] for every bedding, at the hardest target there is.
    #[test]
    fn every_bedding_can_reach_every_target() {
        for bedding in beddings() {
            assert!(bedding.carbon_to_nitrogen > 40.0, "{}", bedding.key);
            assert!(bedding.moisture.0 < 0.60, "{}", bedding.key);
        }
    }

    fn any_mix() -> impl Strategy<Value = Composition> {
        prop::collection::vec((0..catalogue().len(), 1_i64..20_000), 1..8).prop_map(|parts| {
            parts
                .into_iter()
                .map(|(index, grams)| catalogue()[index].composition(Grams(grams).kg()))
                .sum()
        })
    }

    fn any_target() -> impl Strategy<Value = MixTarget> {
        (15.0..=40.0, 0.60..=0.90, 0.0..=1.0).prop_map(|(carbon, limit, part): (f64, f64, f64)| {
            let goal = libm::fmin(0.60 + (limit - 0.60) * part, limit);
            MixTarget::new(carbon, Fraction(goal), Fraction(limit)).unwrap()
        })
    }

    proptest! {
        #[test]
        fn advice_meets_both_targets_with_the_least_bedding(
            mix in any_mix(),
            which in 0..beddings().len(),
            target in any_target(),
        ) {
            let bedding = &beddings()[which];
            let advice = bedding_for(&mix, bedding, &target);
            if let Some(ratio) = advice.carbon_to_nitrogen {
                prop_assert!(ratio >= target.carbon_to_nitrogen() - 1e-9, "{ratio}");
            }
            prop_assert!(advice.moisture.0 <= target.moisture_limit().0 + 1e-12);
            // A millilitre short of the goal at most, unless bedding left it between goal
            // and limit.
            let one_more = advice.mix + Composition::of_water(Kg(0.001));
            prop_assert!(one_more.moisture().0 >= target.moisture_goal().0 - 1e-12);

            if advice.dry > Grams::ZERO {
                let less = mix + bedding.composition(advice.dry.less(Grams(1)).kg());
                let poor = less
                    .carbon_to_nitrogen()
                    .is_some_and(|ratio| ratio < target.carbon_to_nitrogen());
                let wet = less.moisture().0 > target.moisture_limit().0;
                prop_assert!(poor || wet, "one gram less would have done: {advice:?}");
            }
        }
    }
}
