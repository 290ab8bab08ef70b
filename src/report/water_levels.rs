//! The table of water levels as it goes into a report: a row for each well of the register.

use super::levels::{Contoured, Level, Levels, Terms};
use super::measures;
use super::results::Results;
use crate::read::{Moment, Reading, Site, Status, Well};
use crate::units::{Decimal, HeightUnits, signed};

/// What is noted of a well that the round does not speak of.
const NOT_READ: &str = "no reading in this round";

/// A row of the table of water levels: what was read, with the decimals it was read with, and the head to as
/// many.
#[derive(Debug, Clone)]
pub(crate) struct WaterLevel<'a> {
    pub(crate) well: &'a Well,
    /// When, of several readings the last.
    pub(crate) moment: Option<Moment>,
    pub(crate) measuring_point: Option<Decimal>,
    pub(crate) to_product: Option<Decimal>,
    pub(crate) to_water: Option<Decimal>,
    /// The difference of the two depths.
    pub(crate) product_thickness: Option<Decimal>,
    pub(crate) head: Option<Decimal>,
    /// What corrected the head, why it is not contoured, what was remarked.
    pub(crate) note: String,
}

/// The rows of a map's wells, in the order of the register.
pub(crate) fn water_levels<'a>(results: &Results<'a>, levels: &Levels<'a>) -> Vec<WaterLevel<'a>> {
    let map = results.map;
    let site: &Site = &map.site;
    let units = map.round.units(&site.settings);
    let of_wells = levels.of_wells();
    let row = |(well, level): (&'a Well, Option<&Level<'a>>)| match level {
        Some(level) => of_level(well, level, levels, units),
        None => WaterLevel {
            well,
            moment: None,
            measuring_point: None,
            to_product: None,
            to_water: None,
            product_thickness: None,
            head: None,
            note: NOT_READ.to_owned(),
        },
    };
    site.wells.iter().zip(of_wells).map(row).collect()
}

fn of_level<'a>(
    well: &'a Well,
    level: &Level<'a>,
    levels: &Levels<'a>,
    units: HeightUnits,
) -> WaterLevel<'a> {
    let (terms, reading) = (levels.terms(level), levels.reading(level));
    // As many decimals as what was read has; a correction has more, and adds none.
    let read = [
        terms.measuring_point,
        terms.to_water,
        terms.to_product,
        terms.pressure_head,
        terms.stage,
        terms.elevation,
    ];
    let read = read.into_iter().flatten().map(Decimal::places).max();
    WaterLevel {
        well,
        moment: reading.moment,
        measuring_point: terms.measuring_point,
        to_product: terms.to_product,
        to_water: terms.to_water,
        product_thickness: terms.to_water.zip(terms.to_product).map(|(w, p)| w.less(p)),
        head: terms.head.map(|head| read.map_or(head, |places| head.rounded(places))),
        note: note(level, &terms, reading, units),
    }
}

fn note(level: &Level<'_>, terms: &Terms, reading: &Reading, units: HeightUnits) -> String {
    let (depth, elevation) = (units.depth.in_words(), units.elevation.in_words());
    let mut parts: Vec<String> = Vec::new();
    let is_other = |value: &Decimal| value.value() != 0.0;
    let reason = match level.contoured {
        Contoured::No { reason, .. } => Some(reason),
        Contoured::Yes | Contoured::InTheMean => None,
    };
    // A reason mostly begins with the state.
    let word = reading.status.word();
    if reading.status != Status::Static && reason.is_none_or(|reason| !reason.starts_with(word)) {
        parts.push(word.to_owned());
    }
    if let Some(reason) = reason {
        parts.push(format!("not contoured: {reason}"));
    }
    if level.accounts.len() > 1 {
        let heads: Vec<String> = terms.mean_of.iter().map(Decimal::to_string).collect();
        parts.push(format!("mean of {} readings ({})", level.accounts.len(), heads.join(", ")));
    }
    if let Some((hold, cut)) = terms.hold.zip(terms.cut) {
        parts.push(format!("chalked tape, {hold} less {cut} {depth}"));
    }
    parts.extend(terms.pressure_head.map(|p| format!("pressure head {p} {depth}")));
    parts.extend(terms.stage.map(|s| format!("stage {s} {depth} above the mark")));
    parts.extend(terms.instrument_correction.filter(is_other).map(|correction| {
        format!("instrument correction {} {depth}", signed(correction.to_string()))
    }));
    if let Some(correction) = terms.product_correction.filter(is_other) {
        let gravity = terms.specific_gravity.map(|g| format!(", specific gravity {g}"));
        let gravity = gravity.unwrap_or_default();
        parts.push(format!("product correction -{correction} {depth}{gravity}"));
    }
    if let Some((held, point)) = terms.changed_from.zip(terms.measuring_point) {
        let from = terms.surveyed.map_or(String::new(), |day| format!(" from {day}"));
        parts.push(format!("measuring point {point} {elevation}{from}, before {held} {elevation}"));
    }
    let remark =
        reading.remark.as_deref().filter(|r| reason.is_none_or(|reason| !reason.contains(r)));
    parts.extend(remark.map(str::to_owned));
    parts.join("; ")
}

/// Day and time of day of a reading, for two columns.
pub(crate) fn day_and_time(moment: Option<Moment>) -> (Option<String>, Option<String>) {
    let text = moment.map(measures::moment);
    let Some(text) = text else { return (None, None) };
    match text.split_once(' ') {
        Some((day, time)) => (Some(day.to_owned()), Some(time.to_owned())),
        None => (Some(text), None),
    }
}
