//! An outdoor bin through a real year: its bed has each day's mean air temperature of a
//! public record, measured daily. Run with `--nocapture` to read the table.

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::expect_used,
    reason = "helpers of tests are tests too"
)]

use chrono::{DateTime, Datelike, NaiveDate, TimeDelta, Utc};
use wormrota_domain::food::{SiteFoodList, find, starting_bedding};
use wormrota_domain::living_bin::check::{Check, Dampness};
use wormrota_domain::living_bin::climate::Climate;
use wormrota_domain::living_bin::event::{Event, FedLine, How};
use wormrota_domain::living_bin::forecast::appetite;
use wormrota_domain::living_bin::habitat::{BinShape, Habitat};
use wormrota_domain::living_bin::meal::meal_of;
use wormrota_domain::living_bin::outlook::Outlook;
use wormrota_domain::living_bin::settings::ModelSettings;
use wormrota_domain::living_bin::state::BinState;
use wormrota_domain::living_bin::warning::{WarningKind, warnings};
use wormrota_domain::site::Spot;
use wormrota_domain::units::{Celsius, Grams, Litres, SquareMetres};

const YEAR: &str = include_str!("data/seattle-2015.csv");

struct Day {
    date: NaiveDate,
    warmest: f64,
    coldest: f64,
}

fn year() -> Vec<Day> {
    let day = |line: &str| {
        let mut parts = line.split(',');
        Day {
            date: parts.next().unwrap().parse().unwrap(),
            warmest: parts.next().unwrap().parse().unwrap(),
            coldest: parts.next().unwrap().parse().unwrap(),
        }
    };
    YEAR.lines()
        .filter(|line| !line.starts_with('#'))
        .map(day)
        .collect()
}

fn at(date: NaiveDate, hour: u32) -> DateTime<Utc> {
    date.and_hms_opt(hour, 0, 0).unwrap().and_utc()
}

#[derive(Debug, Clone, Copy, Default)]
struct Month {
    days: u32,
    appetite_g: i64,
    room_g: i64,
    fed_g: i64,
    warm: u32,
    cold: u32,
    failing: u32,
    shut: u32,
}

/// `exposure` is how much of the day's swing reaches the bed: 0 is the mean of the day, 1
/// the warmest hour, as for a black tub in the sun.
fn live_through(exposure: f64) -> ([Month; 12], BinState) {
    let shape = BinShape {
        surface: SquareMetres(0.3),
        volume: Litres(80.0),
        spot: Spot::Outdoors,
    };
    let habitat = Habitat {
        settings: ModelSettings::default(),
        shape,
        climate: Climate::default(),
    };
    let days = year();
    let mut months = [Month::default(); 12];
    // Stocked the spring before, so that the ramp is over.
    let start = at(days[0].date, 0) - TimeDelta::days(90);
    let bedding = Grams::rounded_up(starting_bedding(shape.volume));
    let stocked = Event::Stocked {
        worms: Grams(600),
        bedding,
    };
    let mut state = stocked.apply(&habitat, None, start).unwrap();
    for week in 0..12 {
        let room = Outlook::cautious(&habitat, &state).room(&[]).amount;
        state = fed(&habitat, state, start + TimeDelta::weeks(week), room);
    }
    for day in &days {
        let noon = at(day.date, 12);
        let mean = f64::midpoint(day.warmest, day.coldest);
        let bed = Celsius(mean + exposure * (day.warmest - mean));
        let measured = Event::Measured {
            bed: Some(bed),
            moisture: None,
        };
        state = measured.apply(&habitat, Some(state), noon).unwrap();
        let room = Outlook::cautious(&habitat, &state).room(&[]).amount;
        let month = &mut months[day.date.month0() as usize];
        month.days += 1;
        month.appetite_g += Grams::rounded_down(appetite(&habitat, &state).middle).0;
        month.room_g += room.0;
        month.shut += u32::from(room == Grams::ZERO);
        for warning in warnings(&habitat, &state, &[noon]) {
            match warning.kind {
                WarningKind::Cold | WarningKind::TooCold | WarningKind::DeadlyFrost => {
                    month.cold += 1;
                }
                WarningKind::Warm | WarningKind::TooHot | WarningKind::DeadlyHeat => {
                    month.warm += 1;
                }
                WarningKind::Hungry | WarningKind::DryingOut | WarningKind::NoWorms => {
                    month.failing += 1;
                }
            }
        }
        // Once a week somebody comes, keeps the bed damp, and brings as much as fits.
        if day.date.weekday() == chrono::Weekday::Sat {
            let damp = Check {
                dampness: Some(Dampness::Right),
                ..Check::default()
            };
            let looked = Event::Checked {
                check: damp,
                by_visitor: false,
            };
            state = looked.apply(&habitat, Some(state), noon).unwrap();
            state = fed(&habitat, state, noon, room);
            month.fed_g += room.0;
        }
    }
    (months, state)
}

fn fed(habitat: &Habitat, state: BinState, at: DateTime<Utc>, amount: Grams) -> BinState {
    let item = find("usual-mix").unwrap();
    let fed = Event::Fed {
        lines: vec![FedLine {
            food: item.key.into(),
            amount,
        }],
        meal: meal_of(std::iter::once((item, amount)), &SiteFoodList::default()),
        bedding: Grams(100),
        how: How::Allowed,
    };
    fed.apply(habitat, Some(state), at).unwrap()
}

fn print(title: &str, months: &[Month; 12]) {
    println!("{title}\nmonth  appetite g/day  room g  fed kg  days cold  days warm  days shut");
    for (i, m) in months.iter().enumerate() {
        let n = i64::from(m.days);
        println!(
            "{:5}  {:14}  {:6}  {:6.1}  {:9}  {:9}  {:9}",
            i + 1,
            m.appetite_g / n,
            m.room_g / n,
            Grams(m.fed_g).kg().0,
            m.cold,
            m.warm,
            m.shut
        );
    }
}

/// Common practice, no source: worms like 10 to 24 degrees Celsius, eat little in the cold,
/// and a bin outdoors needs watching in a hot summer.
#[test]
fn a_real_year_outdoors_goes_as_keepers_know_it() {
    let (mean, after) = live_through(0.0);
    print("bed at the day's mean", &mean);
    let rate = |m: &Month| m.appetite_g / i64::from(m.days);
    let (winter, summer) = (rate(&mean[0]), rate(&mean[6]));
    assert!(
        summer > winter * 3 / 2,
        "{summer} in July, {winter} in January"
    );
    assert!(
        mean[0].cold > 15 && mean[11].cold > 10,
        "a cold winter is warned of"
    );
    assert!(
        mean[5..9].iter().all(|m| m.cold == 0 && m.shut == 0),
        "summer days are open"
    );
    assert!(
        mean[6].room_g / 31 > mean[0].room_g / 31,
        "more fits in summer"
    );
    // In winter weeks pass in which nothing fits, and a mild day then finds them hungry.
    let failing: Vec<u32> = mean.iter().map(|m| m.failing).collect();
    assert_eq!(failing[3..10], [0; 7], "a bin that is fed does not fail");
    assert!(
        after.vitals.worms_kg > 0.5,
        "the stock lives: {:?}",
        after.vitals
    );

    let (sun, _) = live_through(1.0);
    print("bed at the day's warmest, as a black tub in the sun", &sun);
    let hot_days: u32 = sun[5..8].iter().map(|m| m.warm).sum();
    assert!(hot_days > 20, "{hot_days}");
    let shut: u32 = sun[5..8].iter().map(|m| m.shut).sum();
    assert!(
        shut > 5 && shut < 60,
        "hot spells shut the bin, and it opens again: {shut}"
    );
}
