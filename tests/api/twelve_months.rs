//! Months of a house and of a school, with every letter that their people get.

use crate::months_ground::{Months, Numbers, Place};
use chrono::{DateTime, Datelike, Days, NaiveDate, TimeDelta, Utc};
use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

/// More letters than one a day would make people turn all of them off (our suggestion).
const MOST_IN_A_WEEK: i64 = 7;

/// Hours of a day, in UTC, at which something can become due: seven in the morning in Chicago
/// with and without summer time, and noon.
const LOOKED_AT: [i64; 3] = [12, 13, 17];

/// Seven in the morning in Chicago, by plain dates: summer time lasts from the second Sunday of
/// March until the first Sunday of November.
fn seven_in_chicago(day: NaiveDate) -> DateTime<Utc> {
    let sunday = |month, nth| {
        NaiveDate::from_weekday_of_month_opt(day.year(), month, chrono::Weekday::Sun, nth).unwrap()
    };
    let is_summer = day >= sunday(3, 2) && day < sunday(11, 1);
    let hours = if is_summer { 12 } else { 13 };
    day.and_hms_opt(hours, 0, 0).unwrap().and_utc()
}

/// The reminders that there should be, by purpose: each rule of each turn whose holder had the
/// place before the letter's hour and still had it then.
fn wanted(place: &Place, start: DateTime<Utc>, end: DateTime<Utc>) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for held in &place.held {
        for rule in [2_u8, 0] {
            let at = seven_in_chicago(held.day - Days::new(rule.into()));
            let is_theirs = held.from < at && held.until.is_none_or(|until| at < until);
            if is_theirs && at > start && at <= end {
                let member = place.people[held.who].id;
                found.insert(format!("{}:{member}:{}:{rule}", held.turn, held.day));
            }
        }
    }
    found
}

/// Prints how many letters of each kind people got, and holds the most that one person got in a
/// week against the cap.
#[expect(clippy::print_stdout, reason = "a table for whoever runs it")]
async fn count(months: &Months, place: &Place) {
    let site = place.court.site;
    let weeks = format!(
        "SELECT kind, member_id, floor(extract(epoch FROM created_at - '{}') / 604800) AS week,
             count(*) AS letters
         FROM letters WHERE site_id = '{site}' AND state = 'sent' GROUP BY 1, 2, 3",
        months.wall
    );
    let by_kind = format!(
        "SELECT kind, sum(letters) AS letters, max(letters) AS most FROM ({weeks}) AS of_week
         GROUP BY kind ORDER BY kind"
    );
    println!("{}: {} people", place.name, place.people.len());
    for row in months.app().rows(&by_kind).await {
        let kind = row["kind"].as_str().unwrap();
        println!(
            "  {kind:<20} {:>6} letters, at most {} a week",
            row["letters"], row["most"]
        );
    }
    let most = format!(
        "SELECT coalesce(max(letters), 0) AS most FROM (
             SELECT sum(letters) AS letters FROM ({weeks}) AS of_week GROUP BY member_id, week
         ) AS of_person"
    );
    let most = months.app().rows(&most).await.remove(0);
    let most: i64 = most["most"].as_i64().unwrap();
    println!("  all kinds: at most {most} in one week of one person");
    assert!(most <= MOST_IN_A_WEEK, "{}: {most}", place.name);
}

/// Protects people from too many letters and from none: through months of rotas put up, places
/// taken and given back, absences and calls for cover, every turn is reminded of once for each rule, and nobody is buried. Six
/// weeks by default; `WORMROTA_MONTHS_DAYS=365` is the year.
#[tokio::test]
async fn every_turn_is_reminded_of_once_for_each_rule_and_nobody_is_buried() {
    let days: u64 = std::env::var("WORMROTA_MONTHS_DAYS").map_or(42, |days| days.parse().unwrap());
    let months = Months::begin().await;
    let mut house = months.place("house", 60, (&[1, 3, 6], 2), days + 14).await;
    let mut school = months.place("school", 6, (&[2, 5], 1), days + 14).await;
    let mut numbers = Numbers(20_260_601);
    let first = months.start.date_naive();
    for n in 0..days {
        let day = first + Days::new(n);
        let midnight = day.and_hms_opt(0, 0, 0).unwrap().and_utc();
        let noon = midnight + TimeDelta::hours(17) + TimeDelta::minutes(30);
        for hour in LOOKED_AT.into_iter().filter(|_| n > 0) {
            months.look(midnight + TimeDelta::hours(hour)).await;
        }
        for place in [&mut house, &mut school] {
            if n % 91 == 0 {
                let quarter = (day + Days::new(3), day + Days::new(93));
                months.deal(place, quarter, noon).await;
            }
            months.feed(place, &mut numbers, noon).await;
            if n % 2 == 0 {
                months.change_minds(place, &mut numbers, noon).await;
            }
            // Everybody is away for a week about once in a quarter.
            let weeks_away = u64::try_from(place.people.len()).unwrap();
            if (n * weeks_away) % 91 < weeks_away {
                months.go_away(place, &mut numbers, noon).await;
            }
            months.answer_calls(place, &mut numbers, noon).await;
        }
        months.carry(noon).await;
        months.look(midnight + TimeDelta::days(1)).await;
    }
    let end = (first + Days::new(days))
        .and_hms_opt(0, 0, 0)
        .unwrap()
        .and_utc();
    for place in [&house, &school] {
        let query = format!(
            "SELECT purpose, state FROM letters WHERE kind = 'turn_coming' AND site_id = '{}'",
            place.court.site
        );
        let rows = months.app().rows(&query).await;
        let sent: Vec<&Value> = rows.iter().filter(|row| row["state"] == "sent").collect();
        let purposes: BTreeSet<String> = sent
            .iter()
            .map(|row| row["purpose"].as_str().unwrap().to_owned())
            .collect();
        assert_eq!(purposes.len(), sent.len(), "each once");
        let wanted = wanted(place, months.start, end);
        let missing: Vec<_> = wanted.difference(&purposes).collect();
        let extra: Vec<_> = purposes.difference(&wanted).collect();
        assert!(
            missing.is_empty() && extra.is_empty(),
            "{missing:?} {extra:?}"
        );
        assert!(!wanted.is_empty());
        count(&months, place).await;
    }
    let states = "SELECT state, count(*) AS n FROM letters GROUP BY state ORDER BY state";
    let states: BTreeMap<String, i64> = (months.app().rows(states).await.iter())
        .map(|row| {
            (
                row["state"].as_str().unwrap().to_owned(),
                row["n"].as_i64().unwrap(),
            )
        })
        .collect();
    println!("{days} days: {states:?}");
}
