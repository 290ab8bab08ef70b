//! What was mapped, when and from what: the facts that sheet, page and terminal open with.

use serde::Serialize;

use super::measures;
use super::results::Results;
use crate::contour::INDEX_EVERY;
use crate::diag::listed;
use crate::read::{AquiferKind, Moment};
use crate::reduce::Fate;
use crate::units::clean;

/// The facts of a map.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Facts {
    /// The site.
    pub site: String,
    /// The round.
    pub round: String,
    /// When its levels were measured, local time of the site: `2026-04-14 08:26 to 11:40`.
    pub measured: Option<String>,
    /// The hydrostratigraphic unit that was mapped.
    pub aquifer_unit: Option<String>,
    /// The vertical datum.
    pub vertical_datum: Option<String>,
    /// Unit of heads and elevations.
    pub elevation_unit: &'static str,
    /// Unit of depths.
    pub depth_unit: &'static str,
    /// Which contours are drawn: `every 1 metres`, or the levels that were listed.
    pub contours: String,
    /// Which of them are index contours: `every 5 metres`.
    pub index_contours: String,
    /// How heads between wells were worked out.
    pub surface: String,
    /// Wells and gauges used: `12 wells and 3 gauges`.
    pub control: String,
    /// Points of control along streams.
    pub stream_points: Option<String>,
    /// What was judged and not measured.
    pub judged: Option<String>,
    /// The lowest head of a well or gauge, elevation unit.
    pub lowest: String,
    /// The highest.
    pub highest: String,
    /// Readings of the round.
    pub readings: usize,
    /// Those used.
    pub used: usize,
    /// Those not used.
    pub not_used: usize,
    /// How many warnings and notes there are, and how many are accepted.
    pub findings: String,
}

/// What a map of heads shows, by what is declared of the aquifer: `Water table`.
pub(crate) const fn surface_of(aquifer: Option<AquiferKind>) -> &'static str {
    match aquifer {
        Some(AquiferKind::Unconfined) => "Water table",
        Some(AquiferKind::Confined) => "Potentiometric surface, confined",
        None => "Potentiometric surface",
    }
}

impl Facts {
    /// The facts of a map.
    #[must_use]
    pub fn of(results: &Results) -> Self {
        let (site, control) = (&results.site, &results.control);
        let unit = control.elevation_unit();
        let (interval, levels) = (results.contours.interval, &results.contours.levels);
        let long = |value: f64| format!("{} {}", clean(value), unit.in_words());
        // A stage between surveyed places was not measured.
        let heads = || control.wells().into_iter().map(|i| control.points()[i].head);
        let readings = control.accounts().iter().count();
        let used = control.accounts().iter().filter(|a| a.fate == Fate::Used).count();
        Self {
            site: site.settings.name.clone(),
            round: results.round.name.clone(),
            measured: control.from_to().map(|(from, to)| measured(from, to)),
            aquifer_unit: control.aquifer_unit().map(str::to_owned),
            vertical_datum: site.settings.vertical_datum.clone(),
            elevation_unit: unit.in_words(),
            depth_unit: results.round.depth_unit.in_words(),
            contours: match interval {
                Some(interval) => format!("every {}", long(interval)),
                None => format!(
                    "at {} {}",
                    listed(levels.iter().map(|level| clean(*level).to_string())),
                    unit.in_words()
                ),
            },
            index_contours: match interval {
                Some(interval) => format!("every {}", long(interval * f64::from(INDEX_EVERY))),
                None => "every fifth from the lowest".to_owned(),
            },
            surface: results.surface.words.clone(),
            control: results.carriers(),
            stream_points: results.stream_points(),
            judged: results.judged(),
            lowest: measures::height(heads().fold(f64::INFINITY, f64::min), unit),
            highest: measures::height(heads().fold(f64::NEG_INFINITY, f64::max), unit),
            readings,
            used,
            not_used: readings - used,
            findings: results.finding_counts().words(""),
        }
    }

    /// Unit and datum of heads: `metres above NAVD 88`.
    #[must_use]
    pub fn heads(&self) -> String {
        match &self.vertical_datum {
            Some(datum) => format!("{} above {datum}", self.elevation_unit),
            None => format!("{}, vertical datum not given", self.elevation_unit),
        }
    }
}

/// The time from the first level to the last; the day stands once.
fn measured(from: Moment, to: Moment) -> String {
    let [first, last] = [from, to].map(measures::moment);
    if first == last {
        return first;
    }
    match (from, to) {
        (Moment::Time(_), Moment::Time(_)) if from.date() == to.date() => {
            let time = last.split_once(' ').map_or(last.as_str(), |(_, time)| time);
            format!("{first} to {time}")
        }
        _ => format!("{first} to {last}"),
    }
}
