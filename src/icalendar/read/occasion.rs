//! What an event says of when it is.

use super::choice::shown;
use super::component::Written;
use super::line::Line;
use super::moment::{Moment, length, wrong};
use super::refusal::{Refused, Why};
use chrono::{NaiveDateTime, TimeDelta};
use wormrota_domain::calendar::SiteZone;

/// An event that can be read.
#[derive(Debug)]
pub(super) struct Occasion {
    /// Where it begins.
    pub(super) line: usize,
    /// Its name, as it is shown.
    pub(super) name: Option<String>,
    pub(super) uid: Option<String>,
    pub(super) sequence: u32,
    /// The occurrence that it stands for, of the event with the same UID, and its line.
    pub(super) replaces: Option<(usize, Moment)>,
    pub(super) cancelled: bool,
    pub(super) start: Moment,
    /// How long it is by the clock of its start: whole days if that is a day. With DTEND the
    /// standard would have occurrences last equally long whatever is done to the clocks; from
    /// midnight to midnight means a day all the same.
    pub(super) length: TimeDelta,
    /// A recurrence rule, and its line.
    pub(super) rule: Option<(usize, String)>,
    /// Further starts, by the clock of the first.
    pub(super) more: Vec<NaiveDateTime>,
    /// Starts that are left out.
    pub(super) without: Vec<NaiveDateTime>,
}

impl Occasion {
    pub(super) fn read(event: &Written, site: SiteZone) -> Result<Self, Refused> {
        if let Some(refused) = &event.broken {
            return Err(refused.clone());
        }
        if let Some(line) = event.all("EXRULE").next() {
            return Err(Why::NotRead { what: "EXRULE" }.at(line.number));
        }
        let start = event.once("DTSTART")?;
        let start = start.ok_or_else(|| Why::NoStart.at(event.line))?;
        let start = moment("DTSTART", start, site)?;
        let uid = event.once("UID")?.map(|line| line.value.clone());
        let rule = event.once("RRULE")?;
        let replaces = event.once("RECURRENCE-ID")?;
        if let Some(line) = replaces {
            if line.parameter("RANGE").is_some() {
                return Err(Why::NotRead { what: "RANGE" }.at(line.number));
            }
            if uid.is_none() {
                return Err(Why::NoUid.at(line.number));
            }
            if let Some(rule) = rule {
                let what = "RRULE beside RECURRENCE-ID";
                return Err(Why::NotRead { what }.at(rule.number));
            }
        }
        let replaces = replaces
            .map(|line| Ok((line.number, moment("RECURRENCE-ID", line, site)?)))
            .transpose()?;
        let status = event.once("STATUS")?;
        Ok(Self {
            line: event.line,
            name: event.all("SUMMARY").find_map(|line| shown(&line.value)),
            uid,
            sequence: event.sequence()?,
            replaces,
            cancelled: status.is_some_and(|line| line.value.eq_ignore_ascii_case("CANCELLED")),
            start,
            length: event.length(start, site)?,
            rule: rule.map(|line| (line.number, line.value.clone())),
            more: event.starts("RDATE", start, site)?,
            without: event.starts("EXDATE", start, site)?,
        })
    }
}

impl Written {
    fn all(&self, name: &str) -> impl Iterator<Item = &Line> {
        self.properties.iter().filter(move |line| line.name == name)
    }

    fn once(&self, property: &'static str) -> Result<Option<&Line>, Refused> {
        let mut all = self.all(property);
        let first = all.next();
        match all.next() {
            Some(line) => Err(Why::Twice { property }.at(line.number)),
            None => Ok(first),
        }
    }

    fn sequence(&self) -> Result<u32, Refused> {
        self.once("SEQUENCE")?.map_or(Ok(0), |line| {
            let number = line.value.parse();
            number.map_err(|_| wrong("SEQUENCE", &line.value).at(line.number))
        })
    }

    fn length(&self, start: Moment, site: SiteZone) -> Result<TimeDelta, Refused> {
        let whole_days = matches!(start, Moment::Day(_));
        let day = TimeDelta::days(1);
        let (length, line) = match (self.once("DTEND")?, self.once("DURATION")?) {
            (Some(_), Some(line)) => return Err(Why::TwoEnds.at(line.number)),
            (None, None) => return Ok(if whole_days { day } else { TimeDelta::zero() }),
            (Some(line), None) => {
                let end = beside("DTEND", moment("DTEND", line, site)?, start, line)?;
                (end - start.wall(), line)
            }
            (None, Some(line)) => {
                let length = length(&line.value).map_err(|why| why.at(line.number))?;
                if whole_days && length.num_seconds() % day.num_seconds() != 0 {
                    let property = "DURATION";
                    return Err(Why::Mixed { property }.at(line.number));
                }
                (length, line)
            }
        };
        if length <= TimeDelta::zero() {
            return Err(Why::EndsTooEarly.at(line.number));
        }
        Ok(length)
    }

    /// The values of all properties of a name, by the clock of the start.
    fn starts(
        &self,
        property: &'static str,
        start: Moment,
        site: SiteZone,
    ) -> Result<Vec<NaiveDateTime>, Refused> {
        let mut found = Vec::new();
        for line in self.all(property) {
            for value in line.value.split(',') {
                let moment = Moment::read(property, line, value, site);
                let moment = moment.map_err(|why| why.at(line.number))?;
                found.push(beside(property, moment, start, line)?);
            }
        }
        Ok(found)
    }
}

fn moment(property: &'static str, line: &Line, site: SiteZone) -> Result<Moment, Refused> {
    Moment::read(property, line, &line.value, site).map_err(|why| why.at(line.number))
}

fn beside(
    property: &'static str,
    moment: Moment,
    start: Moment,
    line: &Line,
) -> Result<NaiveDateTime, Refused> {
    let beside = moment.beside(start);
    beside.ok_or_else(|| Why::Mixed { property }.at(line.number))
}
